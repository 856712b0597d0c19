import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { contactLoad } from '../../server/src/physics/connector';
import * as fuse from '../../server/src/physics/fuse';
import * as heater from '../../server/src/physics/heater';
import * as mosfet from '../../server/src/physics/mosfet';
import * as rc from '../../server/src/physics/rc';
import { isPreferred, preferredValues } from '../../server/src/physics/resistors';
import * as supply from '../../server/src/physics/supply';
import * as thermal from '../../server/src/physics/thermal';
import * as wire from '../../server/src/physics/wire';

const tool = { heatCapacity: 14, conductance: 0.1, ambient: 25 };
const bed = { heatCapacity: 700, conductance: 1.2, ambient: 25 };

describe('worked examples: heat balance (lumped body, heat-transfer handbooks)', () => {
  it('bed plate of 220 × 220 mm, 3 mm aluminium and 3 mm glass: 353 and 290 J/K', () => {
    const part = (density: number, specificHeat: number) =>
      thermal.heatCapacityOf([{ mass: thermal.massOf(0.22, 0.22, 0.003, density), specificHeat }]);
    expect(part(2700, 900)).toBeCloseTo(353, 0);
    expect(part(2500, 800)).toBeCloseTo(290, 0);
  });

  it('bed of 120 W: 106 °C at −10 % supply, 125 °C nominal, 110 °C after 1107 s', () => {
    expect(thermal.settledTemperature(bed, 0.81 * 120)).toBeCloseTo(106, 0);
    expect(thermal.settledTemperature(bed, 120)).toBeCloseTo(125, 9);
    expect(thermal.timeToReach(bed, 120, 25, 110)).toBeCloseTo(1107, 0);
    expect(thermal.timeToReach(bed, 97.2, 25, 110)).toBe(Number.POSITIVE_INFINITY);
  });

  it('bed at 90 °C: gains 1.18 K in 20 s, 0.54 at low supply; 3.42 in 60 s; 2.29 in 90 s and 4.25 in 180 s at low supply', () => {
    expect(thermal.riseWithin(bed, 120, 90, 20)).toBeCloseTo(1.18, 2);
    expect(thermal.riseWithin(bed, 97.2, 90, 20)).toBeCloseTo(0.54, 2);
    expect(thermal.riseWithin(bed, 120, 90, 60)).toBeCloseTo(3.42, 2);
    expect(thermal.riseWithin(bed, 97.2, 90, 90)).toBeCloseTo(2.29, 2);
    expect(thermal.riseWithin(bed, 97.2, 90, 180)).toBeCloseTo(4.25, 2);
    expect(thermal.temperatureAfter(bed, 1.21 * 120, 90, 180)).toBeCloseTo(105, 0);
  });

  it('block with 60 W from 200 °C: 257, 306 and 348 °C after 20, 40 and 60 s; 300 °C after 37.5 s', () => {
    for (const [seconds, celsius] of [
      [20, 257],
      [40, 306],
      [60, 348],
    ] as const) {
      // biome-ignore format: one line
      expect(thermal.temperatureAfter(tool, 60, 200, seconds)).toBeCloseTo(celsius, 0);
    }
    // Printed rounded down, as a longest time should be.
    expect(Math.floor(10 * thermal.timeToReach(tool, 60, 200, 300)) / 10).toBe(37.5);
    expect(thermal.settledTemperature(tool, 60)).toBeCloseTo(625, 9);
  });

  it('hold guard: 40.4 s to detect, 285 °C at +10 % supply, 264 nominal; 192 °C with the fan on', () => {
    const time = thermal.sensorFallTime(10, 210, 25, 8) + 40;
    expect(time).toBeCloseTo(40.4, 1);
    expect(thermal.temperatureAfter(tool, 48.4, 210, time)).toBeCloseTo(285, 0);
    expect(thermal.temperatureAfter(tool, 40, 210, time)).toBeCloseTo(264, 0);
    expect(thermal.temperatureAfter(tool, 48.4, 210, 60.4)).toBeCloseTo(315, 0);
    expect(thermal.holdPower(0.18, 240, 25)).toBeCloseTo(38.7, 1);
    expect(thermal.settledTemperature({ ...tool, conductance: 0.18 }, 30)).toBeCloseTo(192, 0);
  });

  it('flow: 25 mm³/s takes 10.9 W; 12.6 mm³/s at most with 30 W, 31.0 with 40 W', () => {
    expect(thermal.flowPower(25e-9, 1240, 1900, 210, 25)).toBeCloseTo(10.9, 1);
    expect(thermal.flowLimit(30, 0.8, 0.1, 1240, 1900, 210, 25) * 1e9).toBeCloseTo(12.6, 1);
    expect(thermal.flowLimit(40, 0.8, 0.1, 1240, 1900, 210, 25) * 1e9).toBeCloseTo(31, 0);
  });

  it('12 V 40 W on 24 V: 160 W, 6.67 A; 24 V over 1.9 Ω: 12.6 A, 303 W', () => {
    const ohms = heater.resistanceOfRating(12, 40);
    expect(heater.powerOf(24, ohms)).toBeCloseTo(160, 9);
    expect(heater.currentOf(24, ohms)).toBeCloseTo(6.67, 2);
    expect(heater.currentOf(24, 1.9)).toBeCloseTo(12.63, 2);
    expect(heater.powerOf(24, 1.9)).toBeCloseTo(303, 0);
    expect(heater.contactLife(100_000, 10)).toBeCloseTo(2.8, 1);
    expect(heater.zeroCrossSteps(50, 20)).toBe(5);
  });

  it('transistor: 12.63 A, 11 mΩ, 2 µs at 1 kHz, 40 K/W, 50 °C: 2.94 W, 167 °C; 4.2 mΩ: 90 °C', () => {
    const base = { ambient: 50, current: 12.63, thermalResistance: 40, volts: 24, edges: 2e-6 };
    const hot = mosfet.junctionTemperature({ ...base, onResistance: 0.011, frequency: 1000 });
    expect(hot.power).toBeCloseTo(2.94, 1);
    expect(hot.temperature).toBeCloseTo(167, -0.5);
    expect(
      mosfet.junctionTemperature({ ...base, onResistance: 0.0042, frequency: 10 }).temperature,
    ).toBeCloseTo(90, 0);
    expect(
      mosfet.junctionTemperature({ ...base, onResistance: 0.011, frequency: 10 }).temperature,
    ).toBeCloseTo(155, 0);
  });
});

describe('worked examples: supply and wires (IEC 60228, IEC 60364, fuse handbooks)', () => {
  it('374 W of 360 W', () => {
    const motors = 4 * supply.motorSupplyPower(Math.SQRT1_2, 3.6);
    expect(motors).toBeCloseTo(16.9, 1);
    const { total, share } = supply.loadOf([303, 40, motors, 8, 6], 360);
    expect(total).toBeCloseTo(374, 0);
    expect(share).toBeCloseTo(1.04, 2);
  });

  it('12.63 A on a 15 A fuse is 84 %, needs 16.8 A', () => {
    expect(12.63 / 15).toBeCloseTo(0.84, 2);
    expect(fuse.smallestRating(12.63, 0.75)).toBeCloseTo(16.84, 2);
    expect(fuse.nextRating(fuse.smallestRating(12.63, 0.75), [5, 7.5, 10, 15, 20])).toBe(20);
    expect(fuse.nextRating(40, [5, 7.5])).toBeUndefined();
  });

  it('12.63 A through a 12 A terminal: 105 %; two contacts: 66 %', () => {
    expect(contactLoad(12.63, 12)).toBeCloseTo(1.0525, 4);
    expect(contactLoad(12.63, 12, 2)).toBeCloseTo(0.66, 2);
  });

  it('0.5 mm² (39 Ω/km), 0.8 m, 70 °C: 0.0747 Ω, 0.94 V, 7.4 W a metre; 1.5 mm²: 0.32 V', () => {
    const thin = wire.runLoss(0.039, 0.8, 12.63, 70);
    expect(thin.resistance).toBeCloseTo(0.0747, 4);
    expect(thin.drop).toBeCloseTo(0.94, 2);
    expect(thin.powerPerMetre).toBeCloseTo(7.4, 1);
    expect(wire.runLoss(0.0133, 0.8, 12.63, 70).drop).toBeCloseTo(0.32, 2);
    expect(wire.shortCircuitTime(0.34e-6, 30)).toBeCloseTo(1.7, 1);
  });

  it('gauges: 20 is 0.52 mm², 18 0.82, 16 1.31 (ASTM B258)', () => {
    for (const [gauge, area] of [
      [20, 0.52],
      [18, 0.82],
      [16, 1.31],
    ] as const) {
      // biome-ignore format: one line
      expect(wire.gaugeArea(gauge) * 1e6).toBeCloseTo(area, 2);
    }
  });

  it('edges and spikes: 1.32 ms to 2.31 V through 11 kΩ, 100 nF; 2.16 V on 80 kΩ, 1.87 on 4.7 kΩ, 0.03 with 10 nF', () => {
    expect(rc.timeToThreshold(11e3, 100e-9, 0, 3.3, 2.31)).toBeCloseTo(1.32e-3, 5);
    const spike = (ohms: number, filter = 0) => rc.coupledSpike(24, 0.2e-6, ohms, 12e-12, 132e-12 + filter);
    expect(spike(80e3)).toBeCloseTo(2.16, 2);
    expect(spike(4700)).toBeCloseTo(1.87, 1);
    expect(spike(4700, 10e-9)).toBeCloseTo(0.03, 2);
  });

  it('preferred values (IEC 60063): E96 has 1.02, 4.99 and 9.76, E192 9.20', () => {
    expect(preferredValues('E96')).toEqual(expect.arrayContaining([102, 499, 976]));
    expect(preferredValues('E192')).toContain(920);
    expect(isPreferred(4700, 'E12')).toBe(true);
    expect(isPreferred(0.22, 'E6')).toBe(true);
    expect(isPreferred(-1, 'E6')).toBe(false);
  });
});

describe('properties', () => {
  const bodies = fc.record({
    heatCapacity: fc.double({ min: 1, max: 5000, noNaN: true }),
    conductance: fc.double({ min: 0.01, max: 10, noNaN: true }),
    ambient: fc.double({ min: -20, max: 60, noNaN: true }),
  });
  const powers = fc.double({ min: 0.1, max: 1000, noNaN: true });
  const seconds = fc.double({ min: 0, max: 5000, noNaN: true });

  it('hotter with more power; later never cooler on the way up; never above where it settles', () => {
    fc.assert(
      fc.property(bodies, powers, powers, seconds, seconds, (body, power, more, time, later) => {
        const at = (p: number, t: number) => thermal.temperatureAfter(body, p, body.ambient, t);
        expect(at(power + more, time)).toBeGreaterThanOrEqual(at(power, time) - 1e-9);
        expect(at(power, time + later)).toBeGreaterThanOrEqual(at(power, time) - 1e-9);
        expect(at(power, time)).toBeLessThanOrEqual(thermal.settledTemperature(body, power) + 1e-9);
      }),
    );
  });

  it('time to reach and temperature after are each other’s inverse', () => {
    fc.assert(
      fc.property(bodies, powers, fc.double({ min: 0.01, max: 0.99, noNaN: true }), (body, power, share) => {
        const target = body.ambient + (share * power) / body.conductance;
        const time = thermal.timeToReach(body, power, body.ambient, target);
        const scale = power / body.conductance;
        expect(Math.abs(thermal.temperatureAfter(body, power, body.ambient, time) - target)).toBeLessThan(
          1e-9 * scale + 1e-9,
        );
      }),
    );
  });

  it('an edge takes longer to a farther threshold, and for ever to one it does not reach', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.01, max: 0.98, noNaN: true }),
        fc.double({ min: 0, max: 0.01, noNaN: true }),
        (a, more) => {
          const to = (share: number) => rc.timeToThreshold(10e3, 1e-7, 0, 5, 5 * share);
          expect(to(a + more)).toBeGreaterThanOrEqual(to(a));
          expect(rc.timeToThreshold(10e3, 1e-7, 0, 5, 5 + a)).toBe(Number.POSITIVE_INFINITY);
        },
      ),
    );
  });
});
