import { spawnSync } from 'node:child_process';
import { cpSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

export const root = fileURLToPath(new URL('../..', import.meta.url)).replace(/\/$/, '');

/** A finding as `check --format json` has it: lines and columns from 1, columns in UTF-16 units, ends exclusive. */
export interface Finding {
  readonly file: string;
  readonly line: number;
  readonly column: number;
  readonly endLine: number;
  readonly endColumn: number;
  readonly rule: string;
  readonly severity: 'error' | 'warning' | 'info' | 'hint';
  readonly message: string;
  readonly causes: readonly { readonly file: string; readonly line: number; readonly message: string }[];
  readonly remedies: readonly { readonly title: string; readonly safety: string }[];
}

export interface Project {
  readonly folder: string;
  read(file: string): string;
  findings(): readonly Finding[];
}

/**
 * The half-ported sample in a new folder, with signs of two, three and four bytes before findings on their line, in a header and in a
 * JSON file: editors count columns in bytes or characters, the protocol in UTF-16 units.
 */
export function makeProject(folder: string): Project {
  mkdirSync(folder);
  cpSync(join(root, 'client/sample/half-ported'), folder, { recursive: true });
  const read = (file: string) => readFileSync(join(folder, file), 'utf8');
  const change = (file: string, from: string, to: string): void => {
    const [before, after, ...more] = read(file).split(from);
    if (before === undefined || after === undefined || more.length > 0) throw new Error(`${file}: ${from}`);
    writeFileSync(join(folder, file), before + to + after);
  };
  change('heat.h', '#define TOOL_0_SENSOR_PULL_UP_OHM', '/* Ω – 🔥 */ #define TOOL_0_SENSOR_PULL_UP_OHM');
  change('wren.machine.json', '\n  "name"', '\n  /* Ω – 🔥 */ "colour": "grün",\n  "name"');
  return { folder, read, findings: () => check(folder) };
}

function check(folder: string): readonly Finding[] {
  const { stdout, stderr } = spawnSync(
    process.execPath,
    [join(root, 'dist/cli.js'), 'check', '--format', 'json', '.'],
    { cwd: folder, encoding: 'utf8', maxBuffer: 64 * 1024 * 1024, timeout: 60_000 },
  );
  if (!stdout) throw new Error(stderr);
  return JSON.parse(stdout).projects.flatMap((project: { findings: Finding[] }) => project.findings);
}

/** Ends by itself or is ended; gives what it said. */
export function runEditor(
  program: string,
  args: readonly string[],
  env: NodeJS.ProcessEnv,
  cwd?: string,
): string {
  const { stdout, stderr, error } = spawnSync(program, args, {
    env: { ...process.env, ...env },
    cwd,
    encoding: 'utf8',
    stdio: ['ignore', 'pipe', 'pipe'],
    timeout: 240_000,
    killSignal: 'SIGKILL',
  });
  return [error, stdout, stderr].filter(Boolean).join('\n');
}
