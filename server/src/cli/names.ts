import { resolve } from 'node:path';
import { labelOf, proposeNames, unitOf, wholeMap } from '../features/teaching';
import type { Analysis } from '../project';
import { CONCEPTS } from '../settings';
import type { Proposal, Proposed } from '../settings/nameRanking';
import type { Core } from './core';
import { diskHost } from './diskHost';
import { exitCodes } from './failure';
import { relativePath, uriOf } from './paths';
import { analyseTargets, failUnread } from './targets';
import type { Terminal } from './terminal';
import { printable } from './text';

export interface NamesOptions {
  readonly format: 'text' | 'json';
}

/** Prints what the names in settings files probably mean, as a name map. It writes nothing. */
export async function names(
  path: string | undefined,
  { format }: NamesOptions,
  core: Core,
  terminal: Terminal,
): Promise<number> {
  const host = diskHost();
  const given = path ?? '.';
  const [analysis] = await analyseTargets([given], terminal, core, host, { rules: [] });
  failUnread(host.failures, terminal.folder);
  if (!analysis) return exitCodes.clean;
  const headers = headersOf(analysis, uriOf(resolve(terminal.folder, given)));
  const proposal = await proposeNames(analysis, headers);
  const files = headers.map((uri) => relativePath(uri, terminal.folder));
  terminal.out(format === 'json' ? jsonOf(proposal, files) : textOf(proposal, files));
  return exitCodes.clean;
}

/** The file alone when it is a header, else every header of the project. */
function headersOf({ machine }: Analysis, uri: string): readonly string[] {
  const { files } = machine.text;
  return files.includes(uri) ? [uri] : files;
}

function textOf({ entries, unknown }: Proposal, files: readonly string[]): string {
  const sure = entries.filter(({ doubt }) => doubt === undefined);
  const doubtful = entries.filter(({ doubt }) => doubt !== undefined);
  const remarks = [
    ...doubtful.map((each) => `${each.name}: ${meant(each)}? ${each.doubt}; ${each.reasons.join(', ')}`),
    ...unknown.map((name) => `${name}: nothing tells what it means`),
  ];
  const head = `// Proposed by Fettle for ${files.map(printable).join(', ')}: ${sure.length} of ${entries.length + unknown.length} names.\n`;
  return `${head}${wholeMap(sure.map(shown), remarks.map(printable))}`;
}

const shown = ({ name, entry, reasons }: Proposed) => ({ name, entry, reasons: reasons.map(printable) });

const meant = ({ candidate }: Proposed): string =>
  labelOf(
    candidate.concepts,
    unitOf(candidate, CONCEPTS.get(candidate.concepts.find((id) => id !== '') ?? '')),
  );

function jsonOf({ entries, unknown }: Proposal, files: readonly string[]): string {
  const proposed = entries.map(({ name, entry, candidate, reasons, doubt }) => ({
    name,
    means: entry,
    score: Math.round(candidate.score * 100) / 100,
    reasons,
    ...(doubt !== undefined && { doubt }),
  }));
  return `${JSON.stringify({ files, names: proposed, unknown }, undefined, 2)}\n`;
}
