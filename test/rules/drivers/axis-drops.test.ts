import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { hangingTorque } from '../../../server/src/physics/screw';
import rule from '../../../server/src/rules/drivers/axis-drops';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';
import { files, type MachineParts, settings } from './machines';

// Machine-design handbooks (power screws), by hand: lead 8, 7 mm: λ = 20.0°; µ 0.15, 15°: φ = 8.83°;
// 1.8 kg·9.80665·3.5 mm·tan 11.16° = 12.2 mN·m.
const SCREW = { kind: 'screw', lead: '8 mm', pitchDiameter: '7 mm', frictionCoefficient: 0.15 };
const machine = (parts: MachineParts = {}, release: number | undefined = 1) =>
  settings({ RELEASE_WHEN_IDLE: release }, 'Z') +
  files({
    name: 'z',
    ...parts,
    motor: { detentTorque: '8 mN·m', ...parts.motor },
    axis: { transmission: SCREW, movedMass: '1.8 kg', friction: undefined, vertical: true, ...parts.axis },
  });

describe('drivers/axis-drops', () => {
  it('1.8 kg on a lead of 8 mm: 12.2 mN·m against 8', async () => {
    await expectFinding(rule, machine(), 'info', 'Z sinks', '12.2 mN·m', '8 mN·m');
    const tool = { axis: { fallsOnto: 'tool' } };
    await expectFinding(rule, machine(tool), 'warning', 'It can drop onto the tool');
    await expectFinding(rule, machine({ axis: { fallsOnto: 'bed' } }), 'info', 'onto the bed');
    // Held while idle: only when the power goes.
    await expectFinding(rule, machine(tool, 0), 'info', 'when the power goes');
  });

  it('a lead of 2 mm holds by itself', async () => {
    // λ = 5.2° < φ = 8.8°.
    const { agreements } = await expectQuiet(
      rule,
      machine({ axis: { transmission: { ...SCREW, lead: '2 mm' } } }),
    );
    expect(agreements.join()).toContain('5.2°');
    expect(agreements.join()).toContain('8.83°');
  });

  it.each([
    // 12.2 mN·m: 1.8 kg·9.80665·0.0035·tan(19.99° − 8.83°) = 12.19 mN·m.
    ['12.1 mN·m', true],
    ['12.3 mN·m', false],
  ])('detent %s: reported %s', async (detentTorque, reported) => {
    const { findings } = await ask(rule, machine({ motor: { detentTorque } }));
    expect(findings.length > 0).toBe(reported);
  });

  it('detents of all motors hold, a gear divides, a brake ends it', async () => {
    const two = { motors: [{ motor: 'm' }, { motor: 'm' }] };
    await expectQuiet(rule, machine({ axis: two }));
    await expectQuiet(rule, machine({ axis: { transmission: { ...SCREW, gearRatio: 2 } } }));
    await expectQuiet(rule, machine({ axis: { brake: true } }));
    await expectQuiet(rule, machine({ axis: { vertical: false } }));
  });

  it('belts: m·g·r', async () => {
    // 1.8·9.80665·6.366 mm = 112 mN·m; guides that hold 10 N leave 48.7 mN·m.
    const transmission = { kind: 'belt', pitch: '2 mm', teeth: 20 };
    await expectFinding(rule, machine({ axis: { transmission } }), 'info', '0.112 N·m');
    await expectFinding(rule, machine({ axis: { transmission, friction: '10 N' } }), 'info', '48.7 mN·m');
    const held = await expectQuiet(rule, machine({ axis: { transmission, friction: '20 N' } }));
    expect(held.agreements.join()).toContain('friction of the guides');
  });

  it('unknown friction is taken as 0.10 to 0.20 and says so', async () => {
    // φ = 5.91° to 11.70°: 15.5 down to 9.0 mN·m.
    const transmission = { ...SCREW, frictionCoefficient: undefined };
    const { findings } = await ask(rule, machine({ axis: { transmission } }));
    expect(findings[0]).toMatch(/^info: .*9–15\.5 mN·m.*estimated value: friction of the screw/);
    await expectFinding(
      rule,
      machine({ axis: { transmission }, motor: { detentTorque: '10 mN·m' } }),
      'hint',
      'may sink',
    );
  });

  it('whether the firmware releases may be told by the time-out or the sheet', async () => {
    const tool = { axis: { fallsOnto: 'the nozzle' } };
    const text = (more: string, sheet: Readonly<Record<string, unknown>> = {}) =>
      `${more}#define AXIS_Z_STEP_PIN P9\n${machine({ ...tool, sheet }, undefined).replace(/^#define.*\n#define.*\n/, '')}`;
    await expectFinding(rule, text(''), 'info', 'released or the power goes');
    await expectFinding(rule, text('#define MOTION_MOTOR_IDLE_TIMEOUT_S 120\n'), 'warning');
    await expectFinding(rule, text('#define MOTION_MOTOR_IDLE_TIMEOUT_S 0\n'), 'info');
    await expectFinding(rule, text('', { firmware: { releasesWhenIdle: true } }), 'warning');
  });

  it('asks for one missing fact at a time', async () => {
    await expectQuestion(rule, machine({ axis: { vertical: undefined } }), 'gravity');
    await expectQuestion(rule, machine({ axis: { movedMass: undefined } }), 'Weigh');
    await expectQuestion(rule, machine({ axis: { transmission: { kind: 'screw' } } }), 'lead');
    await expectQuestion(
      rule,
      machine({ axis: { transmission: { kind: 'screw', lead: '8 mm' } } }),
      'pitch diameter',
    );
    await expectQuestion(rule, machine({ axis: { transmission: undefined } }), 'lead');
    await expectQuestion(rule, machine({ motor: { detentTorque: undefined } }), 'detentTorque');
    await expectQuestion(rule, machine({ axis: { motors: [] } }), 'motors');
  });

  it('finds the same in grams, and survives a wrong unit', async () => {
    await expectFinding(rule, machine({ axis: { movedMass: '1800 g' } }), 'info', '12.2 mN·m');
    const wrong = await ask(rule, machine({ axis: { movedMass: '1.8 N' } }));
    expect(wrong.analysis.findings.filter(({ rule: id }) => id === rule.id)).toEqual([]);
  });

  it('its remedies are done with the hands', async () => {
    const { remedies } = await ask(rule, machine());
    expect(remedies.every((text) => text.startsWith('words: '))).toBe(true);
  });

  it('more mass never turns back less', () => {
    const mass = fc.double({ min: 0, max: 50, noNaN: true });
    fc.assert(
      fc.property(mass, mass, (kilograms, more) => {
        expect(hangingTorque(kilograms + more, 0.006)).toBeGreaterThanOrEqual(
          hangingTorque(kilograms, 0.006),
        );
      }),
    );
  });
});
