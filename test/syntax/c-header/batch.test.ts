import fc from 'fast-check';
import { expect, it } from 'vitest';
import { describeWithTools } from '../../kit/tools';
import { askBatch, type Outcome, readProgram } from './batch';
import { program } from './programs';

const RUNS = Number(process.env.RUNS ?? 13_000);
const SEED = Number(process.env.SEED ?? 20261);
const BATCH = 500;

const same = (one: Outcome, other: Outcome): boolean =>
  one.text === other.text && one.macros.join('\n') === other.macros.join('\n');

describeWithTools(['gcc', 'clang'], 'the reader against gcc and clang at once', () => {
  it(`agrees with both on ${RUNS} generated programs (seed ${SEED})`, { timeout: 240_000 }, () => {
    // Calls are closed at the end, as clang carries one that is not over into the next file.
    const programs = fc.sample(program, { numRuns: RUNS, seed: SEED }).map((text) => `${text}))))))))\n`);
    const tally = { agree: 0, refusedByAll: 0, compilersDiffer: 0, badCondition: 0 };
    for (let from = 0; from < programs.length; from += BATCH) {
      const texts = programs.slice(from, from + BATCH);
      const gcc = askBatch('gcc', texts);
      const clang = askBatch('clang', texts);
      for (const [index, text] of texts.entries()) {
        const { badCondition, ...own } = readProgram(text);
        const one = gcc[index] as Outcome;
        const other = clang[index] as Outcome;
        const refused = one.errors.length > 0;
        if (badCondition) {
          // Which arm goes on after a condition without a meaning is each compiler's own affair.
          expect(refused || other.errors.length > 0, text).toBe(true);
          tally.badCondition++;
        } else if (refused !== other.errors.length > 0 || (!refused && !same(one, other))) {
          // Where the compilers differ, the reader goes with one of them.
          const asOne = own.errors.length > 0 === refused && (refused || same(own, one));
          const asOther =
            own.errors.length > 0 === other.errors.length > 0 && (own.errors.length > 0 || same(own, other));
          expect(asOne || asOther, text).toBe(true);
          tally.compilersDiffer++;
        } else if (refused) {
          expect(own.errors.length, text).toBeGreaterThan(0);
          tally.refusedByAll++;
        } else {
          expect({ ...own, program: text }).toEqual({ ...one, program: text });
          tally.agree++;
        }
      }
    }
    console.log(`generated programs, seed ${SEED}: ${JSON.stringify(tally)}`);
    if (RUNS >= 13_000) expect(tally.agree).toBeGreaterThanOrEqual(10_000);
  });
});
