// `_Pragma` (ISO/IEC 9899:2018 6.10.9) in what settings are made of: conditions and values. The compilers differ: gcc refuses it inside of an
// expression, clang carries it out and reads on. The reader refuses it in a condition, and makes no number of such a value.
import { spawnSync } from 'node:child_process';
import { expect, it } from 'vitest';
import { preprocess, readSettings } from '../../../server/src/syntax/c-header';
import { describeWithTools } from '../../kit/tools';

const macro = '#define A _Pragma("GCC diagnostic push") 5\n';
const condition = `${macro}#if A > 3\nyes\n#endif\n`;
const value = `${macro}enum { B = A };\n`;
const uri = 'file:///p/p.h';

it('a value with a pragma in it is no number', () => {
  const { entries, problems } = readSettings({
    entry: uri,
    read: (asked) => (asked === uri ? macro : undefined),
  });
  expect(entries.map((entry) => entry.value.kind)).toEqual(['other']);
  expect(problems).toEqual([]);
});

it('a condition with a pragma in it is refused', () => {
  expect(preprocess(condition).problems).toMatchObject([{ id: 'syntax/bad-condition', severity: 'error' }]);
});

describeWithTools(['gcc', 'clang'], 'a pragma inside of an expression, in the compilers', () => {
  it.each([
    ['gcc', condition, false],
    ['gcc', value, false],
    ['clang', condition, true],
    ['clang', value, true],
  ])('%s: %j accepted: %j', (command, text, accepted) => {
    const { status } = spawnSync(command, ['-w', '-fsyntax-only', '-x', 'c', '-'], {
      // "yes" of the condition must be C.
      input: text.replace('yes', 'int yes;'),
      encoding: 'utf8',
      timeout: 60_000,
    });
    expect(status === 0).toBe(accepted);
  });
});
