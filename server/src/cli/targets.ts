import { basename, resolve } from 'node:path';
import { type AnalyseOptions, type Analysis, ownKindOf } from '../project';
import { projectFileName } from '../project/discover';
import type { Core } from './core';
import type { Disk } from './diskHost';
import { Failure, reasonOf } from './failure';
import { folderUriOf, relativePath, uriOf } from './paths';
import type { Terminal } from './terminal';

/**
 * Analyses what the paths of a command line stand for, in their order, each project once however many of its files are named.
 * @param options rules above all: who shows no findings need not wait for them
 * @throws Failure for a path that leads to nothing that can be checked
 */
export async function analyseTargets(
  paths: readonly string[],
  terminal: Caller,
  core: Core,
  host: Disk,
  options: AnalyseOptions = {},
): Promise<Analysis[]> {
  const analyses = new Map<string, Analysis>();
  for (const path of paths) {
    const [key, analyse] = await target(path, terminal, core, host, analyses, options);
    if (!analyses.has(key)) analyses.set(key, await analyse());
  }
  return [...analyses.values()];
}

type Caller = Pick<Terminal, 'folder' | 'program'>;
type Target = readonly [key: string, analyse: () => Promise<Analysis>];

async function target(
  given: string,
  { folder, program }: Caller,
  core: Core,
  host: Disk,
  known: ReadonlyMap<string, Analysis>,
  options: AnalyseOptions,
): Promise<Target> {
  const path = resolve(folder, given);
  const kind = await kindOf(path, given, host);
  const project = (file: string): Target => [
    file,
    async () => known.get(file) ?? core.analyseProject(file, host, undefined, options),
  ];

  if (kind === 'folder') {
    const file = await core.findProjectFile(folderUriOf(path), host);
    if (file) return project(file);
    throw new Failure(
      `There is no ${projectFileName} in ${given} or in a folder above it, so it is not known which files belong together.`,
      `Write one with: ${program} setup ${quoted(given)}\nOr check one settings file alone: ${program} check FILE.h`,
    );
  }

  const uri = uriOf(path);
  if (basename(path).toLowerCase() === projectFileName) return project(uri);
  const file = await core.findProjectFile(uri, host);
  if (file && ownKindOf(path)) return project(file);
  if (file) {
    const analysis = known.get(file) ?? (await core.analyseProject(file, host, undefined, options));
    if (analysis.texts.has(uri) || analysis.files.settings.includes(uri)) return [file, async () => analysis];
  }
  return [uri, () => core.analyseAlone(uri, host, undefined, options)];
}

async function kindOf(path: string, given: string, host: Disk): Promise<'folder' | 'file'> {
  const kind = await host.kindOf(path).catch((error: unknown) => {
    throw new Failure(`Cannot check ${given}: ${reasonOf(error)}.`);
  });
  if (kind !== 'other') return kind;
  throw new Failure(`Cannot check ${given}: it is neither a file nor a folder.`);
}

/** Files that are there and could not be read make an incomplete check, which must not pass for a clean one. */
export function failUnread(failures: ReadonlyMap<string, string>, folder: string): void {
  if (failures.size === 0) return;
  const list = [...failures].map(([uri, reason]) => `Cannot read ${relativePath(uri, folder)}: ${reason}.`);
  throw new Failure(list.sort().join('\n'));
}

/** As a shell takes it. */
export const quoted = (path: string): string => (/^[\w./\\:-]+$/.test(path) ? path : JSON.stringify(path));
