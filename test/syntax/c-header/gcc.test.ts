import fc from 'fast-check';
import { expect, it } from 'vitest';
import { preprocess } from '../../../server/src/syntax/c-header';
import { describeWithTool } from '../../kit/tools';
import { askCompiler, normalized, solid } from './compiler';
import { program } from './programs';

/** The reader's answer in the compiler's terms. */
function read(text: string) {
  const result = preprocess(text);
  return {
    conditionsRead: !result.problems.some(({ id }) => id === 'syntax/bad-condition'),
    text: solid(result.text),
    macros: result.macros.map((line) => normalized(line.text)).sort(),
    failed: result.problems.some(({ severity }) => severity === 'error'),
  };
}

describeWithTool('gcc', 'the reader against gcc', () => {
  it('agrees on 300 generated programs', { timeout: 240_000 }, () => {
    fc.assert(
      fc.property(program, (text) => {
        const { messages, ...answer } = askCompiler({ 'main.h': text });
        const { conditionsRead, ...own } = read(text);
        expect(own.failed, messages).toBe(answer.failed);
        // Which arm goes on after a condition without a meaning is each compiler's own affair.
        if (conditionsRead) expect({ ...own, messages }).toEqual({ ...answer, messages });
      }),
      { numRuns: Number(process.env.RUNS ?? 300), seed: Number(process.env.SEED ?? 20260), endOnFailure: true },
    );
  });
});
