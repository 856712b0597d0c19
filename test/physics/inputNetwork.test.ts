import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { interval, point, within } from '../../server/src/model/interval';
import { type InputFacts, type SensorModel, solveCorners } from '../../server/src/physics/inputCorners';
import { type Network, type SensorBranch, solve } from '../../server/src/physics/inputNetwork';
import { levelOf } from '../../server/src/physics/logic';

// Formula of every example: nodal analysis of two nodes, V_c = [Jc·(Gp + Ga) + Ga·Jp]/D and its mirror image.
const CMOS = { vil: 0.99, vih: 2.31 };
const open: SensorBranch = { kind: 'open' };

const board = (extra: Partial<InputFacts> = {}): InputFacts => ({
  logicVoltage: point(3.3),
  fitted: [],
  series: point(0),
  clamp: false,
  ...extra,
});

describe('worked examples', () => {
  it('NPN of 1.2 V saturation, 4.7 kΩ fitted, 1 kΩ in series, inner pull-up 30–80 kΩ: 1.27 and 1.23 V, undefined', () => {
    const sensor: SensorModel = { kind: 'npn', normally: 'open', saturation: point(1.2), leakage: point(0) };
    const solved = solveCorners(
      board({
        innerPull: { direction: 'up', ohms: interval(30e3, 80e3) },
        fitted: [{ at: 'connector', volts: point(3.3), ohms: point(4700) }],
        series: point(1000),
      }),
      sensor,
      'pressed',
    );
    // The example takes the sensor as stiff; its 10 Ω add 5 mV.
    expect(solved.pin?.hi).toBeCloseTo(1.2 + 2.1 / 31, 1);
    expect(solved.pin?.lo).toBeCloseTo(1.2 + 2.1 / 81, 1);
    expect(solved.pin?.hi).toBeGreaterThan(1.265);
    expect(solved.pin?.hi).toBeLessThan(1.275);
    for (const corner of solved.corners) expect(levelOf(corner.pin, CMOS)).toBe('undefined');
  });

  it('PNP at 5 V with a 10 kΩ pull-up to 3.3 V: 3.30 V at rest, 4.1 V pressed, high both times', () => {
    const sensor: SensorModel = {
      kind: 'pnp',
      normally: 'open',
      supply: point(5),
      drop: point(0.9),
      leakage: point(0),
    };
    const facts = board({ fitted: [{ at: 'connector', volts: point(3.3), ohms: point(10e3) }] });
    expect(solveCorners(facts, sensor, 'rest').nominal.pin).toBeCloseTo(3.3, 9);
    expect(solveCorners(facts, sensor, 'pressed').nominal.pin).toBeCloseTo(4.1, 2);
    const withPullDown = {
      ...facts,
      fitted: [...facts.fitted, { at: 'connector' as const, volts: point(0), ohms: point(2200) }],
    };
    expect(solveCorners(withPullDown, sensor, 'rest').nominal.pin).toBeCloseTo((3.3 * 2.2) / 12.2, 6);
    // 1.50 V with the 0.5 mA that IEC 60947-5-2 allows in the off state.
    const leaky = { ...sensor, leakage: point(0.5e-3) };
    expect(solveCorners(withPullDown, leaky, 'rest').nominal.pin).toBeCloseTo(1.497, 3);
  });

  it('PNP of 22 V through 1 kΩ into a clamp at 3.6 V: 18.2 mA with the sensor’s 10 Ω', () => {
    const solution = solve({
      pulls: [],
      series: 1000,
      sensor: { kind: 'pnpOn', volts: 22, ohms: 10 },
      clamp: { low: -0.3, high: 3.6 },
    });
    expect(solution.pin).toBe(3.6);
    expect(solution.injected).toBeCloseTo((22 - 3.6) / 1010, 9);
  });

  it('divider of 10 kΩ over 1.5 kΩ: 2.87 V at 22 V; 3.44 V at 26.4 V; 2.56 V at 19.6 V; 0.75 V off with 0.5 mA', () => {
    const facts = (r: number) =>
      board({ lead: point(10e3), fitted: [{ at: 'connector', volts: point(0), ohms: point(r) }] });
    const pressed = (volts: number, r: number) => {
      const sensor: SensorModel = {
        kind: 'pnp',
        normally: 'open',
        supply: point(volts),
        drop: point(0),
        leakage: point(0.5e-3),
      };
      return solveCorners(facts(r), sensor, 'pressed').nominal.pin;
    };
    expect(pressed(22, 1500)).toBeCloseTo(2.87, 2);
    expect(pressed(26.4, 1500)).toBeCloseTo(3.44, 2);
    expect(pressed(19.6, 1500)).toBeCloseTo(2.555, 2);
    expect(pressed(22, 1300)).toBeCloseTo(2.53, 2);
    expect(pressed(19.6, 1300)).toBeCloseTo(2.25, 2);
    const rest: SensorModel = {
      kind: 'pnp',
      normally: 'open',
      supply: point(24),
      drop: point(2),
      leakage: point(0.5e-3),
    };
    expect(solveCorners(facts(1500), rest, 'rest').nominal.pin).toBeCloseTo(0.75, 6);
  });

  it('NPN with 10 kΩ to 24 V inside and 4.7 kΩ to 3.3 V fitted: 9.9 V without a clamp, 1.5 mA with one behind 1 kΩ', () => {
    const network: Network = {
      pulls: [{ at: 'connector', volts: 3.3, ohms: 4700 }],
      series: 1000,
      sensor: { kind: 'npnOff', leakage: 0 },
      sensorPull: { volts: 24, ohms: 10e3 },
    };
    expect(solve(network).pin).toBeCloseTo(9.918, 3);
    const clamped = solve({ ...network, clamp: { low: -0.3, high: 3.6 } });
    expect(clamped.injected * 1000).toBeCloseTo(1.5, 1);
  });

  it('NC contact to 0 V with a pull-up: 0 V at rest, 3.3 V pressed and with the wire cut', () => {
    const contact: SensorModel = { kind: 'contact', normally: 'closed', closesTo: point(0) };
    const facts = board({ fitted: [{ at: 'pin', volts: point(3.3), ohms: within(10e3, 0.05) }] });
    expect(solveCorners(facts, contact, 'rest').pin?.hi).toBeLessThan(1e-3);
    expect(solveCorners(facts, contact, 'pressed').nominal.pin).toBeCloseTo(3.3, 9);
    expect(solveCorners(facts, contact, 'wireCut').nominal.pin).toBeCloseTo(3.3, 9);
  });

  it('NO contact to 3.3 V without any pull: floating at rest, 3.3 V pressed', () => {
    const contact: SensorModel = { kind: 'contact', normally: 'open', closesTo: point(3.3) };
    expect(solveCorners(board(), contact, 'rest')).toMatchObject({ floating: 'everywhere', pin: undefined });
    expect(solveCorners(board(), contact, 'pressed').pin?.nom).toBeCloseTo(3.3, 9);
  });

  it('a clamp does not set the level of a pin that nothing else drives', () => {
    expect(solve({ pulls: [], series: 0, sensor: open, clamp: { low: -0.3, high: 3.6 } }).floating).toBe(
      true,
    );
    expect(solve({ pulls: [], series: 1000, sensor: open, clamp: { low: -0.3, high: 3.6 } }).floating).toBe(
      true,
    );
    // Leakage alone does press into it.
    const leaking = { kind: 'pnpOff' as const, leakage: 0.5e-3, supply: 24 };
    const solution = solve({ pulls: [], series: 1000, sensor: leaking, clamp: { low: -0.3, high: 3.6 } });
    expect(solution.pin).toBe(3.6);
    expect(solution.injected).toBeCloseTo(0.5e-3, 9);
  });

  it('red lamp and 1 kΩ to 0 V under a 40 kΩ pull-up: 1.66 V; with 1 kΩ fitted about 2.5 V', () => {
    const lamp = { at: 'pin' as const, volts: 1.62, ohms: 1000, only: 'sink' as const };
    const pin = (ohms: number) =>
      solve({ pulls: [lamp, { at: 'pin', volts: 3.3, ohms }], series: 0, sensor: open }).pin;
    expect(pin(40e3)).toBeCloseTo(1.62 + 1.68 / 41, 6);
    expect(pin(1000)).toBeCloseTo(2.46, 2);
  });

  it('optical output that can not take the pull-up’s current: V_pull − I_c·R', () => {
    const solution = solve({
      pulls: [{ at: 'connector', volts: 5, ohms: 1000 }],
      series: 0,
      sensor: { kind: 'opticalOn', saturation: 0.2, ohms: 10, limit: 2e-3 },
    });
    expect(solution.pin).toBeCloseTo(5 - 2e-3 * 1000, 9);
  });

  it('leakage pulls a node to 0 V at most, and lifts it to the supply at most', () => {
    const down = solve({
      pulls: [{ at: 'connector', volts: 3.3, ohms: 100e3 }],
      series: 0,
      sensor: { kind: 'npnOff', leakage: 0.5e-3 },
    });
    expect(down.pin).toBe(0);
    const up = solve({
      pulls: [{ at: 'connector', volts: 0, ohms: 100e3 }],
      series: 1000,
      sensor: { kind: 'pnpOff', leakage: 0.5e-3, supply: 24 },
    });
    expect(up.pin).toBeCloseTo(24, 9);
  });

  it('a series diode adds its drop when on, and blocks when off', () => {
    const pulls = [{ at: 'connector' as const, volts: 3.3, ohms: 10e3 }];
    const on = solve({ pulls, series: 0, sensor: { kind: 'npnOn', saturation: 0.1, ohms: 10, diode: 0.6 } });
    expect(on.pin).toBeCloseTo(0.7 + (2.6 * 10) / 10_010, 6);
    const off = solve({
      pulls,
      series: 0,
      sensor: { kind: 'npnOff', leakage: 0, diode: 0.6 },
      sensorPull: { volts: 24, ohms: 10e3 },
    });
    expect(off.pin).toBeCloseTo(3.3, 9);
  });
});

describe('properties', () => {
  const ohms = fc.double({ min: 100, max: 200e3, noNaN: true });
  const volts = fc.double({ min: 0, max: 30, noNaN: true });

  it('rises with every source voltage, and stays between the smallest and the largest', () => {
    fc.assert(
      fc.property(
        volts,
        volts,
        ohms,
        ohms,
        ohms,
        fc.double({ min: 0, max: 5, noNaN: true }),
        (v1, v2, r1, r2, rs, up) => {
          const at = (a: number) =>
            solve({
              pulls: [
                { at: 'connector', volts: a, ohms: r1 },
                { at: 'pin', volts: v2, ohms: r2 },
              ],
              series: rs,
              sensor: open,
            });
          expect(at(v1 + up).pin).toBeGreaterThanOrEqual(at(v1).pin - 1e-9);
          expect(at(v1).pin).toBeGreaterThanOrEqual(Math.min(v1, v2) - 1e-9);
          expect(at(v1).pin).toBeLessThanOrEqual(Math.max(v1, v2) + 1e-9);
        },
      ),
    );
  });

  it('a vanishing series resistor gives the one-node result', () => {
    fc.assert(
      fc.property(volts, volts, ohms, ohms, (v1, v2, r1, r2) => {
        const at = (series: number) =>
          solve({
            pulls: [
              { at: 'connector', volts: v1, ohms: r1 },
              { at: 'pin', volts: v2, ohms: r2 },
            ],
            series,
            sensor: open,
          }).pin;
        expect(Math.abs(at(1e-4) - at(0))).toBeLessThan(1e-4);
      }),
    );
  });

  it('always finds a solution where a resistor sets the level, with every kind of sensor and clamp', () => {
    const leak = fc.double({ min: 0, max: 1e-3, noNaN: true });
    const branch = fc.oneof(
      fc.constant<SensorBranch>(open),
      fc.record({ kind: fc.constant('contact' as const), volts, ohms: fc.constant(0.1) }),
      fc.record({
        kind: fc.constant('npnOn' as const),
        saturation: fc.double({ min: 0, max: 3.5, noNaN: true }),
        ohms: fc.constant(10),
        diode: fc.option(fc.double({ min: 0.2, max: 0.7, noNaN: true }), { nil: undefined }),
      }),
      fc.record({ kind: fc.constant('npnOff' as const), leakage: leak }),
      fc.record({ kind: fc.constant('pnpOn' as const), volts, ohms: fc.constant(10) }),
      fc.record({ kind: fc.constant('pnpOff' as const), leakage: leak, supply: volts }),
      fc.record({
        kind: fc.constant('opticalOn' as const),
        saturation: fc.double({ min: 0, max: 1, noNaN: true }),
        ohms: fc.constant(10),
        limit: leak,
      }),
    );
    const pull = fc.option(fc.record({ volts, ohms }), { nil: undefined });
    fc.assert(
      fc.property(
        branch,
        pull,
        ohms,
        volts,
        ohms,
        fc.constantFrom(0, 1000),
        fc.boolean(),
        fc.boolean(),
        (sensor, own, rp, vp, lead, series, clamped, leaded) => {
          const solution = solve({
            pulls: [{ at: 'pin', volts: vp, ohms: rp }],
            series,
            lead: leaded ? lead : 0,
            sensor,
            sensorPull: own,
            clamp: clamped ? { low: -0.3, high: 3.6 } : undefined,
          });
          expect(solution.floating).toBe(false);
          if (clamped) expect(solution.pin).toBeLessThanOrEqual(3.6 + 1e-9);
          expect(solution.pin).toBeGreaterThanOrEqual(-0.3 - 1e-9);
        },
      ),
      { numRuns: 2000 },
    );
  });
});
