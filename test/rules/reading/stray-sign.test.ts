import { describe, it } from 'vitest';
import rule from '../../../server/src/rules/reading/stray-sign';
import { checkFix } from '../../kit/checkRule';
import { expectFinding, expectQuiet } from '../answers';

describe('reading/stray-sign', () => {
  it.each([
    ['5;', 'a semicolon'],
    ['(5);', 'a semicolon'],
    ['"text";', 'a semicolon'],
    ['= 5', 'an equals sign'],
    ['\u22125', 'a typographic minus'],
    ['5\u20133', 'a typographic minus'],
    ['\u201ctext\u201d', 'a typographic quote'],
    ['5\u00a0', 'a blank that is no blank'],
    ['5\u200b', 'a blank that is no blank'],
    ['5 \u00d7 3', 'a multiplication sign'],
  ])('finds it in %s', async (value, what) => {
    await expectFinding(rule, `#define SPARE ${value}\n`, 'warning', what);
  });

  it.each([
    ['statements', '#define SPARE do_this();\n'],
    ['a semicolon alone', '#define SPARE ;\n'],
    ['a macro with parameters', '#define SPARE(x) 5;\n'],
    ['text', '#define SPARE "5 \u2212 3;"\n'],
    ['a comment', '#define SPARE 5 // \u22123;\n'],
    ['letters of other languages', '#define SPARE gr\u00f6\u00dfe\n'],
    ['a value for an enumeration', '#define SPARE = 5\nenum { FIRST SPARE };\n'],
    ['the same in a header of its own', '#define SPARE =5\n'],
    ['comparison', '#define SPARE == 5\n'],
    ['a dead branch', '#if 0\n#define SPARE 5;\n#endif\n'],
    ['a setting, whose kind of value tells it', '#define AXIS_X_STEPS_PER_MM 5;\n'],
  ])('is silent about %s', async (_, text) => {
    await expectQuiet(rule, text);
  });

  it('takes it away', async () => {
    await checkFix(rule, '#define SPARE 5;\n', '#define SPARE 5\n');
    await checkFix(rule, '#define SPARE \u22125\n', '#define SPARE -5\n');
  });
});
