import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/drivers/corner-speed';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';
import { files, type MachineParts, settings } from './machines';

// Two-phase sinusoidal model of stepping-motor textbooks, by hand: Kt = 0.4/(√2·1.5) = 0.1886 N·m/A, p·L·Ipk = 50·3 mH·1.5 A = 0.225,
// √(Kt² + …²) = 0.2936; 12 V: (12 − 1.5·2.0)/0.2936 = 30.66 /s = 4.88 turns/s, · 40 mm = 195 mm/s. 24 V: 21/0.2936 → 455 mm/s.
const CURRENT = (1.5 / Math.SQRT2).toFixed(6);
const machine = (speed: number | string, volts = '12 V', parts: MachineParts = {}) =>
  settings({ CURRENT, SPEED: speed }) +
  files({ ...parts, sheet: { supply: { voltage: volts }, ...parts.sheet } });

describe('drivers/corner-speed', () => {
  it('asks for the gear of a feed roller', () =>
    expectQuestion(
      rule,
      settings({ SPEED: 60, CURRENT: 0.7 }, 'E0') +
        files({ name: 'e0', axis: { transmission: { kind: 'roller', diameter: '11 mm' } } }),
      'gearRatio',
    ));

  it('12 V: full torque up to 195 mm/s, half to two thirds at 500; 24 V: 455 mm/s', async () => {
    const { findings } = await expectFinding(rule, machine(500), 'info', 'up to about 195 mm/s');
    // 0.144 and 0.194 of 0.283 N·m.
    expect(findings[0]).toContain(
      'at 500 mm/s it is 51 to 69 % of that. On 24 V the corner would be at 455 mm/s',
    );
    const { agreements } = await expectQuiet(rule, machine(500, '24 V'));
    expect(agreements.join()).toContain('up to about 455 mm/s');
  });

  it.each([
    // 1.5 · 195.1 = 292.7 mm/s.
    [292, false],
    [293, true],
  ])('%s mm/s is reported: %s', async (speed, reported) => {
    expect((await ask(rule, machine(speed))).findings).toHaveLength(reported ? 1 : 0);
  });

  it('a part of a range only is a hint', async () => {
    await expectFinding(rule, machine(290, '12 V ±5 %'), 'hint');
  });

  it('two motors in series: 202 mm/s on 24 V; in parallel each has half the current', async () => {
    const two = (joined: string) => ({ axis: { motors: [{ motor: 'm' }, { motor: 'm' }], joined } });
    const series = await ask(rule, machine(300, '24 V', two('series')));
    expect(series.agreements.join()).toContain('202 mm/s');
    // Ipk 0.75: √(0.1886² + 0.1125²) = 0.2196; 12 − 1.5·0.4 − 0.75·1.6 = 10.2 V → 46.4 /s → 296 mm/s.
    const parallel = await ask(rule, machine(300, '12 V', two('parallel')));
    expect(parallel.agreements.join()).toContain('296 mm/s');
  });

  it('finds the same in other units', async () => {
    await expectFinding(
      rule,
      machine(500, '12000 mV', { motor: { inductance: '0.003 H' } }),
      'info',
      '195 mm/s',
    );
  });

  it('asks for what is missing', async () => {
    await expectQuestion(rule, machine(500, '12 V', { motor: { inductance: undefined } }), 'inductance');
    await expectQuestion(rule, settings({ SPEED: 500 }) + files(), 'motorCurrent');
    await expectQuestion(rule, machine(500, '12 V', { axis: { transmission: {} } }), 'transmission');
  });

  it('a wrong unit is a problem of the file', async () => {
    const { analysis, questions } = await ask(rule, machine(500, '12 V', { motor: { inductance: '3 mm' } }));
    expect(analysis.findings.filter(({ rule: id }) => id === rule.id)).toEqual([]);
    expect(questions.join()).toContain('inductance');
  });

  it('lowers the highest speed to one and a half of the corner', async () => {
    await checkFix(rule, machine(500), machine(290));
  });
});
