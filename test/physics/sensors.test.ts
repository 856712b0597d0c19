import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import * as adc from '../../server/src/physics/adc';
import * as ntc from '../../server/src/physics/ntc';
import * as platinum from '../../server/src/physics/platinum';
import { typeKTemperature, typeKVoltage } from '../../server/src/physics/thermocouple';
import { published } from '../reference/rows';

const beta3950 = ntc.betaCurve(100e3, 3950);
const beta4267 = ntc.betaCurve(100e3, 4267);

describe('worked examples: curves and pull-ups (two-point β equation, thermistor handbooks)', () => {
  it('fitted 3950, curve 4267: true 200 °C is 745 Ω and shows 180.2 °C; shown 200 °C is 223.4 °C', () => {
    expect(beta3950.resistance(200)).toBeCloseTo(745, 0);
    expect(ntc.shownWithCurve(beta3950, beta4267, 200)).toBeCloseTo(180.2, 1);
    expect(ntc.trueWithCurve(beta3950, beta4267, 200)).toBeCloseTo(223.4, 1);
    expect(ntc.shownWithCurve(beta4267, beta3950, 200)).toBeCloseTo(223.4, 1);
  });

  it('pull-up of 2.2 kΩ taken for 4.7 kΩ: true 200 °C shows 160.6 °C; shown 200 °C is 247.3 °C', () => {
    expect(ntc.shownWithPullUp(beta3950, 2200, 4700, 200)).toBeCloseTo(160.6, 1);
    expect(ntc.trueWithPullUp(beta3950, 2200, 4700, 200)).toBeCloseTo(247.3, 1);
  });

  it('tolerances at 200 °C: resistor ±1 % is ±0.6 K, ±5 % ±2.9 K; β ±1 % ±2.8 K', () => {
    expect(ntc.kelvinPerFraction(3950, 200) * 0.01).toBeCloseTo(0.57, 2);
    expect(ntc.shownWithPullUp(beta3950, 1, 0.95, 200) - 200).toBeCloseTo(2.9, 1);
    // A β 1 % too small reads 2.8 K too high.
    const off = ntc.shownWithCurve(beta3950, ntc.betaCurve(100e3, 3950 * 0.99), 200) - 200;
    expect(Math.abs(off)).toBeCloseTo(2.8, 1);
  });

  it.each([
    [0, 1.36],
    [25, 0.51],
    [200, 0.47],
    [280, 1.75],
    [300, 2.37],
  ])('4.7 kΩ, β 3950, 10 bit at %d °C: %d K a count', (celsius, kelvin) => {
    expect(adc.kelvinPerCount(beta3950, 4700, 10, celsius)).toBeCloseTo(kelvin, 2);
  });

  it('12 bit at 300 °C 0.59; platinum 100 Ω at 200 °C 3.36 (12 bit) and 13.4 (10 bit), 1 kΩ 0.59', () => {
    expect(adc.kelvinPerCount(beta3950, 4700, 12, 300)).toBeCloseTo(0.59, 2);
    expect(adc.kelvinPerCount(platinum.platinumCurve(100), 4700, 12, 200)).toBeCloseTo(3.36, 2);
    expect(adc.kelvinPerCount(platinum.platinumCurve(100), 4700, 10, 200)).toBeCloseTo(13.4, 1);
    expect(adc.kelvinPerCount(platinum.platinumCurve(1000), 4700, 12, 200)).toBeCloseTo(0.59, 2);
  });

  it('open sensor: count 1016 is −10.4 °C, count 1023 −42.4 °C', () => {
    expect(adc.temperatureAtCount(beta3950, 4700, 10, 1016)).toBeCloseTo(-10.4, 1);
    expect(adc.temperatureAtCount(beta3950, 4700, 10, 1023)).toBeCloseTo(-42.4, 1);
  });

  it('pull-up to 5 V at a 3.3 V converter: 4.78 V at 25 °C, blind above 9.12 kΩ, below 90.8 °C', () => {
    expect(adc.sensorVoltage(100e3, 4700, 5)).toBeCloseTo(4.78, 2);
    expect(adc.blindAbove(4700, 5, 3.3)).toBeCloseTo(9120, -1);
    expect(beta3950.temperature(adc.blindAbove(4700, 5, 3.3))).toBeCloseTo(90.8, 0);
    expect(adc.blindAbove(4700, 3.3, 3.3)).toBe(Number.POSITIVE_INFINITY);
  });
});

describe('curves', () => {
  const celsius = fc.double({ min: -50, max: 400, noNaN: true });

  it('both directions agree, and resistance falls as it gets hotter', () => {
    const a = { a: 0.001129148, b: 0.000234125, c: 8.76741e-8 };
    for (const curve of [
      beta3950,
      ntc.steinhartHartCurve(a),
      platinum.platinumCurve(100),
      platinum.platinumCurve(1000),
    ]) {
      const sense = Math.sign(curve.resistance(100) - curve.resistance(0));
      fc.assert(
        fc.property(celsius, (t) => {
          expect(curve.temperature(curve.resistance(t))).toBeCloseTo(t, 6);
          expect(Math.sign(curve.resistance(t + 1) - curve.resistance(t))).toBe(sense);
        }),
      );
    }
  });

  it('platinum below 0 °C agrees with its inverse down to −200 °C (IEC 60751 range)', () => {
    fc.assert(
      fc.property(fc.double({ min: -200, max: 850, noNaN: true }), (t) => {
        expect(platinum.platinumTemperature(100, platinum.platinumResistance(100, t))).toBeCloseTo(t, 6);
      }),
    );
  });

  it('type K agrees with its inverse, and is not extrapolated', () => {
    fc.assert(
      fc.property(fc.double({ min: -200, max: 1372, noNaN: true }), (t) => {
        expect(typeKTemperature(typeKVoltage(t))).toBeCloseTo(t, 6);
      }),
    );
    expect(typeKVoltage(1400)).toBeNaN();
    expect(typeKTemperature(1)).toBeNaN();
  });

  it('Steinhart–Hart through three points of a curve passes through them', () => {
    // Points: TDK/EPCOS R/T characteristic 8016, 10 kΩ.
    const points = [[0, 32_650], [50, 3603], [100, 680]] as const; // biome-ignore format: one line
    const curve = ntc.steinhartHartCurve(ntc.steinhartHartThrough(points));
    for (const [t, ohms] of points) expect(curve.temperature(ohms)).toBeCloseTo(t, 6);
    // Published 10 000 Ω at 25 °C and 1258 Ω at 80 °C: the three-point fit stays within 0.1 K between its points.
    expect(curve.temperature(10_000)).toBeCloseTo(25, 0);
    expect(Math.abs(curve.temperature(1258) - 80)).toBeLessThan(0.1);
  });

  it('a table without one of its points gives it back by interpolation (data sheets of TDK/EPCOS)', () => {
    const { curves } = published('ntc-curves') as { curves: { name: string; points: [number, number][] }[] };
    for (const { name, points } of curves.filter((one) => one.name !== '8405')) {
      for (let i = 2; i < points.length - 1; i++) {
        const [t, ratio] = points[i] as [number, number];
        const curve = ntc.tableCurve(points.filter((_, index) => index !== i));
        // Straight over 10 K in ln R over 1/T: within 0.2 K.
        expect(Math.abs((curve?.temperature(ratio) ?? Number.NaN) - t), `${name} at ${t} °C`).toBeLessThan(
          0.2,
        );
      }
    }
  });

  it('a table takes points in any order, refuses useless ones and needs two', () => {
    const curve = ntc.tableCurve([[100, 680], [0, 32_650], [25, 10_000]]); // biome-ignore format: one line
    expect(curve?.resistance(25)).toBeCloseTo(10_000, 6);
    expect(curve?.temperature(680)).toBeCloseTo(100, 6);
    expect(ntc.tableCurve([[25, 10_000]])).toBeUndefined();
    expect(ntc.tableCurve([[25, 10_000], [50, 20_000]])).toBeUndefined(); // biome-ignore format: one line
    expect(ntc.tableCurve([[25, 10_000], [50, Number.NaN]])).toBeUndefined(); // biome-ignore format: one line
  });

  it('a count rises with the resistance and keeps inside the converter', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 1e7, noNaN: true }),
        fc.double({ min: 0, max: 1e6, noNaN: true }),
        (r, more) => {
          const at = (ohms: number) => adc.countOf(adc.dividerRatio(ohms, 4700), 12);
          expect(at(r + more)).toBeGreaterThanOrEqual(at(r));
          expect(at(r)).toBeLessThanOrEqual(4095);
        },
      ),
    );
  });
});
