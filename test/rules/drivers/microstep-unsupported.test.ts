import { describe, expect, it } from 'vitest';
import rule from '../../../server/src/rules/drivers/microstep-unsupported';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';
import { files, type MachineParts, settings } from './machines';

const jumpers = (count: number | undefined): MachineParts => ({
  socket: { microstepControl: 'jumpers', microstepJumpers: count, family: 'drv8825', familyFacts: undefined },
});
const bus = (family: string): MachineParts => ({
  socket: { microstepControl: 'bus', family, familyFacts: undefined },
});
const machine = (MICROSTEPS: number, parts: MachineParts, STEPS?: number) =>
  settings({ MICROSTEPS, STEPS }) + files(parts);

describe('drivers/microstep-unsupported', () => {
  it('jumpers for 16, settings for 32: twice as far; for 8: half as far', async () => {
    await expectFinding(
      rule,
      machine(32, jumpers(16)),
      'error',
      'Jumpers give 16',
      'count on 32',
      'twice as far',
    );
    await expectFinding(rule, machine(8, jumpers(16)), 'error', 'half as far');
    await expectQuiet(rule, machine(16, jumpers(16)));
  });

  it('says so where the steps per mm fit the jumpers', async () => {
    // 200·16/40 mm = 80 steps/mm.
    await expectFinding(rule, machine(32, jumpers(16), 80), 'error', 'moves are right');
    await checkFix(rule, machine(32, jumpers(16), 80), machine(16, jumpers(16), 80));
  });

  it('choices of the shipped drivers: DRV8825 up to 32 (SLVSA73), STSPIN820 without 64 (page 13)', async () => {
    await expectQuiet(rule, machine(32, bus('drv8825')));
    await expectFinding(rule, machine(64, bus('drv8825')), 'error', '1, 2, 4, 8, 16 and 32');
    await expectFinding(rule, machine(64, bus('stspin820')), 'error', 'no choice of STSPIN820');
    await expectQuiet(rule, machine(128, bus('stspin820')));
  });

  it('the jumpers that the owner set win over the board’s', async () => {
    const sheet = { drivers: { X: { microstepJumpers: 32 } } };
    await expectQuiet(rule, machine(32, { ...jumpers(16), sheet }));
  });

  it('at 256 microsteps one pulls with 0.6 % of the holding torque: a hint where friction is more', async () => {
    // 0.40 N·m · sin(90°/256) = 2.45 mN·m at rated current; friction 3 N · 6.37 mm = 19.1 mN·m.
    const text = (MICROSTEPS: number, axis: Readonly<Record<string, unknown>> = {}) =>
      settings({ MICROSTEPS, CURRENT: 1.5 }) + files({ ...bus('drv8711'), axis });
    await expectFinding(rule, text(256), 'hint', '2.45 mN·m', '19.1 mN·m');
    // A level adds nothing when the one below it is under friction already: sin(90°/32)·0.4 = 19.6 mN·m, sin(90°/64)·0.4 = 9.8 mN·m.
    await expectQuiet(rule, text(64));
    // Full steps have no level below them.
    await expectQuiet(rule, text(1));
    await expectFinding(rule, text(128), 'hint');
    await expectQuiet(rule, text(256, { friction: undefined }));
    await expectQuiet(rule, text(128, { friction: '1.5..3 N' }));
  });

  it('asks for the family or the jumpers', async () => {
    await expectQuestion(rule, machine(16, { socket: { familyFacts: undefined } }), 'family');
    await expectQuestion(
      rule,
      machine(16, { socket: { familyFacts: undefined, microstepControl: 'jumpers' } }),
      'microstepJumpers',
    );
    await expectQuestion(rule, `#define AXIS_X_MICROSTEPS 16\n${files()}`, 'family');
  });

  it('a wrong type in the profile is a problem of the file', async () => {
    const { analysis } = await ask(
      rule,
      machine(16, { socket: { microstepControl: 'jumpers', microstepJumpers: '16 V' } }),
    );
    expect(analysis.findings.filter(({ rule: id }) => id === rule.id)).toEqual([]);
    expect(analysis.findings.length).toBeGreaterThan(0);
  });

  it('sets microsteps and steps together, to the jumpers or to the nearest choice below', async () => {
    await checkFix(rule, machine(32, jumpers(16), 160), machine(16, jumpers(16), 80), 'Microsteps 32 → 16');
    await checkFix(rule, machine(64, bus('drv8825'), 320), machine(32, bus('drv8825'), 160));
    await checkFix(
      rule,
      machine(32, jumpers(16), 160),
      machine(32, jumpers(32), 160),
      'The jumpers do give 32',
    );
  });
});
