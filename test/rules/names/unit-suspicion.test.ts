import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/names/unit-suspicion';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuiet } from '../answers';

const speed = (value: number) => `#define AXIS_X_MAX_SPEED_MM_PER_S ${value}\n`;
const belt = `
//- a.machine.json
{ "name": "Example", "axes": { "x": { "transmission": { "kind": "belt" } } } }
`;

// Bands and the factor 5 are common practice; the conversions are definitions (1 min = 60 s, 1 in = 25.4 mm).
describe('names/unit-suspicion', () => {
  it('sees mm/min: 9000 mm/min = 150 mm/s, 9 times outside', async () => {
    await expectFinding(
      rule,
      speed(9000) + belt,
      'warning',
      '9000 mm/s is 32 km/h',
      '9000 mm/min = 150 mm/s',
    );
  });

  it('is info up to five times outside, warning beyond', async () => {
    await expectQuiet(rule, speed(1000) + belt);
    await expectFinding(rule, speed(1001) + belt, 'info', 'mm/min');
    await expectFinding(rule, speed(5000) + belt, 'info', 'mm/min');
    await expectFinding(rule, speed(5001) + belt, 'warning', 'mm/min');
  });

  it('is silent when no other unit explains the value', async () => {
    await expectQuiet(rule, '#define AXIS_X_MICROSTEPS 300\n');
    await expectQuiet(rule, '#define MOTION_PLANNER_DEPTH 1000\n');
    await expectQuiet(rule, '#define GUARD_BED_HOLD_BAND_KELVIN 100\n');
  });

  it('sees metres, milliamperes and Fahrenheit', async () => {
    await expectFinding(rule, '#define AXIS_X_MOTOR_CURRENT_A 800\n', 'warning', '800 mA = 0.8 A');
    // 230 °F = 110 °C (definition of the Fahrenheit scale).
    await expectFinding(rule, '#define BED_MAX_TEMPERATURE_CELSIUS 230\n', 'info', '230 °F = 110 °C');
    await expectFinding(
      rule,
      `#define AXIS_X_MAX_SPEED_MM_PER_S 0.15\n${belt}`,
      'warning',
      '0.15 m/s = 150 mm/s',
    );
  });

  it('finds the same in the unit of a name map', async () => {
    const map =
      '//- a.names.json\n{ "names": { "X_MAX": { "concept": "axis.x.maxSpeed", "unit": "mm/min" } } }\n';
    await expectQuiet(rule, `#define X_MAX 9000\n${map}${belt}`);
    await expectFinding(rule, `#define X_MAX 150\n${map}${belt}`, 'info', '150 mm/s = 150 mm/s');
  });

  const board = (rate: string) => `
//- a.board.json
{ "name": "Example", "stepRates": { "1": "${rate}" } }
`;

  it('is a warning when the board cannot make the steps', async () => {
    const text = `${speed(1500)}#define AXIS_X_STEPS_PER_MM 80\n`;
    await expectFinding(rule, `${text}${board('100 kHz')}${belt}`, 'warning');
    await expectFinding(rule, `${text}${board('1 MHz')}${belt}`, 'info');
  });

  it('is silent when board and motor were computed and can do it', async () => {
    const light = `
//- a.machine.json
{
  "name": "Example",
  "supply": { "voltage": "48 V" },
  "motors": { "m": { "stepAngle": "1.8°", "ratedCurrent": "2 A", "holdingTorque": "0.4 N·m", "inductance": "1.5 mH", "resistance": "1 Ω" } },
  "axes": { "x": { "motors": [{ "motor": "m" }], "transmission": { "kind": "belt", "pitch": "2 mm", "teeth": 20 }, "movedMass": "0.2 kg", "friction": "1 N" } }
}
`;
    const text = `${speed(1500)}#define AXIS_X_STEPS_PER_MM 80\n#define AXIS_X_MOTOR_CURRENT_A 2\n#define AXIS_X_MAX_ACCELERATION_MM_PER_S2 3000\n`;
    await expectQuiet(rule, `${text}${board('1 MHz')}${light}`);
    await expectFinding(rule, `${text}${board('100 kHz')}${light}`, 'warning');
  });

  // I_pk = V_ref/(g·R_s): 0.9 V/(8·0.1 Ω) = 1.125 A peak = 0.795 A rms. I_pk = V_fs/R_s: 0.32 V/0.22 Ω = 1.455 A peak = 1.029 A rms.
  const driver = (current: string, more = '') => `
//- a.board.json
{ "name": "Example", "drivers": { "X": { "stepPin": "P1", "senseResistor": "0.1 Ω" } } }
//- a.machine.json
{
  "name": "Example",
  "drivers": { "X": { "family": "own", "familyFacts": { "current": ${current} }${more} } }
}
`;
  const analog = driver('{ "kind": "reference", "gain": 8 }', ', "referenceVoltage": "0.9 V"');
  const digital = driver(
    '{ "kind": "bus", "fullScale": ["0.32 V", "0.18 V"] }',
    ', "senseResistor": "0.22 Ω"',
  );
  const current = (value: string) => `#define AXIS_X_STEP_PIN P1\n#define AXIS_X_MOTOR_CURRENT_A ${value}\n`;

  it('sees a peak value where the rms value belongs', async () => {
    const answers = await expectFinding(
      rule,
      current('1.13') + analog,
      'info',
      'gives 0.795 A rms',
      '1.13 A looks like the peak value',
    );
    expect(answers.remedies).toEqual(['ask: Write the rms value, 0.795 A']);
    expect(answers.analysis.findings[0]?.causes).toHaveLength(3);
    await expectFinding(rule, current('1.45') + digital, 'info', 'full scale is 1.03 A rms');
    await checkFix(rule, current('1.45') + digital, current('1.03') + digital);
  });

  it('sees an rms value divided by √2 once more, and raises no current by edit', async () => {
    const { remedies } = await expectFinding(rule, current('0.562') + analog, 'info', 'once more');
    expect(remedies).toEqual(['words: Write the rms value, 0.795 A']);
  });

  it('says nothing of √2 unless the driver formula gives the other value exactly', async () => {
    for (const value of ['0.795', '0.8', '1.1', '1.15', '0.55'])
      await expectQuiet(rule, current(value) + analog);
    // 0.18 V/0.22 Ω = 0.818 A is the peak of the smaller range, and a sound rms value in the larger one.
    for (const value of ['1.03', '0.818', '1.4']) await expectQuiet(rule, current(value) + digital);
    await expectQuiet(rule, current('1.13'));
    await expectQuiet(rule, current('1.13') + driver('{ "kind": "reference", "gain": 8 }'));
  });

  it.each([
    ['a dead branch', `#if 0\n${speed(9000)}#endif\n`],
    ['an undecided branch', `#if ONLY_THE_BUILD_KNOWS\n${speed(9000)}#endif\n`],
    ['zero', speed(0)],
  ])('is silent about %s', async (_, text) => {
    await expectQuiet(rule, text);
  });

  it('writes the converted value', () => checkFix(rule, speed(9000), speed(150)));

  it('lowers no guard by edit', async () => {
    const { remedies } = await ask(rule, '#define GUARD_BED_RISE_WINDOW_S 0.5\n');
    expect(remedies.every((text) => text.startsWith('words: '))).toBe(true);
  });
});
