import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { axisDrive, axisLoad, isMissing } from '../../../server/src/machine/axisDrive';
import { point } from '../../../server/src/model/interval';
import { torquesAt } from '../../../server/src/rules/axisTorque';
import rule from '../../../server/src/rules/motion/torque-short';
import { checkFix } from '../../kit/checkRule';
import { ask, expectFinding, expectQuestion, expectQuiet } from '../answers';
import { files, type MachineParts, settings, severityOf } from '../drivers/machines';

// Motor, belt and figures: the two-phase sinusoidal model of stepping-motor textbooks, worked by hand and by a script of its own:
// r = 40 mm/2π = 6.366 mm, ω = 0.5/r = 78.54 /s, Kt = 0.4/(√2·1.5) = 0.1886, E = 14.81 V, X = 50·78.54·3 mH = 11.78 Ω,
// V = 12 − 1.5·2.0 = 9 V: Iq = 9/11.78 = 0.764 A, 0.144 N·m; with (4/π)·12 − 3 = 12.28 V 0.194 N·m.
const CURRENT = 1.5 / Math.SQRT2;
const values = (acceleration: number, speed = 500) => ({
  CURRENT: CURRENT.toFixed(6),
  SPEED: speed,
  ACCELERATION: acceleration,
});
const job = (speed = 500) => ({ job: { travelSpeed: `${speed} mm/s` } });
const machine = (acceleration: number, parts: MachineParts = { sheet: job() }, speed = 500) =>
  settings(values(acceleration, speed)) + files(parts);

describe('motion/torque-short', () => {
  it('8 m/s² needs 0.0807 N·m: reserve 1.79, info', async () => {
    const { findings } = await expectFinding(rule, machine(8000), 'info', '80.7 mN·m', 'reserve of 1.79');
    expect(findings[0]).toContain('0.144–0.194 N·m');
  });

  it('12 m/s² needs 0.110 N·m: reserve 1.30, warning for a job’s speed, info for a loose highest speed', async () => {
    await expectFinding(rule, machine(12000), 'warning', '0.11 N·m', 'reserve of 1.3,', 'which is thin');
    await expectFinding(rule, machine(12000, {}), 'info', 'No job speed on the sheet asks for this');
  });

  it.each([
    // Reserve 1.5 at 10.07, 2.0 at 6.84, upper bound 1.0 at 23.3 m/s²: a = (T/reserve − 0.02122)/0.007434.
    [6800, undefined],
    [6900, 'info'],
    [10_050, 'info'],
    [10_100, 'warning'],
    [23_000, 'warning'],
    [23_500, 'error'],
  ])('%s mm/s² is %s', async (acceleration, severity) => {
    const { findings } = await ask(rule, machine(acceleration));
    expect(findings.map(severityOf)).toEqual(severity ? [severity] : []);
  });

  it('on 24 V the same move has a reserve of 3.45', async () => {
    const { agreements } = await expectQuiet(
      rule,
      machine(8000, { sheet: { ...job(), supply: { voltage: '24 V' } } }),
    );
    expect(agreements.join()).toContain('reserve 3.45');
  });

  it('says "may" one step lower where only a part of a range fails', async () => {
    // At 6.84 m/s² the reserve is 2; ±10 % of mass straddles it.
    await expectFinding(
      rule,
      machine(6800, { sheet: job(), axis: { movedMass: '0.9 kg ±10 %' } }),
      'hint',
      'or less',
    );
  });

  it('an estimate caps at warning and is named', async () => {
    const friction = { value: '3 N', quality: 'estimated' };
    const { findings } = await ask(rule, machine(24_000, { sheet: job(), axis: { friction } }));
    expect(findings[0]).toMatch(/^warning: .*estimated value: friction/);
    // Unknown friction is taken as 3 N, an estimate too.
    const without = await ask(rule, machine(24_000, { sheet: job(), axis: { friction: undefined } }));
    expect(without.findings[0]).toMatch(/^warning: .*friction, taken as 3 N/);
  });

  it('counts the weight of a vertical axis, and only its own highest speed', async () => {
    // Screw of lead 8, 7 mm, friction 0.15: η = 0.66; 5 kg: (5·0.1 + 3 + 49.0)·1.273 mm/0.662 = 0.101 N·m,
    // and J·a/r = 0.5 mN·m; lying flat 3.5 N·1.273 mm/0.662 + 0.5 = 7.3 mN·m.
    const screw = { kind: 'screw', lead: '8 mm', pitchDiameter: '7 mm', frictionCoefficient: 0.15 };
    const lift = { vertical: true, movedMass: '5 kg', transmission: screw };
    const text = (axis: object) =>
      settings(values(100, 20)) + files({ axis: { ...lift, ...axis }, sheet: job() });
    const up = await expectQuiet(rule, text({}));
    expect(up.agreements.join()).toMatch(/needs 0\.102 N·m/);
    const flat = await expectQuiet(rule, text({ vertical: undefined }));
    expect(flat.agreements.join()).toMatch(/needs 7\.2\d mN·m/);
  });

  it('motors in parallel share the current, in series the supply; own drivers add', async () => {
    const two = (joined: string) => ({
      sheet: { ...job(100), supply: { voltage: '24 V' } },
      axis: { motors: [{ motor: 'm' }, { motor: 'm' }], joined },
    });
    // Below the corner each has Kt·Ipk = 0.1886·1.5 = 0.283 N·m with its own driver.
    const torque = async (joined: string, speed = 100) =>
      (await ask(rule, machine(1000, two(joined), speed))).agreements.join();
    expect(await torque('ownDrivers')).toContain('has 0.566 N·m');
    expect(await torque('parallel')).toContain('has 0.283 N·m');
    expect(await torque('series')).toContain('has 0.566 N·m');
  });

  it('coupled belts: both motors pull a plain move; a delta is left alone', async () => {
    const text = (kinematics: string) =>
      settings(values(1000, 100)) +
      settings({ ...values(1000, 100), STEP: 'P2' }, 'Y') +
      files({
        sheet: {
          kinematics,
          axes: Object.fromEntries(
            ['x', 'y'].map((axis) => [
              axis,
              {
                motors: [{ motor: 'm' }],
                transmission: { kind: 'belt', pitch: '2 mm', teeth: 20 },
                movedMass: '0.9 kg',
              },
            ]),
          ),
        },
      });
    const belts = await expectQuiet(rule, text('coupledBelts'));
    expect(belts.agreements[0]).toContain('has 0.566 N·m');
    expect((await expectQuiet(rule, text('delta'))).agreements).toEqual([]);
  });

  it('the path’s acceleration limits that of the axis', async () => {
    const path =
      '#define MOTION_PRINT_ACCELERATION_MM_PER_S2 1000\n#define MOTION_TRAVEL_ACCELERATION_MM_PER_S2 1500\n';
    await expectQuiet(rule, path + machine(20_000));
  });

  it('asks for one missing fact at a time', async () => {
    await expectQuestion(rule, machine(8000, { axis: { movedMass: undefined } }), 'Weigh what X moves');
    await expectQuestion(rule, machine(8000, { motor: { inductance: undefined } }), 'inductance');
    await expectQuestion(rule, machine(8000, { motor: { holdingTorque: undefined } }), 'holding torque');
    await expectQuestion(rule, machine(8000, { motor: { ratedCurrent: undefined } }), 'ratedCurrent');
    await expectQuestion(rule, machine(8000, { motor: { resistance: undefined } }), 'resistance');
    await expectQuestion(rule, machine(8000, { motor: { stepAngle: undefined } }), 'step angle');
    await expectQuestion(rule, machine(8000, { sheet: { supply: {} } }), 'supply.voltage');
    await expectQuestion(rule, machine(8000, { axis: { transmission: undefined } }), 'transmission');
    await expectQuestion(rule, machine(8000, { axis: { motors: [] } }), 'axes.x.motors');
    await expectQuestion(
      rule,
      machine(8000, { axis: { motors: [{ motor: 'm' }, { motor: 'm' }] } }),
      'joined',
    );
    await expectQuestion(rule, settings({ ...values(8000), CURRENT: undefined }) + files(), 'motorCurrent');
    await expectQuestion(rule, settings({ ...values(8000), SPEED: undefined }) + files(), 'maxSpeed');
    await expectQuestion(
      rule,
      machine(8000, { axis: { transmission: { kind: 'screw', lead: '8 mm' } } }),
      'pitch diameter',
    );
  });

  it('finds the same in other units, and a wrong unit is a problem of the file', async () => {
    const other = {
      motor: { holdingTorque: '400 mN·m', inductance: '3000 µH', ratedCurrent: '1500 mA' },
      axis: { movedMass: '900 g' },
      sheet: { job: { travelSpeed: '30 m/min' } },
    };
    await expectFinding(rule, machine(12_000, other), 'warning', 'reserve of 1.3,');
    const wrong = await ask(rule, machine(12_000, { axis: { movedMass: '0.9 m' } }));
    expect(wrong.analysis.findings.every(({ rule: id }) => id !== rule.id)).toBe(true);
    expect(wrong.findings.join()).toContain('not a unit of mass');
    expect(wrong.questions.join()).toContain('Weigh');
  });

  it('lowers acceleration or speed to a reserve of 2', async () => {
    // 6.84 m/s² rounded down to two digits.
    await checkFix(rule, machine(12_000), machine(6800), 'acceleration');
    const { remedies } = await ask(rule, machine(12_000));
    expect(remedies[0]).toBe(
      "ask: Lower X's acceleration to 6800 mm/s² for a reserve of 2 (10 000 mm/s² for 1.5)",
    );
    // At 310 mm/s: E = 9.18 V, X = 7.30 Ω, Id = 0.919 A, Iq = 1.185 A, 0.2235 N·m of 2·0.1104; at 320 mm/s 0.2178 N·m.
    await checkFix(rule, machine(12_000, {}), machine(12_000, {}, 310), 'speed');
  });

  it('more mass, friction or acceleration never makes the reserve larger, more supply never smaller', async () => {
    const { analysis } = await ask(rule, machine(8000));
    const [axis] = analysis.machine.axes;
    const drive = axis && axisDrive(analysis.machine, axis);
    const load = axis && axisLoad(axis);
    if (!drive || !load || isMissing(drive) || isMissing(load)) throw new Error('facts are missing');
    const reserve = (volts: number, mass: number, acceleration: number) => {
      const [torque, rated, henry, ohms, angle, , ...rest] = drive.values;
      const values = [torque!, rated!, henry!, ohms!, angle!, point(volts), ...rest];
      const moved = [point(mass), ...load.values.slice(1)];
      const torques = torquesAt(
        { drive: { ...drive, values }, load: { ...load, values: moved }, facts: [] },
        point(0.5),
        point(acceleration),
      );
      return torques.reserve.nom;
    };
    const positive = fc.double({ min: 0.1, max: 20, noNaN: true });
    fc.assert(
      fc.property(positive, positive, positive, positive, (volts, mass, acceleration, more) => {
        const base = reserve(10 + volts, mass, acceleration);
        expect(reserve(10 + volts, mass + more, acceleration)).toBeLessThanOrEqual(base);
        expect(reserve(10 + volts, mass, acceleration + more)).toBeLessThanOrEqual(base);
        expect(reserve(10 + volts + more, mass, acceleration)).toBeGreaterThanOrEqual(base - 1e-12);
      }),
    );
  });
});
