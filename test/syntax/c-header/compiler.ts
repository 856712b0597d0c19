import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { lex } from '../../../server/src/syntax/c-header/lexer';
import { spell } from '../../../server/src/syntax/c-header/token';

export interface CompilerAnswer {
  /** Tokens after preprocessing. */
  readonly text: string;
  /** Its table of macros, without those it defines itself. */
  readonly macros: readonly string[];
  readonly failed: boolean;
  readonly messages: string;
}

/** Tokens of a text, one blank between any two. */
export const solid = (text: string): string =>
  lex(text, { digitSeparators: true, scopeOperator: true })
    .lines.flatMap((line) => line.tokens.map((token) => token.text))
    .join(' ');

/** Spelling of one `#define` line with every run of blanks as one. */
export const normalized = (define: string): string => {
  // gcc prints letters beyond ASCII as what stands for them.
  const letters = define.replace(/\\U([0-9a-f]{8})/g, (_, code) =>
    String.fromCodePoint(Number.parseInt(code, 16)),
  );
  const tokens = lex(letters).lines[0]?.tokens ?? [];
  // gcc prints its own blanks around # and ##, and digraphs as what they stand for.
  return spell(tokens)
    .replaceAll('%:', '#')
    .replaceAll(/#\s+(?!#)/g, '#')
    .replaceAll(/\s*##\s*/g, '##')
    .replaceAll(/\s+/g, ' ')
    .trim();
};

/** Names the compiler defines whatever the options. */
let own: Set<string> | undefined;

const gcc = (
  args: readonly string[],
  folder: string,
): { output: string; failed: boolean; messages: string } => {
  const run = spawnSync('gcc', ['-E', '-x', 'c', '-P', '-undef', '-ftrack-macro-expansion=0', ...args], {
    cwd: folder,
    encoding: 'utf8',
    timeout: 60_000,
    maxBuffer: 64 * 1024 * 1024,
  });
  if (run.error) throw run.error;
  return { output: run.stdout, failed: run.status !== 0, messages: run.stderr };
};

/** What gcc makes of the first of `files`. */
export function askCompiler(files: Readonly<Record<string, string>>, standard = 'gnu2x'): CompilerAnswer {
  const folder = mkdtempSync(join(tmpdir(), 'fettle-header-'));
  try {
    for (const [name, text] of Object.entries(files)) writeFileSync(join(folder, name), text);
    const main = Object.keys(files)[0] ?? '';
    if (!own) {
      writeFileSync(join(folder, 'none.h'), '');
      own = new Set(
        gcc([`-std=${standard}`, '-dM', 'none.h'], folder).output.match(/(?<=#define )\w+/g) ?? [],
      );
    }
    const names = own;
    const text = gcc([`-std=${standard}`, main], folder);
    const table = gcc([`-std=${standard}`, '-dM', main], folder);
    const macros = table.output
      .split('\n')
      .filter((line) => line !== '' && !names.has(/#define (\w+)/.exec(line)?.[1] ?? ''))
      .map(normalized)
      .sort();
    return { text: solid(text.output), macros, failed: text.failed, messages: text.messages };
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** Compiles a C program and gives what it prints. */
export function runProgram(text: string): string {
  const folder = mkdtempSync(join(tmpdir(), 'fettle-program-'));
  try {
    writeFileSync(join(folder, 'main.c'), text);
    const built = spawnSync('gcc', ['-std=gnu2x', '-w', '-O0', '-o', 'main', 'main.c', '-lm'], {
      cwd: folder,
      encoding: 'utf8',
    });
    if (built.status !== 0) throw new Error(built.stderr.slice(0, 4000));
    return spawnSync(join(folder, 'main'), [], { encoding: 'utf8', maxBuffer: 64 * 1024 * 1024 }).stdout;
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
