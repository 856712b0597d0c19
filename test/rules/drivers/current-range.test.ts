import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/drivers/current-range';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';
import { files, type MachineParts, settings, severityOf } from './machines';

// Current formula of driver data sheets: I_fs = V_fs/(R·√2) rms; 0.32 V over 0.22 Ω is 1.0285 A, a step of 32 is 32 mA.
const CURRENT = { kind: 'bus', fullScale: ['0.32 V'], steps: 32 };
const machine = (current: number, formula: object | undefined = CURRENT, parts: MachineParts = {}) =>
  settings({ CURRENT: current }) +
  files({
    ...parts,
    socket: { senseResistor: '0.22 Ω', familyFacts: { current: formula }, ...parts.socket },
  });

describe('drivers/current-range', () => {
  it('1.2 A with a full scale of 1.03 A is cut', async () => {
    await expectFinding(rule, machine(1.2), 'warning', '1.03 A rms with its 0.22 Ω', '1.2 A is cut');
  });

  it('0.10 A is 3 of 32 steps', async () => {
    await expectFinding(rule, machine(0.1), 'info', '3 of its 32 steps', '32.1 mA');
  });

  it.each([
    // An eighth of 1.0285 A is 0.12856 A.
    [0.128, 'info'],
    [0.129, undefined],
    [1.028, undefined],
    [1.03, 'warning'],
  ])('%s A is %s', async (current, severity) => {
    const { findings } = await ask(rule, machine(current));
    expect(findings.map(severityOf)).toEqual(severity ? [severity] : []);
  });

  it('with two ranges either may hold', async () => {
    // 0.18 V over 0.22 Ω is 0.579 A; an eighth of it 72 mA.
    const two = { ...CURRENT, fullScale: ['0.18 V', '0.32 V'] };
    await expectQuiet(rule, machine(0.1, two));
    await expectFinding(rule, machine(0.07, two), 'info');
    await expectQuiet(rule, machine(1, two));
    await expectFinding(rule, machine(1.1, two), 'warning');
  });

  it('a shipped driver: DRV8711 with 0.05 Ω goes from 0.97 A to 7.8 A (data sheet SLVSC40, equation 2)', async () => {
    // 2.75 V/5/0.05 Ω = 11 A peak = 7.78 A rms; 2.75 V/40/0.05 Ω = 1.375 A peak = 0.972 A rms, an eighth 0.12 A.
    const parts = { socket: { family: 'drv8711', familyFacts: undefined, senseResistor: '0.05 Ω' } };
    await expectQuiet(rule, machine(0.2, undefined, parts));
    await expectFinding(rule, machine(0.1, undefined, parts), 'info', '0.972 A');
    await expectFinding(rule, machine(8, undefined, parts), 'warning', '7.78 A');
  });

  it('a tolerance that straddles full scale is info and says may', async () => {
    await expectFinding(
      rule,
      machine(1.028, CURRENT, { socket: { senseResistor: '0.22 Ω ±1 %' } }),
      'info',
      'may be cut',
    );
  });

  it('asks for family and resistor; a driver with a reference has no such range', async () => {
    await expectQuestion(rule, machine(1, {}, { socket: { familyFacts: undefined } }), 'family');
    await expectQuestion(
      rule,
      machine(1, CURRENT, { socket: { senseResistor: undefined } }),
      'senseResistor',
    );
    const { questions } = await expectQuiet(rule, machine(9, { kind: 'reference', gain: 5 }));
    expect(questions).toEqual([]);
    // Nor has one outside the board, which is set by its own switches.
    const outside = { socket: { familyFacts: undefined, input: { common: '0 V' } } };
    expect((await expectQuiet(rule, machine(4, {}, outside))).questions).toEqual([]);
  });

  it('an estimate is named; finds the same in millivolts; survives a wrong unit', async () => {
    const rough = { value: '0.22 Ω', quality: 'estimated' };
    await expectFinding(
      rule,
      machine(1.2, CURRENT, { socket: { senseResistor: rough } }),
      'warning',
      'estimated',
    );
    await expectFinding(rule, machine(1.2, { ...CURRENT, fullScale: ['320 mV'] }), 'warning', '1.03 A');
    const wrong = await ask(rule, machine(1.2, { ...CURRENT, fullScale: ['320 mΩ'] }));
    expect(wrong.analysis.findings.filter(({ rule: id }) => id === rule.id)).toEqual([]);
  });

  it('lowers the setting to what flows anyway', async () => {
    await checkFix(rule, machine(1.2), machine(1.0).replace('A 1\n', 'A 1.0\n'));
  });
});
