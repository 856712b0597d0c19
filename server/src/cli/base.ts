import { stat } from 'node:fs/promises';
import { dirname, relative, resolve } from 'node:path';
import { type AnalysedBase, type Analysis, baseOf, type Host } from '../project';
import { projectFileName } from '../project/discover';
import type { Core } from './core';
import { type DiskHost, diskHost } from './diskHost';
import { Failure } from './failure';
import { folderUriOf, pathOf, relativePath } from './paths';
import { openRevision } from './revision';
import { quoted } from './targets';
import type { Terminal } from './terminal';

type Caller = Pick<Terminal, 'folder' | 'program'>;

/** A core that compares everything it analyses, and the files that could not be read for it. */
export interface ComparingCore {
  readonly core: Core;
  failures(): ReadonlyMap<string, string>;
}

/**
 * Compares with a folder where there is one of that name, else with a git revision of the same files.
 * @throws Failure, at once or when a project is analysed, when there is nothing to compare with
 */
export async function comparing(given: string, core: Core, caller: Caller): Promise<ComparingCore> {
  const hosts: DiskHost[] = [];
  const path = resolve(caller.folder, given);
  const there = given === '' ? undefined : await stat(path).catch(() => undefined);
  const isFolder = there?.isDirectory() === true;
  const baseFor: BaseFor = isFolder
    ? folderBase(path, given, core, caller, hosts)
    : revisionBase(given, core, caller, hosts, there?.isFile() ? dirname(path) : undefined);
  return {
    core: {
      ...core,
      async analyseProject(file, host, token, options) {
        const base = await baseFor('project', file);
        return core.analyseProject(file, host, token, { ...options, base });
      },
      async analyseAlone(file, host, token, options) {
        const base = await baseFor('alone', file);
        return core.analyseAlone(file, host, token, { ...options, base });
      },
    },
    failures: () => new Map(hosts.flatMap((host) => [...host.failures])),
  };
}

type Way = 'project' | 'alone';
type BaseFor = (way: Way, file: string) => Promise<AnalysedBase>;

const analysed = (way: Way, core: Core, file: string, host: Host): Promise<Analysis> =>
  way === 'project'
    ? core.analyseProject(file, host, undefined, { rules: [] })
    : core.analyseAlone(file, host, undefined, { rules: [] });

function folderBase(
  path: string,
  given: string,
  core: Core,
  { folder, program }: Caller,
  hosts: DiskHost[],
): BaseFor {
  return async (way, file) => {
    if (way === 'alone') {
      throw new Failure(
        `${relativePath(file, folder)} belongs to no project, so that it cannot be compared with the project in ${given}.`,
        `Make its folder a project with: ${program} setup`,
      );
    }
    const host = diskHost();
    hosts.push(host);
    const found = await core.findProjectFile(folderUriOf(path), host);
    if (!found) {
      throw new Failure(
        `There is no ${projectFileName} in ${given} or in a folder above it to compare with.`,
      );
    }
    const title = `the project in ${relativePath(folderUriOf(path), folder)}`;
    return baseOf(await analysed(way, core, found, host), title, found === file);
  };
}

/** @param around folder of a file that has the revision's name: it was meant, unless there is such a revision */
function revisionBase(
  name: string,
  core: Core,
  { folder }: Caller,
  hosts: DiskHost[],
  around: string | undefined,
): BaseFor {
  return async (way, file) => {
    const revision = await openRevision(name, pathOf(file)).catch((error: unknown) => {
      if (around === undefined || !(error instanceof Failure)) throw error;
      throw new Failure(
        `${name} is a file; what is compared with is a folder with a project, or a git revision.`,
        `Give its folder: --base ${quoted(relative(folder, around) || '.')}`,
      );
    });
    hosts.push(revision.host);
    const then = await revision.uriOf(file);
    if (!revision.has(then)) {
      throw new Failure(`${relativePath(file, folder)} is not in revision ${name}.`);
    }
    const title = name.startsWith(revision.short)
      ? `revision ${revision.short}`
      : `revision ${name} (${revision.short})`;
    return baseOf(await analysed(way, core, then, revision.host), title, true);
  };
}
