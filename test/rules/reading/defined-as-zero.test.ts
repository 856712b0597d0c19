import { describe, it } from 'vitest';
import rule from '../../../server/src/rules/reading/defined-as-zero';
import { expectFinding, expectQuiet } from '../answers';

const body = '#define INSIDE 1\n#endif\n';

describe('reading/defined-as-zero', () => {
  it('names what is compiled', async () => {
    await expectFinding(rule, `#define X 0\n#ifdef X\n${body}`, 'warning', "'X' is 0", 'INSIDE');
    await expectFinding(rule, `#define X (0)\n#if defined(X)\n${body}`, 'warning', '#if X');
    await expectFinding(rule, `#define ZERO 0\n#define X ZERO\n#ifdef X\n${body}`, 'warning', "'X' is 0");
  });

  it.each([
    ['1', `#define X 1\n#ifdef X\n${body}`],
    ['an empty definition', `#define X\n#ifdef X\n${body}`],
    ['#if X', `#define X 0\n#if X\n${body}`],
    ['a value that is read as well', `#define X 0\n#ifdef X\n#define Y (X + 1)\n#endif\n`],
    ['a name asked for its value elsewhere', `#define X 0\n#ifdef X\n${body}#if X > 1\n#endif\n`],
    ['a default', '#ifndef X\n#define X 0\n#endif\n'],
    ['code that reads the value', `#define X 0\n#ifdef X\n${body}int x = X;\n`],
    ['a dead branch', `#if 0\n#define X 0\n#endif\n#ifdef X\n${body}`],
    ['an undecided branch', `#ifdef B\n#define X 0\n#endif\n#ifdef X\n${body}`],
  ])('is silent about %s', async (_, text) => {
    await expectQuiet(rule, text);
  });
});
