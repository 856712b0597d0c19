import { spawn, spawnSync } from 'node:child_process';
import { pathToFileURL } from 'node:url';
import type { ReadOptions } from '../../server/src/syntax/c-header';

/** A compiler, and what it knows before it reads a line. */
export interface Toolchain {
  readonly command: 'gcc' | 'clang';
  readonly predefined: Readonly<Record<string, string>>;
  /** Folders it searches. */
  readonly folders: readonly string[];
}

export interface Answer {
  readonly output: string;
  readonly failed: boolean;
  readonly messages: string;
}

const MOST_OUTPUT = 512 * 1024 * 1024;

export function toolchain(command: 'gcc' | 'clang'): Toolchain {
  const { stdout } = spawnSync(command, ['-E', '-dM', '-x', 'c', '/dev/null'], { encoding: 'utf8' });
  const predefined: Record<string, string> = {};
  for (const [, name = '', value = ''] of stdout.matchAll(/^#define ([\w$]+(?:\([^)]*\))?) ?(.*)$/gm))
    predefined[name] = value;
  const verbose = spawnSync(command, ['-E', '-v', '-x', 'c', '/dev/null'], { encoding: 'utf8' }).stderr;
  const list = /#include <\.\.\.> search starts here:\n([\s\S]*?)End of search list/.exec(verbose)?.[1] ?? '';
  return { command, predefined, folders: list.split('\n').flatMap((line) => line.trim() || []) };
}

/** Runs the preprocessor without holding up the program. */
export const ask = (command: string, args: readonly string[]): Promise<Answer> =>
  new Promise((resolve, reject) => {
    const child = spawn(command, ['-E', '-x', 'c', ...args], { stdio: ['ignore', 'pipe', 'pipe'] });
    const output: Buffer[] = [];
    const messages: Buffer[] = [];
    let size = 0;
    child.stdout.on('data', (part: Buffer) => {
      size += part.length;
      if (size > MOST_OUTPUT) child.kill();
      output.push(part);
    });
    child.stderr.on('data', (part: Buffer) => messages.push(part));
    child.on('error', reject);
    child.on('close', (code) =>
      resolve({
        output: Buffer.concat(output).toString('utf8'),
        messages: Buffer.concat(messages).toString('utf8'),
        failed: code !== 0,
      }),
    );
  });

const QUESTIONS = {
  gcc: ['__has_attribute', '__has_cpp_attribute', '__has_c_attribute', '__has_builtin'],
  clang: [
    '__has_attribute',
    '__has_c_attribute',
    '__has_builtin',
    '__has_feature',
    '__has_extension',
    '__has_warning',
    '__has_declspec_attribute',
    '__is_identifier',
    '__is_target_arch',
    '__is_target_vendor',
    '__is_target_os',
    '__is_target_environment',
    '__building_module',
  ],
} as const;

/** Puts every question of `texts` to the compiler itself. */
export async function answersFor(
  { command }: Toolchain,
  texts: Iterable<string>,
): Promise<Record<string, Record<string, number>>> {
  const answers: Record<string, Record<string, number>> = {};
  for (const operator of QUESTIONS[command]) answers[operator] = {};
  // Headers ask through macros of their own as well, so every operand goes to every operator.
  const operands = new Set<string>();
  for (const text of texts) {
    for (const [, operand = ''] of text.matchAll(/(?:has|is)_\w*\s*\(\s*([\w:"+=-]+)\s*\)/gi))
      operands.add(operand);
  }
  const asked = QUESTIONS[command].flatMap((operator) =>
    [...operands].map((operand) => `${operator}(${operand})`),
  );
  const lines = asked.map((question, index) => `answer ${index} ${question}`).join('\n');
  const run = spawnSync(command, ['-E', '-P', '-x', 'c', '-'], { input: `${lines}\n`, encoding: 'utf8' });
  for (const [, index, value] of run.stdout.matchAll(/^answer (\d+) (\d+)L?$/gm)) {
    const [, operator = '', operand = ''] = /^(\w+)\((.*)\)$/.exec(asked[Number(index)] ?? '') ?? [];
    const known = answers[operator];
    if (known) known[operand] = Number(value);
  }
  return answers;
}

export const uriOf = (path: string): string => pathToFileURL(path).toString();

/** Options under which the reader stands in for the compiler. */
export const optionsFor = (
  { predefined, folders }: Toolchain,
  more: readonly string[],
  answers: Readonly<Record<string, Readonly<Record<string, number>>>>,
): Partial<ReadOptions> => ({
  predefined,
  includePaths: [...more, ...folders].map(uriOf),
  answers,
  unknownNames: 'absent',
  language: 'c17',
});
