// Whole processes on the same header: from their start to their end.
import { spawn } from 'node:child_process';
import type { Cell } from './measurements';
import { createCollector } from './measurements';
import { isOnPath } from './peers';
import type { Effort } from './servers';

export const commandNames = ['kept', 'check', 'names', 'gcc', 'clang', 'node'] as const;
export type CommandName = (typeof commandNames)[number];
export const commandTitles: Readonly<Record<CommandName, string>> = {
  kept: 'fettle check, kept',
  check: 'fettle check --afresh',
  names: 'fettle names',
  gcc: 'gcc -E -dM',
  clang: 'clang -fsyntax-only',
  node: 'node -e 0',
};

export type CommandCells = Partial<{ readonly [name in CommandName]: Cell }>;

/**
 * @param folder a project with its header, where Fettle finds all it wants
 * @param cache for what Fettle keeps; the first round fills it
 */
export async function measureCommands(
  folder: string,
  programs: string,
  cache: string,
  { repeat, warmUp, budget, patience }: Effort,
): Promise<CommandCells> {
  const lines: Readonly<Record<CommandName, readonly [string, ...string[]]>> = {
    kept: [process.execPath, `${programs}/cli.js`, 'check', folder],
    check: [process.execPath, `${programs}/cli.js`, 'check', '--afresh', folder],
    names: [process.execPath, `${programs}/cli.js`, 'names', folder],
    gcc: ['gcc', '-xc', '-E', '-dM', 'settings.h'],
    clang: ['clang', '-xc', '-fsyntax-only', 'settings.h'],
    node: [process.execPath, '-e', '0'],
  };
  const seen = createCollector<CommandName>();
  const names = commandNames.filter((name) => lines[name][0] === process.execPath || isOnPath(name));
  const spent = new Map<CommandName, number>();
  const env = { ...process.env, XDG_CACHE_HOME: cache };
  // An answer must be there before there is one to be measured.
  await wholeTime(lines.kept[0], lines.kept.slice(1), folder, env, patience);
  for (let round = 0; round < warmUp + repeat; round++) {
    for (const name of names) {
      if ((spent.get(name) ?? 0) > budget) continue;
      const [program, ...args] = lines[name];
      const time = await wholeTime(program, args, folder, env, patience);
      spent.set(name, (spent.get(name) ?? 0) + (time ?? patience));
      if (time === undefined) seen.remark(name, `more than ${patience / 1000} s`);
      else if (round >= warmUp || (spent.get(name) ?? 0) > budget) seen.add(name, time);
    }
  }
  return seen.cells();
}

/**
 * ms; undefined after `patience`.
 * @throws Error when the program cannot be started or breaks; a finding (exit code 1) is none
 */
function wholeTime(
  program: string,
  args: readonly string[],
  cwd: string,
  env: NodeJS.ProcessEnv,
  patience: number,
): Promise<number | undefined> {
  return new Promise((resolve, reject) => {
    const began = performance.now();
    const child = spawn(program, args, {
      cwd,
      env,
      stdio: 'ignore',
      timeout: patience,
      killSignal: 'SIGKILL',
    });
    child.on('error', reject);
    child.on('exit', (code) => {
      const time = performance.now() - began;
      if (code === null) resolve(undefined);
      else if (code > 1) reject(new Error(`${program} ${args.join(' ')} ended with code ${code}`));
      else resolve(time);
    });
  });
}
