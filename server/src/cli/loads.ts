import type { Core } from './core';
import { diskHost } from './diskHost';
import { exitCodes } from './failure';
import { loadsJson } from './loadsJson';
import { loadsText } from './loadsText';
import { analyseTargets, failUnread } from './targets';
import type { Terminal } from './terminal';

export interface LoadsOptions {
  readonly format: 'text' | 'markdown' | 'json';
}

/** What loads the machine, and how much of each limit that takes. It judges nothing: that is for `check`. */
export async function loads(
  paths: readonly string[],
  { format }: LoadsOptions,
  core: Core,
  terminal: Terminal,
): Promise<number> {
  const host = diskHost();
  const analyses = await analyseTargets(paths.length > 0 ? paths : ['.'], terminal, core, host, {
    rules: [],
  });
  terminal.out(
    format === 'json'
      ? `${JSON.stringify(loadsJson(analyses, terminal.folder), undefined, 2)}\n`
      : analyses.map((analysis) => loadsText(analysis, format, terminal)).join('\n'),
  );
  failUnread(host.failures, terminal.folder);
  return exitCodes.clean;
}
