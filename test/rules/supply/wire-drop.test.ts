import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { runLoss } from '../../../server/src/physics/wire';
import rule from '../../../server/src/rules/supply/wire-drop';
import { ask, expectFinding, expectQuestion } from '../answers';

const project = (wire: string, bed = '"resistance": "1.9 Ω"', supply = '24 V'): string => `
//- m.machine.json
{
  "name": "M", "supply": { "voltage": "${supply}" },
  "heaters": { "bed": { "zone": "bed", ${bed} } },
  "wires": { "w": { "serves": "heaters.bed", ${wire} } }
}`;
const laid = (size: string, length: string, more = '') => `"size": "${size}", "length": "${length}"${more}`;

describe('worked example: 12.63 A, 0.8 m each way, 70 °C', () => {
  // IEC 60228 class 5: 39 Ω/km; 0.0747 Ω, 0.94 V, 3.9 %, 7.4 W a metre: 11.9 W along 1.6 m.
  it('0.5 mm²: 0.94 V, 3.9 %, 12 W', async () => {
    const { remedies } = await expectFinding(
      rule,
      project(laid('0.5 mm²', '0.8 m')),
      'info',
      '0.943 V (3.93 %)',
      '11.9 W',
      '1.6 m',
    );
    expect(remedies).toEqual(['words: Lay 0.75 mm² (2.6 % lost)']);
  });
  it('1.5 mm²: 0.32 V, 1.3 %', async () => {
    const { findings, agreements } = await ask(rule, project(laid('1.5 mm²', '0.8 m')));
    expect(findings).toEqual([]);
    expect(agreements[0]).toContain('0.322 V (1.34 %)');
  });
});

// 0.75 mm²: 26 Ω/km · 1.1965 at 70 °C = 31.109 mΩ/m; 2 Ω on 24 V: share = 2·l·0.031109·12/24 = 0.031109·l. 3 %: 0.9643 m; 5 %: 1.607 m.
describe('limits', () => {
  it.each([
    ['0.96 m', undefined],
    ['0.97 m', 'info'],
    ['1.60 m', 'info'],
    ['1.61 m', 'warning'],
  ])('0.75 mm², %s: %s', async (length, severity) => {
    const { findings } = await ask(rule, project(laid('0.75 mm²', length), '"resistance": "2 Ω"'));
    expect(findings.map((finding) => finding.split(':')[0])).toEqual(severity ? [severity] : []);
  });
  it('a cooler conductor loses less: 30 °C, 1.0393', async () => {
    const source = project(
      laid('0.75 mm²', '0.97 m', ', "conductorTemperature": "30 °C"'),
      '"resistance": "2 Ω"',
    );
    expect((await ask(rule, source)).findings).toEqual([]);
  });
});

describe('facts', () => {
  // ASTM B258: gauge 20 is 0.52 mm².
  it('gauges: 20 AWG loses 3.8 %', () =>
    expectFinding(rule, project(laid('20 AWG', '0.8 m')), 'info', '(3.8 %)'));
  it('the same in centimetres', () =>
    expectFinding(rule, project(laid('0.5 mm²', '80 cm')), 'info', '3.93 %'));
  it('a length that straddles: one step lower', () =>
    expectFinding(rule, project(laid('0.75 mm²', '1.5..1.7 m'), '"resistance": "2 Ω"'), 'info'));
  it('two wires in a row add', async () => {
    const source = `
//- m.machine.json
{ "name": "M", "supply": { "voltage": "24 V" }, "heaters": { "bed": { "zone": "bed", "resistance": "2 Ω" } }, "wires": {
  "a": { "serves": "heaters.bed", "size": "0.75 mm²", "length": "0.5 m" },
  "b": { "serves": "heaters.bed", "size": "0.75 mm²", "length": "0.5 m" } } }`;
    await expectFinding(rule, source, 'info', '3.11 %', '2 m');
  });
  it('asks for size, length and current', async () => {
    await expectQuestion(
      rule,
      project('"size": "0.5 mm²"'),
      'the length of the wire to the heater of the bed',
    );
    await expectQuestion(rule, project('"length": "0.8 m"'), 'the size of the wire');
    await expectQuestion(rule, project(laid('0.5 mm²', '0.8 m'), '"heatLoss": "1 W/K"'), 'heaters.bed');
  });
  it('a wrong unit is a finding of the file, and no crash', async () => {
    const { findings } = await ask(rule, project(laid('0.5 mm', '0.8 m')));
    expect(findings).toHaveLength(1);
    expect(findings[0]).not.toContain('lose');
  });
  it('mains and motors are not judged', async () => {
    const mains = '"ratedVoltage": "230 V", "voltage": "230 V", "ratedPower": "6000 W", "alternating": true';
    const { findings, questions } = await ask(rule, project(laid('0.5 mm²', '30 m'), mains));
    expect([findings, questions]).toEqual([[], []]);
  });
});

it('more current never cools a wire, nor loses less', () => {
  fc.assert(
    fc.property(
      fc.double({ min: 0.001, max: 0.1, noNaN: true }),
      fc.double({ min: 0.1, max: 5, noNaN: true }),
      fc.double({ min: 0, max: 30, noNaN: true }),
      fc.double({ min: 0, max: 10, noNaN: true }),
      (perMetre, length, current, more) => {
        const [less, most] = [current, current + more].map((one) => runLoss(perMetre, length, one, 70));
        expect(most?.drop).toBeGreaterThanOrEqual(less?.drop ?? 0);
        expect(most?.powerPerMetre).toBeGreaterThanOrEqual(less?.powerPerMetre ?? 0);
      },
    ),
  );
});
