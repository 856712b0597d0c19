import { mkdirSync, mkdtempSync, realpathSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { createColors } from 'picocolors';
import { onTestFinished } from 'vitest';
import type { Core } from '../../server/src/cli/core';
import { folderUriOf, uriOf } from '../../server/src/cli/paths';
import { run } from '../../server/src/cli/program';
import type { Terminal } from '../../server/src/cli/terminal';
import type { Analysis } from '../../server/src/project';
import { findProjectFile } from '../../server/src/project/discover';
import type { Finding, Rule } from '../../server/src/rules/rule';
import type { Concept } from '../../server/src/settings/concept';

/** A folder that lasts for one test, with files by relative path. */
export function folderWith(files: Readonly<Record<string, string | Uint8Array>>): string {
  const folder = realpathSync(mkdtempSync(join(tmpdir(), 'fettle-cli-')));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  for (const [name, content] of Object.entries(files)) {
    const path = join(folder, name);
    mkdirSync(dirname(path), { recursive: true });
    writeFileSync(path, content);
  }
  return folder;
}

export interface Outcome {
  readonly code: number;
  readonly out: string;
  readonly error: string;
}

/** Runs a command line in this process, over the given core. */
export async function command(
  args: readonly string[],
  core: Core,
  options: { readonly folder: string; readonly width?: number; readonly colours?: boolean },
): Promise<Outcome> {
  let out = '';
  let error = '';
  const terminal: Terminal = {
    out: (text) => {
      out += text;
    },
    error: (text) => {
      error += text;
    },
    colours: createColors(options.colours ?? false),
    width: options.width ?? Number.POSITIVE_INFINITY,
    folder: options.folder,
    program: 'fettle',
  };
  const code = await run(args, core, terminal);
  return { code, out, error };
}

type Hand = Partial<Pick<Analysis, 'agreements' | 'allowed' | 'missing' | 'boardName' | 'machineName'>> & {
  readonly folder: string;
  readonly texts: Readonly<Record<string, string>>;
  readonly findings?: readonly Finding[];
  readonly settings?: readonly string[];
  readonly alone?: boolean;
};

/** An analysis made by hand. The command line never looks into the machine, so that it can be left out. */
export function handMade({ folder, texts, findings = [], settings, alone, ...rest }: Hand): Analysis {
  const uri = (name: string) => uriOf(join(folder, name));
  const named = (pattern: RegExp) =>
    Object.keys(texts)
      .filter((name) => pattern.test(name))
      .map(uri);
  return {
    agreements: [],
    allowed: [],
    missing: [],
    looks: new Map(),
    ...rest,
    files: {
      projectFile: alone ? undefined : uri('fettle.json'),
      root: folderUriOf(folder),
      settings: settings?.map(uri) ?? named(/\.h$/),
      board: named(/\.board\.json$/)[0],
      machine: named(/\.machine\.json$/)[0],
      names: named(/\.names\.json$/),
    },
    texts: new Map(Object.entries(texts).map(([name, text]) => [uri(name), text])),
    dependsOn: new Set(),
    findings,
    machine: undefined as unknown as Analysis['machine'],
  };
}

/** Place of the first occurrence of a text. */
export function placeOf(folder: string, name: string, text: string, part: string) {
  const start = text.indexOf(part);
  if (start < 0) throw new Error(`"${part}" is not in ${name}`);
  return { uri: uriOf(join(folder, name)), start, end: start + part.length };
}

/** A core whose analyses are given; files are looked for on the disk all the same. */
export function coreOf(
  analyses: Readonly<Record<string, Analysis>> | ((uri: string) => Analysis),
  catalogue: { readonly rules?: readonly Rule[]; readonly concepts?: readonly Concept[] } = {},
): Core {
  const given = (uri: string) => {
    const found = typeof analyses === 'function' ? analyses(uri) : analyses[uri];
    if (!found) throw new Error(`no analysis given for ${uri}`);
    return found;
  };
  return {
    version: '1.2.3',
    rules: catalogue.rules ?? [],
    concepts: catalogue.concepts ?? [],
    neutralName: ({ id, unit }) => [id.replaceAll('.', '_'), unit].filter(Boolean).join('_').toUpperCase(),
    findProjectFile,
    analyseProject: async (uri, host) => {
      await host.read(uri);
      return given(uri);
    },
    analyseAlone: async (uri, host) => {
      await host.read(uri);
      return given(uri);
    },
  };
}
