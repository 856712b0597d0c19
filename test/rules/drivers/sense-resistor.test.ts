import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/drivers/sense-resistor';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';
import { files, type MachineParts, settings, severityOf } from './machines';

/** A rms at 1 A peak, to three digits as a person writes it. */
const RMS = 0.71;

// Current formulas of driver data sheets: the voltage over the resistor is compared, so I ∝ 1/R.
const machine = (values: Parameters<typeof settings>[0], parts: MachineParts = {}) =>
  settings(values) + files({ ...parts, socket: { senseResistor: '0.05 Ω', ...parts.socket } });

describe('drivers/sense-resistor', () => {
  it('0.10 Ω set, 0.05 Ω fitted: 1.6 A instead of 0.8 A, four times the heat', async () => {
    await expectFinding(
      rule,
      machine({ CURRENT: 0.8, SENSE: '0.10' }),
      'error',
      'count on 0.1 Ω',
      'this board has 0.05 Ω',
      '1.6 A instead of 0.8 A',
      '4 times the heat',
    );
  });

  it.each([
    ['0.045', undefined],
    ['0.0449', 'warning'],
    ['0.055', undefined],
    ['0.0551', 'warning'],
    ['0.065', 'warning'],
    ['0.0651', 'error'],
  ])('%s Ω in the settings for 0.05 Ω is %s', async (ohms, severity) => {
    const { findings } = await ask(rule, machine({ CURRENT: 0.8, SENSE: ohms }));
    expect(findings.map(severityOf)).toEqual(severity ? [severity] : []);
  });

  it('20 % too much is an error where that is over the motor’s plate', async () => {
    const text = (current: number) =>
      machine({ CURRENT: current, SENSE: '0.06' }, { motor: { ratedCurrent: '1 A' } });
    await expectFinding(rule, text(0.8), 'warning', '0.96 A');
    await expectFinding(rule, text(0.9), 'error', '1.08 A', 'the motor is made for 1 A');
    // What is set is over the plate already: that is drivers/current-over-motor's.
    await expectFinding(rule, text(1.1), 'warning');
  });

  it('bond wires and tracks count on both sides', async () => {
    // (0.06 + 0.02)/(0.05 + 0.02) = 1.143 where 0.06/0.05 would be 1.2.
    const current = { kind: 'bus', fullScale: ['0.325 V'], extraResistance: '20 mΩ', steps: 32 };
    await expectFinding(
      rule,
      machine({ CURRENT: 1, SENSE: '0.06' }, { socket: { familyFacts: { current } } }),
      'warning',
      '1.14 A instead of 1 A',
    );
  });

  it('a reference voltage: g = 8, 0.8 V: 1.0 A peak at 0.1 Ω, 2.0 A at 0.05 Ω', async () => {
    const current = { kind: 'reference', gain: 8 };
    const text = (ohms: string, set: number) =>
      machine(
        { CURRENT: set, REFERENCE: 0.8 },
        { socket: { senseResistor: ohms, familyFacts: { current } } },
      );
    await expectQuiet(rule, text('0.1 Ω', RMS));
    await expectFinding(rule, text('0.05 Ω', RMS), 'error', '2 A peak', '1.41 A instead of 0.71 A');
    // A peak value where rms belongs is names/unit-suspicion's.
    await expectQuiet(rule, text('0.1 Ω', 1));
    // 0.354 A is set, 0.707 A flows; 0.4 V would give it.
    const { remedies } = await ask(rule, text('0.1 Ω', 0.3535));
    expect(remedies).toEqual(["ask: Lower X's reference voltage to 0.39 V, 0.35 A rms"]);
    await checkFix(rule, text('0.1 Ω', 0.3535), text('0.1 Ω', 0.3535).replace('V 0.8', 'V 0.39'));
  });

  it('a tolerance that straddles a threshold says may', async () => {
    await expectFinding(
      rule,
      machine({ CURRENT: 0.8, SENSE: '0.055' }, { socket: { senseResistor: '0.05 Ω ±1 %' } }),
      'info',
      'may get',
    );
  });

  it('asks for the board’s resistor, and only where the settings have one', async () => {
    const none = { socket: { senseResistor: undefined } };
    await expectQuestion(rule, machine({ CURRENT: 0.8, SENSE: 0.1 }, none), 'senseResistor');
    const { questions } = await expectQuiet(rule, machine({ CURRENT: 0.8 }, none));
    expect(questions).toEqual([]);
  });

  it('tells the ratio where no current is set; finds the same in milliohms; survives a wrong unit', async () => {
    await expectFinding(rule, machine({ SENSE: 0.1 }), 'error', '2 times the current that is meant');
    await expectFinding(rule, machine({ SENSE: 0.1 }, { socket: { senseResistor: '50 mΩ' } }), 'error');
    const wrong = await ask(rule, machine({ SENSE: 0.1 }, { socket: { senseResistor: '50 mV' } }));
    expect(wrong.analysis.findings.filter(({ rule: id }) => id === rule.id)).toEqual([]);
  });

  it('takes the board’s value by edit, but not where that raises the current', async () => {
    await checkFix(rule, machine({ CURRENT: 0.8, SENSE: '0.10' }), machine({ CURRENT: 0.8, SENSE: '0.05' }));
    const { remedies } = await ask(rule, machine({ CURRENT: 0.8, SENSE: '0.02' }));
    expect(remedies).toEqual(["words: Set it to 0.05 Ω, the board's; the current then rises to what is set"]);
  });
});
