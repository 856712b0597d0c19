import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/heating/voltage-mismatch';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';

const project = (heater: string, supply = '24 V'): string => `
//- m.machine.json
{ "name": "M"${supply === '' ? '' : `, "supply": { "voltage": "${supply}" }`}, "heaters": { "tool": { "zone": "tool.0"${heater === '' ? '' : `, ${heater}`} } } }`;
const rated = (voltage: string, power = '40 W') => `"ratedVoltage": "${voltage}", "ratedPower": "${power}"`;

it('worked example: 12 V, 40 W on 24 V: 160 W, 6.67 A, four times', async () => {
  const { analysis, remedies } = await expectFinding(
    rule,
    project(rated('12 V')),
    'error',
    'This 12 V heater on 24 V makes 160 W instead of 40 W (400 %) and draws 6.67 A',
    'no power limit in software makes that safe',
  );
  expect(analysis.findings[0]?.caution).toContain('Do not power this heater');
  // 24²/40 = 14.4 Ω
  expect(remedies).toEqual([
    expect.stringMatching(/^words: Do not power it\. Fit a heater for 24 V \(14\.4 Ω for 40 W\)/),
  ]);
});

// On 10 V rated: √1.25 → 11.18 V, √1.5 → 12.247 V, √0.8 → 8.944 V, √0.5 → 7.071 V.
it.each([
  ['10 V', undefined],
  ['11.18 V', undefined],
  ['11.19 V', 'warning'],
  ['12.24 V', 'warning'],
  ['12.25 V', 'error'],
  ['8.95 V', undefined],
  ['8.94 V', 'info'],
  ['7.08 V', 'info'],
  ['7.07 V', 'warning'],
])('a 10 V heater on %s: %s', async (supply, severity) => {
  const { analysis, findings, agreements } = await ask(rule, project(rated('10 V'), supply));
  expect(findings.map((finding) => finding.split(':')[0])).toEqual(severity ? [severity] : []);
  expect(agreements).toHaveLength(severity ? 0 : 1);
  // Too little power is no danger.
  if (severity && Number.parseFloat(supply) < 10) expect(analysis.findings[0]?.caution).toBeUndefined();
});

describe('facts', () => {
  it('13.4 V on a 12 V bed is 125 % and common', () => expectQuiet(rule, project(rated('12 V'), '13.4 V')));
  it("the supply's tolerance is no mismatch", () => expectQuiet(rule, project(rated('24 V'), '24 V ±10 %')));
  it('made for a range that the supply lies in', () => expectQuiet(rule, project(rated('12..24 V'), '24 V')));
  it('a range that the supply lies above by some of it: one step lower, and "may"', () =>
    expectFinding(rule, project(rated('19..22 V'), '24 V'), 'warning', 'may be overloaded'));
  it('the same in millivolts', () => expectFinding(rule, project(rated('12000 mV')), 'error', '160 W'));
  it('the measured resistance tells the power: 24²/4 = 144 W', () =>
    expectFinding(rule, project(`${rated('12 V')}, "resistance": "4 Ω"`), 'error', '144 W', '6 A'));
  it('without a power: the share', () =>
    expectFinding(rule, project('"ratedVoltage": "12 V"'), 'error', '400 % of its rated power'));
  it('asks for the rated voltage and the supply', async () => {
    await expectQuestion(rule, project('"resistance": "4 Ω"'), 'heaters.tool.ratedVoltage');
    await expectQuestion(rule, project(rated('12 V'), ''), 'supply.voltage');
  });
  it('a wrong unit is a finding of the file, and no crash', async () => {
    const { findings } = await ask(rule, project(rated('12 A')));
    expect(findings).toHaveLength(1);
    expect(findings[0]).not.toContain('instead');
  });
  it('a heater for mains is not on the main supply; on the wrong mains it is told, with the caution for mains', async () => {
    await expectQuiet(rule, project(`${rated('230 V', '600 W')}, "alternating": true`));
    const { analysis, remedies } = await expectFinding(
      rule,
      project(`${rated('120 V', '600 W')}, "alternating": true, "voltage": "230 V"`),
      'error',
      'This 120 V heater on 230 V',
    );
    expect(analysis.findings[0]?.caution).toContain('licensed electrician');
    expect(remedies.every((one) => one.startsWith('words: '))).toBe(true);
  });
  it('what hangs on the wrong voltage hangs under it', async () => {
    const { analysis } = await ask(rule, project(rated('12 V')));
    expect(analysis.findings[0]?.root).toEqual(analysis.findings[0]?.place);
  });
});
