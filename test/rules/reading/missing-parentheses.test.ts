import { describe, it } from 'vitest';
import rule from '../../../server/src/rules/reading/missing-parentheses';
import { checkFix } from '../../kit/checkRule';
import { expectFinding, expectQuiet } from '../answers';

// Values as gcc 12.2 computes them.
describe('reading/missing-parentheses', () => {
  it('shows what the text becomes and what was meant', async () => {
    await expectFinding(rule, '#define A 2+3\n#define B A*4\n', 'warning', "'B' is 14", 'would be 20');
    await expectFinding(rule, '#define A 10-4\n#define B (20-A)\n', 'warning', "'B' is 6", 'would be 14');
    await expectFinding(
      rule,
      '#define A 1<<2\n#define C A\n#define B (C+1)\n',
      'warning',
      "'B' is 8",
      'would be 5',
    );
  });

  it.each([
    ['a value in parentheses', '#define A (2+3)\n#define B A*4\n'],
    ['a use that binds no tighter', '#define A 2+3\n#define B (A+4)\n'],
    ['a use with the same result', '#define A 10/2\n#define B (A*4)\n'],
    ['a minus sign', '#define A -5\n#define B (3*A)\n'],
    ['a value nobody uses', '#define A 2+3\n'],
    ['a list', '#define A 1, 2+3\n#define B {A}\n'],
    ['text', '#define A "2+3"\n#define B A\n'],
    ['a dead branch', '#define A 2+3\n#if 0\n#define B A*4\n#endif\n'],
    ['an undecided branch', '#define A 2+3\n#ifdef ONLY_THE_BUILD\n#define B A*4\n#endif\n'],
    ['a macro with parameters', '#define F(x) x+1\n#define B F(2)*2\n'],
  ])('is silent about %s', async (_, text) => {
    await expectQuiet(rule, text);
  });

  it('puts the value into parentheses', async () => {
    await checkFix(rule, '#define A 2+3\n#define B A*4\n', '#define A (2+3)\n#define B A*4\n');
  });
});
