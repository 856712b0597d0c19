import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { driverLoss } from '../../../server/src/physics/stepper';
import rule from '../../../server/src/rules/drivers/current-over-driver';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';
import { files, type MachineParts, settings, severityOf } from './machines';

// 1.6 A: P = 2·1.6²·0.5 Ω = 2.56 W (R_ds hot: 1.4·0.357 Ω); 45 °C + 2.56 W·35 K/W = 134.6 °C. Ohm's law and the thermal chain of
// driver data sheets.
const facts = { maxRms: '2 A', maxRmsStill: '1.4 A', rDsOn: '0.357143 Ω', junctionToAmbient: '35 K/W' };
const machine = (
  current: number,
  cooled: boolean | undefined,
  parts: MachineParts = {},
  family: object = facts,
) =>
  settings({ CURRENT: current }) +
  files({
    ...parts,
    socket: { familyFacts: family, cooled, ...parts.socket },
    sheet: { insideAmbient: '45 °C', ...parts.sheet },
  });

describe('drivers/current-over-driver', () => {
  it('1.6 A without air: over 1.4 A, and 135 °C inside', async () => {
    await expectFinding(
      rule,
      machine(1.6, false),
      'error',
      '1.6 A is more than this driver carries without a fan (1.4 A)',
      '135 °C',
    );
  });

  it.each([
    // Junction 125 °C at √(80/35) = 2.286 W: I = √(2.286/(2·0.5)) = 1.512 A.
    [1.4, false, undefined],
    [1.41, false, 'error'],
    [1.3, undefined, undefined],
    [1.45, undefined, 'warning'],
    [2.01, undefined, 'error'],
    [1.5, true, undefined],
    [2.01, true, 'error'],
  ])('%s A, cooled %s: %s', async (current, cooled, severity) => {
    const { findings } = await ask(rule, machine(current, cooled));
    expect(findings.map(severityOf)).toEqual(severity ? [severity] : []);
  });

  it('a junction above 125 °C alone is a warning', async () => {
    await expectFinding(rule, machine(1.6, true), 'warning', '135 °C');
    await expectQuiet(rule, machine(1.51, true));
    await expectFinding(rule, machine(1.52, true), 'warning');
  });

  it('the sheet’s fan wins over the board', async () => {
    await expectQuiet(rule, machine(1.5, false, { sheet: { driversCooled: true } }));
  });

  it('says nothing about still air with a rating for air only, and the other way round', async () => {
    // STSPIN820: 1.5 A rms (data sheet DocID031065, features).
    const st = (current: number, cooled?: boolean) =>
      machine(current, cooled, { socket: { family: 'stspin820' } }, {});
    await expectQuiet(rule, st(0.85, true));
    await expectQuestion(rule, st(0.85), 'driversCooled');
    await expectQuestion(rule, st(0.85, false), 'maxRmsStill');
    await expectFinding(rule, st(1.6), 'error', '1.5 A');
    const still = (current: number) => machine(current, undefined, {}, { maxRmsStill: '1.4 A' });
    await expectQuestion(rule, still(1.5), 'maxRms');
    await expectQuiet(rule, still(1.3));
  });

  it('asks for the family', async () => {
    await expectQuestion(rule, machine(1.6, false, {}, { title: 'Some driver' }), 'family');
  });

  it('a tolerance that straddles the rating is one step lower and says may', async () => {
    await expectFinding(
      rule,
      machine(1.4, false, {}, { maxRmsStill: '1.4 A ±5 %', maxRms: '2 A' }),
      'warning',
      'may be',
    );
  });

  it('an estimate caps at warning', async () => {
    const maxRmsStill = { value: '1.4 A', quality: 'estimated' };
    await expectFinding(rule, machine(1.6, false, {}, { maxRmsStill }), 'warning', 'estimated');
  });

  it('finds the same in milliamperes and survives a wrong unit', async () => {
    await expectFinding(rule, machine(1.6, false, {}, { ...facts, maxRmsStill: '1400 mA' }), 'error');
    const wrong = await ask(rule, machine(1.6, true, {}, { maxRms: '2 V' }));
    expect(wrong.analysis.findings.filter(({ rule: id }) => id === rule.id)).toEqual([]);
  });

  it('lowers the current to the rating; the fan in words', async () => {
    await checkFix(rule, machine(1.6, false), machine(1.4, false));
    const { remedies } = await ask(rule, machine(1.6, false));
    expect(remedies.at(-1)).toMatch(/^words: Fit a fan/);
    // 1.512 A keeps the junction at 125 °C.
    await checkFix(rule, machine(1.6, true), machine(1.5, true));
  });

  it('more current never cools a driver', () => {
    const amperes = fc.double({ min: 0, max: 10, noNaN: true });
    fc.assert(
      fc.property(amperes, amperes, (current, more) => {
        expect(driverLoss(current + more, 0.5)).toBeGreaterThanOrEqual(driverLoss(current, 0.5));
      }),
    );
  });
});
