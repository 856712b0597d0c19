import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { windingTemperature } from '../../../server/src/physics/stepper';
import rule from '../../../server/src/rules/drivers/current-over-motor';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';
import { files, type MachineParts, settings, severityOf } from './machines';

// NEMA ICS 16 and IEC 60034-1: class B windings rise 80 K at rated current, 130 °C at most (IEC 60085); heat goes with I².
const machine = (values: Parameters<typeof settings>[0], parts: MachineParts = {}) =>
  settings(values) + files({ ...parts, motor: { ratedCurrent: '1.0 A', ...parts.motor } });

describe('drivers/current-over-motor', () => {
  it('1.4 A on a 1.0 A motor: 1.96 times the heat, 25 + 157 = 182 °C', async () => {
    await expectFinding(rule, machine({ CURRENT: 1.4 }), 'error', '1.96 times', '182 °C', '130 °C');
  });

  it.each([
    [0.99, undefined],
    [1, undefined],
    [1.01, 'warning'],
    [1.2, 'warning'],
    [1.21, 'error'],
  ])('%s A on a 1.0 A motor is %s', async (current, severity) => {
    const { findings } = await ask(rule, machine({ CURRENT: current }));
    expect(findings.map(severityOf)).toEqual(severity ? [severity] : []);
  });

  it('a heated enclosure counts: 100 % at 55 °C is 135 °C', async () => {
    const warm = (ambient: string) => machine({ CURRENT: 1 }, { sheet: { ambient } });
    await expectFinding(rule, warm('55 °C'), 'warning', '135 °C');
    await expectQuiet(rule, warm('50 °C'));
    await expectFinding(rule, warm('45..55 °C'), 'info', 'may come near 135 °C');
  });

  it('an idle current counts for standstill', async () => {
    const warm = { sheet: { ambient: '55 °C' } };
    await expectQuiet(rule, machine({ CURRENT: 1, IDLE: 0.5 }, warm));
    const { findings } = await expectFinding(rule, machine({ CURRENT: 1.4, IDLE: 0.5 }), 'error');
    expect(findings[0]).toContain('1.96 times the heat it is made for while it moves.');
    expect(findings[0]).not.toContain('182');
  });

  it('an idle current too high for a hot place is the one that is told and lowered', async () => {
    // 90 °C + 80 K · (1.2/1.5)² = 141 °C; 130 °C are reached at 1.5 A · √(40/80) = 1.06 A.
    const hot = settings({ CURRENT: 1.3, IDLE: 1.2 }) + files({ sheet: { ambient: '90 °C' } });
    const { remedies } = await expectFinding(rule, hot, 'warning', 'An idle current of 1.2 A', '141 °C');
    expect(remedies).toEqual(["ask: Lower X's idle current to 1 A"]);
  });

  it('motors in parallel share the current, motors in series do not', async () => {
    const two = (joined: string) => ({ axis: { motors: [{ motor: 'm' }, { motor: 'm' }], joined } });
    const parallel = await expectQuiet(rule, machine({ CURRENT: 1.4 }, two('parallel')));
    expect(parallel.agreements.join()).toContain('0.7 A in a motor for 1 A (70 %)');
    await expectFinding(rule, machine({ CURRENT: 1.4 }, two('series')), 'error');
    await expectFinding(rule, machine({ CURRENT: 2.2 }, two('parallel')), 'warning', 'Each of 2 motors');
    await expectQuestion(
      rule,
      machine({ CURRENT: 1.4 }, { axis: { motors: [{ motor: 'm' }, { motor: 'm' }] } }),
      'joined',
    );
  });

  it('never turns a reference voltage up to lower the current in the settings', async () => {
    // 0.2 V / (5 · 0.1 Ω) = 0.4 A peak = 0.28 A rms flow, whatever the settings say.
    const socket = { familyFacts: undefined, family: 'drv8825', senseResistor: '0.1 Ω' };
    const text = machine({ CURRENT: 1.4, REFERENCE: 0.2 }, { socket });
    const { remedies } = await expectFinding(rule, text, 'error');
    expect(remedies).toEqual(["ask: Note 1 A as X's motor current: its reference voltage gives no more"]);
  });

  it('takes the current from the reference voltage where no setting says it', async () => {
    // 0.8 V / (5 · 0.1 Ω) = 1.6 A peak = 1.131 A rms.
    const socket = { familyFacts: undefined, family: 'drv8825', senseResistor: '0.1 Ω' };
    const { remedies } = await expectFinding(
      rule,
      machine({ REFERENCE: 0.8 }, { socket }),
      'warning',
      '1.13 A',
    );
    // 1.0 A rms: 0.8/1.131 = 0.707 V.
    expect(remedies).toEqual(["ask: Lower X's reference voltage to 0.7 V, 1 A rms"]);
    const trimmer = { socket, sheet: { drivers: { X: { referenceVoltage: '0.8 V' } } } };
    const sheet = await expectFinding(rule, machine({}, trimmer), 'warning', '1.13 A');
    expect(sheet.remedies).toEqual(["words: Lower X's reference voltage to 0.7 V, 1 A rms"]);
  });

  it('lowers setting and reference together; a trimmer and its note by hand', async () => {
    const socket = { familyFacts: undefined, family: 'drv8825', senseResistor: '0.1 Ω' };
    // 0.8 V is 1.131 A rms; 0.7 V is 0.99 A.
    const both = (amperes: string, volts: string) =>
      machine({ CURRENT: amperes, REFERENCE: volts }, { socket });
    await checkFix(rule, both('1.13', '0.80'), both('1.00', '0.70'));
    const trimmer = { socket, sheet: { drivers: { X: { referenceVoltage: '0.8 V' } } } };
    const { remedies } = await ask(rule, machine({ CURRENT: 1.13 }, trimmer));
    expect(remedies).toEqual([
      "words: Lower X's reference voltage to 0.7 V, 1 A rms, and note that current in the settings",
    ]);
  });

  it('says "may" where only a part of a range fails', async () => {
    await expectFinding(
      rule,
      machine({ CURRENT: 1 }, { motor: { ratedCurrent: '1 A ±5 %' } }),
      'info',
      'may make',
    );
  });

  it('keeps its error on an estimate that fails everywhere', async () => {
    const rated = { value: '1.0 A', quality: 'estimated' };
    await expectFinding(
      rule,
      machine({ CURRENT: 1.4 }, { motor: { ratedCurrent: rated } }),
      'error',
      'estimated',
    );
    await expectFinding(
      rule,
      machine({ CURRENT: 1.1 }, { motor: { ratedCurrent: rated } }),
      'warning',
      'estimated',
    );
  });

  it('asks for the plate, finds the same in milliamperes, and survives a wrong unit', async () => {
    await expectQuestion(
      rule,
      machine({ CURRENT: 1.4 }, { motor: { ratedCurrent: undefined } }),
      "motor's plate",
    );
    await expectQuestion(rule, machine({ CURRENT: 1.4 }, { axis: { motors: [] } }), 'axes.x.motors');
    await expectFinding(rule, machine({ CURRENT: 1.4 }, { motor: { ratedCurrent: '1000 mA' } }), 'error');
    const wrong = await ask(rule, machine({ CURRENT: 1.4 }, { motor: { ratedCurrent: '1 V' } }));
    expect(wrong.analysis.findings.filter(({ rule: id }) => id === rule.id)).toEqual([]);
  });

  it('lowers the current to the plate, or to what the warmth around it allows', async () => {
    await checkFix(rule, machine({ CURRENT: 1.4 }), machine({ CURRENT: 1.0 }).replace('A 1\n', 'A 1.0\n'));
    // √((130 − 60)/80) = 0.935 A.
    const warm = { sheet: { ambient: '60 °C' } };
    await checkFix(rule, machine({ CURRENT: 1 }, warm), machine({ CURRENT: 0.93 }, warm));
  });

  it('more current never cools a winding', () => {
    const amperes = fc.double({ min: 0, max: 10, noNaN: true });
    fc.assert(
      fc.property(amperes, amperes, (current, more) => {
        expect(windingTemperature(25, current + more, 1)).toBeGreaterThanOrEqual(
          windingTemperature(25, current, 1),
        );
      }),
    );
  });
});
