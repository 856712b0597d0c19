import { spawnSync } from 'node:child_process';
import { describe } from 'vitest';

/** Programs some tests compare with, and how to get them. None of them is needed to build or run. */
const TOOLS = {
  ngspice: { args: ['--version'], install: 'apt-get install ngspice' },
  units: { args: ['--version'], install: 'apt-get install units' },
  gcc: { args: ['--version'], install: 'apt-get install gcc' },
  git: { args: ['--version'], install: 'apt-get install git' },
  clang: { args: ['--version'], install: 'apt-get install clang' },
  nvim: { args: ['--version'], install: 'apt-get install neovim' },
  emacs: {
    args: ['--batch', '--eval', "(require 'eglot)"],
    install: 'apt-get install emacs-nox elpa-eglot',
    mustSucceed: true,
  },
} as const;

export type ToolName = keyof typeof TOOLS;

const found = new Map<ToolName, boolean>();

export function toolAvailable(name: ToolName): boolean {
  const known = found.get(name);
  if (known !== undefined) return known;
  const tool = TOOLS[name];
  const probe = spawnSync(name, tool.args, { stdio: 'ignore', timeout: 20_000 });
  const available = probe.error === undefined && (!('mustSucceed' in tool) || probe.status === 0);
  found.set(name, available);
  return available;
}

/**
 * A suite that compares with an outside program. Where the program is missing the suite is reported as left out, with
 * the command that would bring it in; on the build server (CI is set) it fails instead.
 */
export const describeWithTool = (name: ToolName, title: string, suite: () => void): void =>
  describeWithTools([name], title, suite);

export function describeWithTools(names: readonly ToolName[], title: string, suite: () => void): void {
  const missing = names.filter((name) => !toolAvailable(name));
  if (missing.length === 0 || process.env.CI) {
    describe(title, suite);
    return;
  }
  const advice = missing.map((name) => `needs ${name}: ${TOOLS[name].install}`).join('; ');
  describe.skip(`${title} (left out: ${advice})`, suite);
}

/** Runs a tool on `input`; throws with its own words when it fails. */
export function runTool(name: ToolName, args: readonly string[], input = ''): string {
  const run = spawnSync(name, args, {
    input,
    encoding: 'utf8',
    timeout: 120_000,
    maxBuffer: 64 * 1024 * 1024,
  });
  if (run.error) throw new Error(`${name} could not be run (${TOOLS[name].install}): ${run.error.message}`);
  if (run.status !== 0) throw new Error(`${name} ended with ${run.status}: ${run.stderr}\n${run.stdout}`);
  return run.stdout;
}
