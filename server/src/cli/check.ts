import type { Severity } from '../rules/rule';
import { comparing } from './base';
import type { Core } from './core';
import { diskHost } from './diskHost';
import { exitCodes } from './failure';
import { jsonReport } from './jsonReport';
import { addCounts, type Counts, noCounts, tally } from './tally';
import { analyseTargets, failUnread } from './targets';
import type { Terminal } from './terminal';
import { textReport } from './textReport';

export interface CheckOptions {
  readonly format: 'text' | 'json';
  /** Least severity that is shown. Text leaves hints out unless asked; JSON gives everything. */
  readonly level?: Severity;
  /** More warnings than this fail the check; without it, warnings never do. */
  readonly maxWarnings?: number;
  /** A folder, or a git revision, to compare with. */
  readonly base?: string;
}

/** @returns exit code: 1 with any error or with more warnings than allowed, else 0 */
export async function check(
  paths: readonly string[],
  options: CheckOptions,
  core: Core,
  terminal: Terminal,
): Promise<number> {
  const host = diskHost();
  const compared = options.base === undefined ? undefined : await comparing(options.base, core, terminal);
  const analyses = await analyseTargets(
    paths.length > 0 ? paths : ['.'],
    terminal,
    compared?.core ?? core,
    host,
  );
  if (options.format === 'json') {
    const report = jsonReport(analyses, options.level ?? 'hint', terminal.folder);
    terminal.out(`${JSON.stringify(report, undefined, 2)}\n`);
  } else {
    const reports = analyses.map((analysis) => textReport(analysis, options.level ?? 'info', terminal));
    terminal.out(reports.join('\n'));
  }
  failUnread(new Map([...host.failures, ...(compared?.failures() ?? [])]), terminal.folder);
  return verdict(
    analyses.map((analysis) => tally(analysis).counts).reduce(addCounts, noCounts),
    options.maxWarnings ?? Number.POSITIVE_INFINITY,
  );
}

const verdict = (counts: Counts, maxWarnings: number): number =>
  counts.error > 0 || counts.warning > maxWarnings ? exitCodes.findings : exitCodes.clean;
