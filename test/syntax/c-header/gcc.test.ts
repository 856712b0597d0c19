import fc from 'fast-check';
import { expect, it } from 'vitest';
import { preprocess, readSettings } from '../../../server/src/syntax/c-header';
import { describeWithTool } from '../../kit/tools';
import { askCompiler, normalized, runProgram, solid } from './compiler';
import { HEADERS } from './headers';
import { arithmetic, condition, program } from './programs';

/** The reader's answer in the compiler's terms. */
function read(files: Readonly<Record<string, string>>) {
  const main = Object.keys(files)[0] ?? '';
  const result = preprocess({
    entry: `file:///p/${main}`,
    read: (uri) => files[uri.replace('file:///p/', '')],
  });
  return {
    problems: result.problems,
    text: solid(result.text),
    macros: result.macros.map((line) => normalized(line.text)).sort(),
    failed: result.problems.some(({ severity }) => severity === 'error'),
  };
}

describeWithTool('gcc', 'the reader against gcc', () => {
  it.each(Object.entries(HEADERS))('agrees on %s', (_title, files) => {
    const { problems, ...own } = read(files);
    const { messages, ...answer } = askCompiler(files);
    expect({ ...own, messages, problems }).toEqual({ ...answer, messages, problems });
  });

  it('agrees on 300 generated programs', { timeout: 240_000 }, () => {
    fc.assert(
      fc.property(program, (text) => {
        const { messages, ...answer } = askCompiler({ 'main.h': text });
        const { problems, ...own } = read({ 'main.h': text });
        expect(own.failed, messages).toBe(answer.failed);
        // Which arm goes on after a condition without a meaning is each compiler's own affair.
        if (problems.some(({ id }) => id === 'syntax/bad-condition')) return;
        expect({ ...own, messages }).toEqual({ ...answer, messages });
      }),
      {
        numRuns: Number(process.env.RUNS ?? 300),
        seed: Number(process.env.SEED ?? 20260),
        endOnFailure: true,
      },
    );
  });

  it('agrees on 1500 generated conditions, and on which of them have no meaning', { timeout: 60_000 }, () => {
    const seed = Number(process.env.SEED ?? 20260);
    const conditions = fc.sample(condition, { numRuns: 1500, seed });
    const head = '#define A 3\n#define B (A - 5)\n#define C 2u\n#define F(x) x\n';
    const text =
      head + conditions.map((one, index) => `#if ${one}\nt${index}\n#else\nf${index}\n#endif\n`).join('');
    const lineOf = (offset: number): number => text.slice(0, offset).split('\n').length;
    const answer = askCompiler({ 'main.h': text });
    const own = read({ 'main.h': text });
    const refused = own.problems
      .filter(({ severity }) => severity === 'error')
      .map(({ place }) => lineOf(place.start));
    const theirs = [...answer.messages.matchAll(/main\.h:(\d+):\d+: error/g)].map((match) =>
      Number(match[1]),
    );
    expect([...new Set(refused)]).toEqual([...new Set(theirs)]);
    const outcomes = (tokens: string): (string | undefined)[] => {
      const all = new Map(tokens.split(' ').map((token) => [Number(token.slice(1)), token.charAt(0)]));
      return conditions.map((one, index) =>
        refused.includes(5 + index * 5) ? undefined : `${one}: ${all.get(index)}`,
      );
    };
    expect(outcomes(own.text)).toEqual(outcomes(answer.text));
  });

  it('agrees with compiled code on the values of 1500 expressions', { timeout: 60_000 }, () => {
    const seed = Number(process.env.SEED ?? 20260);
    const expressions = fc.sample(arithmetic, { numRuns: 1500, seed });
    // The compiler on this machine has 32 bits of int and 64 of long.
    const own = readSettingsOf(expressions);
    const decided = own.flatMap((value, index) => (value ? [{ value, text: expressions[index] ?? '' }] : []));
    expect(decided.length).toBeGreaterThan(700);
    const lines = decided.map(
      ({ text }) =>
        `printf("%d %d %.17g %llu\\n", KIND(${text}), SIGNED(${text}), (double)(${text}), (unsigned long long)(${text}));`,
    );
    const printed = runProgram(
      `#include <stdio.h>
#include <stdint.h>
#include <stddef.h>
#include <stdbool.h>
// The reader computes in doubles whatever the type, and rounds where a cast says so (FLT_EVAL_METHOD 1, 5.2.4.2.2p9).
#define float double)(float
#define KIND(x) _Generic((x), double: 0, long double: 0, default: 1)
#define SIGNED(x) ((x) < 0)
int main(void) {
${lines.join('\n')}
}
`,
    ).trimEnd();
    const theirs = printed.split('\n').map((line, index) => {
      const [integer, negative, double, bits] = line.split(' ');
      if (integer === '0') return `${decided[index]?.text} = ${Number(double)}`;
      return `${decided[index]?.text} = ${negative === '1' ? BigInt.asIntN(64, BigInt(bits ?? '')) : bits}i`;
    });
    expect(
      decided.map(
        ({ value, text }) =>
          `${text} = ${value.integer ? `${value.exact ?? BigInt(value.value)}i` : value.value}`,
      ),
    ).toEqual(theirs);
  });
});

function readSettingsOf(expressions: readonly string[]) {
  const text = expressions.map((one, index) => `#define VALUE_${index} ${one}\n`).join('');
  const { entries } = readSettings({
    entry: 'file:///p/main.h',
    read: () => text,
    dataModel: { intBits: 32, longBits: 64 },
  });
  return entries.map(({ value }) => (value.kind === 'number' ? value : undefined));
}
