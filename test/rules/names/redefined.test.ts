import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/names/redefined';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

const bed = (value: string) => `#define BED_MAX_TEMPERATURE_CELSIUS ${value}\n`;

// ISO/IEC 9899:2018 6.10.3 p2: a redefinition that is not identical is a constraint violation; an identical one is allowed.
describe('names/redefined', () => {
  it('is an error when the values differ', async () => {
    await expectFinding(
      rule,
      bed('110') + bed('130'),
      'error',
      '110 °C on line 1 and 130 °C on line 2',
      'stops or keeps the last one',
    );
  });

  it('counts three', async () => {
    const answers = await expectFinding(
      rule,
      bed('110') + bed('120') + bed('130'),
      'error',
      '3 times',
      '110 °C on line 1, 120 °C on line 2 and 130 °C on line 3',
    );
    expect(answers.analysis.findings[0]?.causes).toHaveLength(2);
  });

  it('names the file of a line that is in another one', async () => {
    await expectFinding(
      rule,
      `// both\n#include "bed.h"\n${bed('130')}//- bed.h\n${bed('110')}//- fettle.json\n{ "settings": ["settings.h"] }\n`,
      'error',
      '110 °C on line 1 of bed.h and 130 °C on line 3.',
    );
  });

  it('is a hint when they are equal, and says when the compiler still complains', async () => {
    await expectFinding(
      rule,
      bed('110') + bed('110'),
      'hint',
      'to the same value, on lines 1 and 2',
      'allowed',
    );
    await expectFinding(rule, bed('110') + bed('110.0'), 'hint', 'compiler still complains');
  });

  it('is info with an undefinition between', async () => {
    const between = `${bed('110')}#undef BED_MAX_TEMPERATURE_CELSIUS\n${bed('130')}`;
    const answers = await expectFinding(rule, between, 'info', 'The build uses 130 °C');
    expect(answers.remedies).toEqual([]);
  });

  it('leaves names that carry no setting to the reader of the language', async () => {
    const { analysis } = await ask(rule, '#define MY_NUMBER 1\n#define MY_NUMBER 2\n');
    expect(analysis.findings.map((finding) => finding.rule)).toEqual(['syntax/redefinition']);
  });

  it('sees two names for one concept', async () => {
    const map = '//- a.names.json\n{ "names": { "HOTTEST_BED": "bed.maxTemperature" } }\n';
    await expectFinding(
      rule,
      `${bed('110')}#define HOTTEST_BED 120\n${map}`,
      'error',
      'HOTTEST_BED',
      '110 °C',
      '120 °C',
    );
    await expectFinding(rule, `${bed('110')}#define HOTTEST_BED 110\n${map}`, 'hint', 'same value');
    await expectQuiet(rule, `#define HOTTEST_BED 110\n${map}`);
  });

  it('compares values after their units', async () => {
    const map =
      '//- a.names.json\n{ "names": { "X_SPEED": { "concept": "axis.x.maxSpeed", "unit": "mm/min" } } }\n';
    await expectFinding(
      rule,
      `#define AXIS_X_MAX_SPEED_MM_PER_S 150\n#define X_SPEED 9000\n${map}`,
      'hint',
      'same value',
    );
  });

  it.each([
    [
      'one of two branches',
      '#if 0\n#define BED_MAX_TEMPERATURE_CELSIUS 1\n#else\n#define BED_MAX_TEMPERATURE_CELSIUS 2\n#endif\n',
    ],
    [
      'a branch only the build decides',
      '#define BED_MAX_TEMPERATURE_CELSIUS 1\n#if ONLY_THE_BUILD_KNOWS\n#undef BED_MAX_TEMPERATURE_CELSIUS\n#define BED_MAX_TEMPERATURE_CELSIUS 2\n#endif\n',
    ],
    ['a commented line', '#define BED_MAX_TEMPERATURE_CELSIUS 1\n// #define BED_MAX_TEMPERATURE_CELSIUS 2\n'],
    [
      'one header included twice',
      '#include "b.h"\n#include "b.h"\n//- b.h\n#define BED_MAX_TEMPERATURE_CELSIUS 1\n//- fettle.json\n{ "settings": ["settings.h"] }\n',
    ],
  ])('is silent about %s', async (_, text) => {
    await expectQuiet(rule, text);
  });

  it('asks what the build decides, when that would make two', async () => {
    const text = `${bed('110')}#if ONLY_THE_BUILD_KNOWS\n${bed('120')}#endif\n`;
    await expectQuestion(rule, text, 'ONLY_THE_BUILD_KNOWS');
    const before = `#if ONLY_THE_BUILD_KNOWS\n${bed('120')}#endif\n${bed('110')}`;
    await expectQuestion(rule, before, 'ONLY_THE_BUILD_KNOWS');
    await expectFinding(
      rule,
      `#define LAB 1\n${before.replace('ONLY_THE_BUILD_KNOWS', 'LAB > 0UL')}`,
      'error',
    );
    await expectFinding(
      rule,
      `${bed('100')}${before.replace('120', '100')}`,
      'error',
      '100 °C on line 1 and',
    );
    const either = `#if ONLY_THE_BUILD_KNOWS\n${bed('110')}#else\n${bed('120')}#endif\n`;
    expect((await expectQuiet(rule, either)).questions).toEqual([]);
  });

  it('deletes a repetition', () =>
    checkFix(rule, `// bed\n${bed('110')}${bed('110')}`, `// bed\n\n${bed('110')}`, 'Delete the earlier'));

  it('keeps the last, or the first when that is not weaker', async () => {
    const both = `// bed\n${bed('110')}${bed('130')}`;
    await checkFix(rule, both, `// bed\n\n${bed('130')}`, 'Keep 130');
    await checkFix(rule, both, `// bed\n${bed('110')}\n`, 'Keep 110');
    const { remedies } = await ask(rule, bed('130') + bed('110'));
    expect(remedies).toContain('words: Keep 130 °C, delete this definition');
  });
});
