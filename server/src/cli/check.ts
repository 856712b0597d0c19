import type { CheckAnswer } from '../kept/checkAnswer';
import type { Analysis } from '../project';
import type { Severity } from '../rules/rule';
import { comparing } from './base';
import type { Core } from './core';
import { diskHost } from './diskHost';
import { exitCodes } from './failure';
import { jsonReport } from './jsonReport';
import { markdownReport } from './markdownReport';
import { sarifReport } from './sarifReport';
import { addCounts, type Counts, noCounts, tally } from './tally';
import { analyseTargets, failUnread } from './targets';
import type { Terminal } from './terminal';
import { textReport } from './textReport';
import { traced } from './tracedDisk';

export interface CheckOptions {
  readonly format: 'text' | 'json' | 'sarif' | 'markdown';
  /** Least severity that is shown. Text and Markdown leave hints out unless asked; JSON and SARIF give everything. */
  readonly level?: Severity;
  /** More warnings than this fail the check; without it, warnings never do. */
  readonly maxWarnings?: number;
  /** A folder, or a git revision, to compare with. */
  readonly base?: string;
  /** Computes whatever was kept, and keeps nothing. */
  readonly afresh?: boolean;
}

/** Keeps an answer for the next time that the same is asked of the same files. */
export type KeepCheck = (answer: CheckAnswer) => void;

/** @returns exit code: 1 with any error or with more warnings than allowed, else 0 */
export async function check(
  paths: readonly string[],
  options: CheckOptions,
  core: Core,
  terminal: Terminal,
  keep?: KeepCheck,
): Promise<number> {
  const { disk: host, trace } = traced(diskHost());
  const compared = options.base === undefined ? undefined : await comparing(options.base, core, terminal);
  const analyses = await analyseTargets(
    paths.length > 0 ? paths : ['.'],
    terminal,
    compared?.core ?? core,
    host,
  );
  const out = reportText(analyses, options, core, terminal);
  terminal.out(out);
  failUnread(new Map([...host.failures, ...(compared?.failures() ?? [])]), terminal.folder);
  const code = verdict(
    analyses.map((analysis) => tally(analysis).counts).reduce(addCounts, noCounts),
    options.maxWarnings ?? Number.POSITIVE_INFINITY,
  );
  // What a base was read from is not all in the trace.
  const read = options.afresh || options.base !== undefined || analyses.some(isBroken) ? undefined : trace();
  if (read) keep?.({ ...read, out, code });
  return code;
}

/** A rule that failed may do so for want of memory, and not the next time. */
const isBroken = ({ findings }: Analysis): boolean =>
  findings.some(({ rule }) => rule === 'files/broken-rule');

function reportText(
  analyses: readonly Analysis[],
  { format, level }: CheckOptions,
  core: Core,
  terminal: Terminal,
): string {
  const json = (report: object) => `${JSON.stringify(report, undefined, 2)}\n`;
  switch (format) {
    case 'json':
      return json(jsonReport(analyses, level ?? 'hint', terminal.folder));
    case 'sarif':
      return json(sarifReport(analyses, level ?? 'hint', terminal.folder, core));
    case 'markdown':
      return markdownReport(analyses, level ?? 'info', terminal.folder);
    case 'text':
      return analyses.map((analysis) => textReport(analysis, level ?? 'info', terminal)).join('\n');
  }
}

const verdict = (counts: Counts, maxWarnings: number): number =>
  counts.error > 0 || counts.warning > maxWarnings ? exitCodes.findings : exitCodes.clean;
