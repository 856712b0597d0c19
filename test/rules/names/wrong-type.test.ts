import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/names/wrong-type';
import { checkFix } from '../../kit/checkRule';
import { expectFinding, expectQuiet } from '../answers';

const list = `
//- a.names.json
{ "names": { "ALL_STEPS": { "list": ["axis.x.stepsPerMm", "axis.y.stepsPerMm", "axis.z.stepsPerMm", "axis.e0.stepsPerMm"] } } }
`;

describe('names/wrong-type', () => {
  it.each([
    ['text for a number', '#define AXIS_X_STEPS_PER_MM "eighty"', '"eighty"'],
    ['no value', '#define AXIS_X_STEPS_PER_MM', 'no value'],
    ['a fraction for a whole number', '#define AXIS_X_MICROSTEPS 16.5', '16.5'],
    ['a number for a switch', '#define GUARD_BED_ENABLED 7', 'switch'],
    ['a division by zero', '#define AXIS_X_STEPS_PER_MM (1.0 / 0.0)', 'no'],
  ])('is an error for %s', async (_, text, part) => {
    await expectFinding(rule, `${text}\n`, 'error', part);
  });

  it('is an error for a list that is too short, once', async () => {
    await expectFinding(rule, `#define ALL_STEPS {80, 80, 400}\n${list}`, 'error', '3', '4');
    await expectQuiet(rule, `#define ALL_STEPS {80, 80, 400, 500}\n${list}`);
  });

  it.each([
    [
      'sound values',
      '#define AXIS_X_STEPS_PER_MM 80.5\n#define AXIS_X_STEP_PIN P14\n#define GUARD_BED_ENABLED 0\n',
    ],
    ['a dead branch', '#if 0\n#define AXIS_X_STEPS_PER_MM "eighty"\n#endif\n'],
    ['an undecided branch', '#if ONLY_THE_BUILD_KNOWS\n#define AXIS_X_STEPS_PER_MM "eighty"\n#endif\n'],
    ['a commented line', '// #define AXIS_X_STEPS_PER_MM "eighty"\n'],
    [
      'an overridden line',
      '#define AXIS_X_STEPS_PER_MM "eighty"\n#undef AXIS_X_STEPS_PER_MM\n#define AXIS_X_STEPS_PER_MM 80\n',
    ],
    ['a wrong choice, which another rule tells', '#define ENDSTOP_X_LOW_PULL updown\n'],
    ['a name nobody knows', '#define MY_WORD "eighty"\n'],
  ])('is silent about %s', async (_, text) => {
    await expectQuiet(rule, text);
  });

  it('takes the quotes off', () =>
    checkFix(rule, '#define AXIS_X_STEPS_PER_MM "80"\n', '#define AXIS_X_STEPS_PER_MM 80\n', 'Write 80'));

  it('turns a decimal comma into a point', async () => {
    const { remedies } = await expectFinding(rule, '#define AXIS_X_STEPS_PER_MM 80,5\n', 'error');
    expect(remedies).toContain('ask: Write 80.5');
  });
});
