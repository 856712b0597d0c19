import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { preprocess } from '../../../server/src/syntax/c-header';
import { normalized, solid } from './compiler';
import { NAMES } from './programs';

/** What one reader made of one program. */
export interface Outcome {
  /** Tokens after preprocessing. */
  readonly text: string;
  readonly macros: readonly string[];
  /** Lines with errors, rising. */
  readonly errors: readonly number[];
}

const MARK = 'next_program';

/**
 * What a compiler makes of many programs in one run: each is a file of its own, so that no call and no condition runs on into
 * the next, and every name is undefined before it.
 */
export function askBatch(command: 'gcc' | 'clang', programs: readonly string[]): Outcome[] {
  const folder = mkdtempSync(join(tmpdir(), 'fettle-programs-'));
  try {
    const clean = NAMES.map((name) => `#undef ${name}\n`).join('');
    for (const [index, text] of programs.entries()) writeFileSync(join(folder, `p${index}.h`), text);
    const parts = programs.map((_, index) => `${clean}${MARK}\n#include "p${index}.h"\n${MARK}\n`);
    writeFileSync(join(folder, 'main.h'), parts.join(''));
    const flags = command === 'gcc' ? ['-fmax-errors=0'] : ['-ferror-limit=0', '-fno-caret-diagnostics'];
    const run = spawnSync(
      command,
      ['-E', '-x', 'c', '-dD', '-undef', '-std=gnu2x', '-w', ...flags, 'main.h'],
      {
        cwd: folder,
        encoding: 'utf8',
        timeout: 120_000,
        maxBuffer: 256 * 1024 * 1024,
      },
    );
    if (run.error) throw run.error;
    const errors: number[][] = programs.map(() => []);
    for (const [, file, line] of run.stderr.matchAll(
      /^(?:\.\/)?p(\d+)\.h:(\d+):(?:\d+:)? (?:fatal )?error:/gm,
    ))
      errors[Number(file)]?.push(Number(line));
    const outputs = run.stdout.split(new RegExp(`^${MARK}$`, 'm')).filter((_, index) => index % 2 === 1);
    const known = outputs.map((output, index) => ({
      ...readOutput(output),
      errors: rising(errors[index] ?? []),
    }));
    if (known.length === programs.length) return known;
    // A call that is not closed swallowed the rest: clang reads on behind the end of the file.
    const last = known.pop();
    if (!last) throw new Error(`${command} gave no output\n${run.stderr.slice(0, 2000)}`);
    return [...known, { ...last, errors: [0] }, ...askBatch(command, programs.slice(known.length + 1))];
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

const rising = (lines: readonly number[]): number[] => [...new Set(lines)].sort((a, b) => a - b);

/** Takes the definitions out of what `-dD` prints. */
function readOutput(output: string): { text: string; macros: readonly string[] } {
  const table = new Map<string, string>();
  const text: string[] = [];
  for (const line of output.split('\n')) {
    const [, directive, name = ''] = /^#(define|undef) ([\w$]+)/.exec(line) ?? [];
    if (directive === 'define') table.set(name, normalized(line));
    else if (directive === 'undef') table.delete(name);
    else if (!/^# \d+ "/.test(line)) text.push(line);
  }
  return { text: solid(text.join('\n')), macros: [...table.values()].sort() };
}

/** The reader's answer in the same terms. */
export function readProgram(text: string): Outcome & { readonly badCondition: boolean } {
  const result = preprocess({
    entry: 'file:///p/p.h',
    read: (uri) => (uri === 'file:///p/p.h' ? text : undefined),
  });
  // A lone quote in code stops the compiler proper; the preprocessor lets it pass.
  const errors = result.problems.filter(
    ({ id, severity }) => severity === 'error' && id !== 'syntax/unterminated-string',
  );
  return {
    text: solid(result.text),
    macros: result.macros.map((line) => normalized(line.text)).sort(),
    errors: rising(errors.map(({ place }) => text.slice(0, place.start).split('\n').length)),
    badCondition: errors.some(({ id }) => id === 'syntax/bad-condition'),
  };
}
