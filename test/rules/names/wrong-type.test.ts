import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/names/wrong-type';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuiet } from '../answers';

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

  // 1.8°, 16 microsteps, roller of 11 mm: 3200/(π·11) = 92.599 steps/mm; belt of 2 mm and 20 teeth: 3200/40 = 80.
  const sheet = (axes: string) => `
//- a.machine.json
{ "name": "Example", "motors": { "m": { "stepAngle": "1.8°" } }, "axes": { ${axes} } }
`;
  const axis = (name: string, transmission: string) =>
    `"${name}": { "motors": [{ "motor": "m" }], "transmission": { ${transmission} } }`;
  const roller = axis('e0', '"kind": "roller", "diameter": "11 mm"');
  const microsteps = '#define AXIS_Z_MICROSTEPS 16\n#define AXIS_E0_MICROSTEPS 16\n';

  it('computes the entry that is missing', async () => {
    const text = (steps: string) => `#define ALL_STEPS ${steps}\n${microsteps}${list}${sheet(roller)}`;
    await checkFix(rule, text('{80, 80, 400}'), text('{80, 80, 400, 92.5992}'), 'Add 92.5992 for E0');
    await checkFix(rule, text('{ 80.0f, 80.0f, 400.0f, }'), text('{ 80.0f, 80.0f, 400.0f, 92.5992f, }'));
    const { remedies } = await expectFinding(rule, text('{80, 80}'), 'error', '2 values');
    expect(remedies).toEqual([]);
    const both = sheet(`${axis('z', '"kind": "belt", "pitch": "2 mm", "teeth": 20')}, ${roller}`);
    await checkFix(
      rule,
      `#define ALL_STEPS {80, 80}\n${microsteps}${list}${both}`,
      `#define ALL_STEPS {80, 80, 80, 92.5992}\n${microsteps}${list}${both}`,
    );
  });

  it('offers no entry that cannot be computed, and no edit of a list that stands elsewhere', async () => {
    const bare = await ask(rule, `#define ALL_STEPS {80, 80, 400}\n${list}${sheet(roller)}`);
    expect(bare.findings).toHaveLength(1);
    expect(bare.remedies).toEqual([]);
    const one = await ask(rule, `#define ALL_STEPS 80\n${microsteps}${list}${sheet(roller)}`);
    expect(one.remedies).toEqual([]);
    const macro = `#define MINE {80, 80, 400}\n#define ALL_STEPS MINE\n${microsteps}${list}${sheet(roller)}`;
    const { remedies } = await expectFinding(rule, macro, 'error', '3 values');
    expect(remedies[0]).toMatch(/^words: Add 92\.5992 for E0/);
  });

  it('asks for no entry of an axis that the machine does not have', async () => {
    const router = sheet(['x', 'y', 'z'].map((name) => axis(name, '"kind": "belt"')).join(', '));
    const text = `#define ALL_STEPS {80, 80, 400}\n${list}${router}`;
    await expectQuiet(rule, text);
    await expectFinding(rule, `#define AXIS_E0_STEP_PIN P3\n${text}`, 'error', '4');
    await expectFinding(rule, `#define ALL_STEPS {80, 80}\n${list}${router}`, 'error', '4');
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
