import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/inputs/broken-wire';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';
import { inputProject, NPN, pullDown, pullUp, series, TO_ZERO, TO_ZERO_NC, undecidedPull } from './kit';

// Levels by nodal analysis; what is safe by the break-to-stop principle (IEC 60204-1, ISO 13849-2).
const UP = [pullUp('10 kΩ'), series('1 kΩ')];
const project = (parts: Parameters<typeof inputProject>[0]) =>
  inputProject({ active: 'LOW', fitted: UP, ...parts });

describe('worked example: NO to 0 V with a pull-up, active low', () => {
  it('a cut wire reads free: info on a plain axis', async () => {
    const { remedies } = await expectFinding(
      rule,
      project({ sensor: TO_ZERO }),
      'info',
      'its pin goes high (3.3 V)',
      'takes the end for free',
    );
    expect(remedies).toEqual([
      expect.stringMatching(/^words: .*"contact": "NC".*ENDSTOP_X_LOW_ACTIVE_LEVEL to HIGH/),
    ]);
  });

  it('NC with active high: a cut wire stops the machine', async () => {
    const { agreements } = await expectQuiet(rule, project({ active: 'HIGH', sensor: TO_ZERO_NC }));
    expect(agreements).toEqual([
      'With its wire cut the pin reads high, which counts as pressed: the machine stops.',
    ]);
  });
});

const z = (axis: string, sensor = TO_ZERO) =>
  project({ sensor })
    .replaceAll('ENDSTOP_X', 'ENDSTOP_Z')
    .replace('endstop.x.low', 'endstop.z.low')
    .replace('"name": "M"', `"name": "M", "axes": { "z": { ${axis} } }`);
// Lead angle atan(8/(π·7)) = 20.0°, atan(2/(π·7)) = 5.2°; friction angle atan(0.15/cos 15°) = 8.8°.
const STEEP = '"transmission": { "kind": "screw", "lead": "8 mm", "pitchDiameter": "7 mm" }';
const FLAT = '"transmission": { "kind": "screw", "lead": "2 mm", "pitchDiameter": "7 mm" }';
const FALLS = '"vertical": true, "fallsOnto": "bed"';

describe('the end that a falling axis falls to', () => {
  it.each([
    ['a steep screw', `${FALLS}, ${STEEP}`, 'warning'],
    ['a belt', `${FALLS}, "transmission": { "kind": "belt", "pitch": "2 mm", "teeth": 20 }`, 'warning'],
    ['a flat screw holds', `${FALLS}, ${FLAT}`, 'info'],
    ['a brake holds', `${FALLS}, ${STEEP}, "brake": true`, 'info'],
    ['it lies', STEEP, 'info'],
    ['it falls away from this end', `"vertical": true, "fallsOnto": "hand", ${STEEP}`, 'info'],
    ['the drive is not known', FALLS, 'info'],
  ])('%s', async (_, axis, severity) => {
    await expectFinding(rule, z(axis), severity);
  });

  it('an estimated lead does not make it louder', async () => {
    const estimated = STEEP.replace('"8 mm"', '{ "value": "8 mm", "quality": "estimated" }');
    await expectFinding(
      rule,
      z(`${FALLS}, ${estimated}`),
      'warning',
      'falls toward this end by itself, onto the bed',
    );
  });
});

const other = (id: string, name: string, parts: Parameters<typeof inputProject>[0]) =>
  project(parts).replaceAll('ENDSTOP_X_LOW', name).replace('endstop.x.low', id);

describe('probe and door', () => {
  it('a probe that is normally open by build: info', async () => {
    await expectFinding(rule, other('probe', 'PROBE', { sensor: NPN }), 'info', 'drives into the bed');
  });

  it('a normally closed probe whose pull is the wrong way: warning', async () => {
    // NC to 3.3 V, no pull-down: nothing pulls the open input low.
    const sensor = '"kind": "contact", "contact": "NC", "joins": "supply", "supply": "3.3 V"';
    const source = other('probe', 'PROBE', { sensor, fitted: [], pull: 'NONE', active: 'LOW' });
    await expectFinding(rule, source, 'warning', 'nothing sets the level');
  });

  it('a door that reads shut without its wire: error', async () => {
    await expectFinding(rule, other('door', 'DOOR', { sensor: TO_ZERO }), 'error', 'takes the door for shut');
    await expectQuiet(rule, other('door', 'DOOR', { sensor: TO_ZERO_NC, active: 'HIGH' }));
  });

  it("a sensor of the spindle is no input of the settings: SPINDLE_PIN is the spindle's output", async () => {
    const source = other('spindle', 'SPINDLE', { sensor: TO_ZERO });
    const { findings, questions } = await ask(rule, source);
    expect([findings, questions]).toEqual([[], []]);
  });
});

// 12 kΩ up and a pull-down: 3.3·R/(12 kΩ + R); VIH 2.31 V, fitted parts ±5 %, at which the ratio moves by about 3 %.
describe('the level of the open input', () => {
  const divided = (down: string, level = 'HIGH', contact = 'NC') =>
    project({
      active: level,
      fitted: [pullUp('12 kΩ'), pullDown(down)],
      sensor: TO_ZERO.replace('NO', contact),
    });
  it.each([
    // 2.31 V needs 28 kΩ at nominal values; 26 kΩ gives 2.26 V, 30 kΩ 2.36 V, both within 5 % parts of the limit.
    ['22 kΩ', 'info', 'takes'],
    ['26 kΩ', 'hint', 'may take'],
    ['30 kΩ', 'hint', 'may take'],
    ['34 kΩ', undefined, ''],
  ])('%s: %s', async (down, severity, word) => {
    const source = divided(down);
    if (severity) await expectFinding(rule, source, severity, 'no sure level', word);
    else await expectQuiet(rule, source);
  });
});

describe('leaves to other rules', () => {
  it.each([
    [
      'a stuck input',
      { sensor: '"kind": "pnp", "contact": "NO", "supply": "5 V", "drop": "0.9 V", "leakage": "0.01 mA"' },
    ],
    ['an inverted one', { active: 'LOW', sensor: TO_ZERO_NC }],
  ])('%s', async (_, parts) => {
    await expectQuiet(rule, project(parts));
  });
});

describe('what is missing is asked for, silently', () => {
  it.each([
    ['the sensor', { sensor: undefined }, 'mechanical contact, NPN or PNP?'],
    ['its kind', { sensor: '' }, 'sensors.x.kind'],
    ['the pull', { sensor: TO_ZERO, pull: '' }, 'Set the pull'],
    ['the logic voltage', { sensor: TO_ZERO, logic: '' }, 'logicVoltage'],
  ])('%s', async (_, parts, question) => {
    await expectQuestion(rule, project(parts), question);
  });

  it('without an active level, or with one that only the build knows, nothing is said', async () => {
    await expectQuiet(rule, project({ sensor: TO_ZERO, active: undefined }));
    await expectQuiet(rule, undecidedPull(project({ sensor: TO_ZERO })));
  });

  it('stall detection has no wire', async () => {
    await expectQuiet(rule, project({ sensor: '"kind": "stall"' }));
  });
});

it.each(['10 kΩ', '10000 Ω', '0.01 MΩ'])('the same with the pull-up as %s', async (ohms) => {
  await expectFinding(rule, project({ sensor: TO_ZERO, fitted: [pullUp(ohms)] }), 'info', '3.3 V');
});

it('an optocoupler is not computed', async () => {
  await expectQuiet(rule, project({ sensor: TO_ZERO, fitted: ['{ "part": "optocoupler" }'] }));
});

it('a wrong unit is a finding of the file', async () => {
  const { findings } = await ask(rule, project({ sensor: `${TO_ZERO}, "saturation": "3 mm"` }));
  expect(findings.some((text) => text.includes('voltage'))).toBe(true);
});
