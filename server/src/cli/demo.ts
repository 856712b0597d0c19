import { existsSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import type { Core } from './core';
import { diskHost } from './diskHost';
import { exitCodes, Failure } from './failure';
import { relativePath, uriOf } from './paths';
import { analyseTargets, failUnread } from './targets';
import type { Terminal } from './terminal';
import { wrap } from './text';
import { textReport } from './textReport';

/** The machine that ships as an example: half-way through a move to another board. */
const sample = 'client/sample/half-ported';

const nextSteps = [
  ['another folder', 'npm start -- FOLDER'],
  ['a project of your own', 'node dist/cli.js setup FOLDER'],
  ['what a rule means', 'node dist/cli.js explain RULE'],
  [
    'in the editor',
    'npm run package, then "Install from VSIX…" with dist/fettle.vsix; or press F5 in this folder',
  ],
] as const;
const aimWidth = Math.max(...nextSteps.map(([aim]) => aim.length));

/** Shows what Fettle does, on the sample machine or on a folder. Findings are what it shows, so they are no failure. */
export async function demo(
  folder: string | undefined,
  core: Core,
  terminal: Terminal,
  from = __dirname,
): Promise<number> {
  const path = folder === undefined ? sampleFolder(from) : resolve(terminal.folder, folder);
  const say = (text: string) => terminal.out(`${wrap(text, terminal.width)}\n`);
  const name = relativePath(uriOf(path), terminal.folder);

  if (folder === undefined) {
    say(
      `Fettle checks the firmware settings of a motion machine against its control board and its parts, by computing.`,
    );
    say(
      `The sample machine in ${name} is half-way through a move to another board. This is what does not fit:`,
    );
  } else {
    say(`Fettle checks ${name}:`);
  }
  terminal.out('\n');

  const host = diskHost();
  for (const analysis of await analyseTargets([path], terminal, core, host)) {
    terminal.out(textReport(analysis, 'info', terminal));
  }
  failUnread(host.failures, terminal.folder);

  terminal.out('\n');
  say('What to try next:');
  for (const [aim, way] of nextSteps) {
    terminal.out(`${wrap(way, terminal.width, `  ${aim.padEnd(aimWidth)}  `, ' '.repeat(aimWidth + 4))}\n`);
  }
  return exitCodes.clean;
}

/** The program lies in dist/ of the package and in other places under test; the sample is found from it upwards. */
function sampleFolder(from: string): string {
  for (let folder = from; ; folder = dirname(folder)) {
    const candidate = join(folder, sample);
    if (existsSync(candidate)) return candidate;
    if (dirname(folder) === folder) break;
  }
  throw new Failure(
    `The sample machine (${sample}) is missing from this copy of Fettle.`,
    'Give a folder to check instead.',
  );
}
