import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/supply/budget';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

/** Four motors of 3.6 Ω at 1/√2 A: 2·0.5·3.6 = 3.6 W each, 16.9 W with the drivers' loss; fans 8 W, board 6 W. */
const project = (power: string, bed = '"resistance": "1.9 Ω"', supply = '24 V', more = ''): string => `
//- s.h
#define AXIS_X_MOTOR_CURRENT_A 0.70710678
#define AXIS_Y_MOTOR_CURRENT_A 0.70710678
#define AXIS_Z_MOTOR_CURRENT_A 0.70710678
#define AXIS_E0_MOTOR_CURRENT_A 0.70710678
//- b.board.json
{ "name": "B", "supply": { "logicPower": "6 W" } }
//- m.machine.json
{
  "name": "M", "supply": { "voltage": "${supply}"${power === '' ? '' : `, "power": "${power}"`} },
  "heaters": {
    "bed": { "zone": "bed"${bed === '' ? '' : `, ${bed}`} },
    "tool": { "zone": "tool.0", "ratedVoltage": "24 V", "ratedPower": "40 W" }
  },
  "motors": { "m": { "resistance": "3.6 Ω" } },
  "axes": { "x": { "motors": [{ "motor": "m" }] }, "y": { "motors": [{ "motor": "m" }] },
    "z": { "motors": [{ "motor": "m" }] }, "e0": { "motors": [{ "motor": "m" }] } },
  "fans": { "a": { "current": "0.25 A" }, "b": { "current": "83.3333 mA" }${more} }
}`;

it('worked example: 303 + 40 + 16.9 + 8 + 6 = 374 W of 360 W, 104 %', async () => {
  const { remedies } = await expectFinding(
    rule,
    project('360 W'),
    'warning',
    '374 W of 360 W (104 %)',
    'the heater of the bed 303 W',
    'cut out',
  );
  // 374/0.8
  expect(remedies[0]).toContain('at least 468 W');
});

// 303.158 + 40 + 16.941 + 8 + 6 = 374.099 W: 80 % of 467.6, 100 % of 374.1, 115 % of 325.3.
it.each([
  ['468 W', undefined],
  ['467 W', 'info'],
  ['375 W', 'info'],
  ['374 W', 'warning'],
  ['326 W', 'warning'],
  ['325 W', 'error'],
])('a supply of %s: %s', async (power, severity) => {
  const { findings, agreements } = await ask(rule, project(power));
  expect(findings.map((finding) => finding.split(':')[0])).toEqual(severity ? [severity] : []);
  expect(agreements).toHaveLength(severity ? 0 : 1);
});

describe('facts', () => {
  it('a supply of ±5 % is judged at its nominal voltage: its rating is of current', () =>
    expectQuiet(rule, project('468 W', undefined, '24 V ±5 %')));
  it('the same in kilowatts and milliohms', () =>
    expectFinding(rule, project('0.36 kW', '"resistance": "1900 mΩ"'), 'warning', '374 W of 360 W'));
  it('a heater whose tolerance straddles the rating: one step lower', async () => {
    // 1.9 Ω ±10 %: 276 to 337 W, 347 to 408 W in all.
    await expectFinding(rule, project('360 W', '"resistance": "1.9 Ω ±10 %"'), 'info');
  });
  it('an estimate is no error, and named', async () => {
    const bed = '"resistance": { "value": "1.9 Ω", "quality": "estimated" }';
    await expectFinding(rule, project('325 W', bed), 'warning', 'estimated');
  });
  it('a missing load counts as nothing and is named', async () => {
    const { agreements, questions } = await expectQuiet(rule, project('360 W', ''));
    expect(agreements[0]).toContain('Not counted, for want of figures: the heater of the bed');
    expect(questions.join()).toContain('heaters.bed');
  });
  it('asks for the label, once a load is known', async () => {
    await expectQuestion(rule, project(''), 'supply.power');
    const { findings, questions } = await ask(
      rule,
      '//- b.board.json\n{ "name": "B", "supply": { "logicPower": "6 W" } }',
    );
    expect([findings, questions]).toEqual([[], []]);
  });
  it('mains heaters and other supplies do not count', async () => {
    const bed = '"ratedVoltage": "230 V", "voltage": "230 V", "ratedPower": "600 W", "alternating": true';
    const { agreements } = await expectQuiet(rule, project('100 W', bed));
    expect(agreements[0]).toContain('70.9 W of 100 W');
  });
  it('a wrong unit is a finding of the file, and no crash', async () => {
    const { findings } = await ask(rule, project('360 A'));
    expect(findings).toHaveLength(1);
    expect(findings[0]).not.toContain('Everything on');
  });
});
