import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { KINDS, type Kind, parseQuantity } from '../../server/src/units';

const value = (text: string, kind: Kind) => {
  const result = parseQuantity(text, kind);
  if (!result.ok) throw new Error(`${text}: ${result.problem}: ${result.message}`);
  return result.value;
};

// Expected values by plain arithmetic from the definitions of the SI prefixes (BIPM, SI brochure, table 7).
const points: [string, Kind, number][] = [
  ['10 kΩ', 'resistance', 10_000],
  ['10 k\u2126', 'resistance', 10_000],
  ['4.7 kohm', 'resistance', 4700],
  ['4.7kOhm', 'resistance', 4700],
  ['50 mΩ', 'resistance', 0.05],
  ['1 MΩ', 'resistance', 1e6],
  ['24 V', 'voltage', 24],
  ['24V', 'voltage', 24],
  ['1e3V', 'voltage', 1000],
  ['1e-3 V', 'voltage', 1e-3],
  ['−0.3 V', 'voltage', -0.3],
  ['250000 baud', 'dataRate', 250_000],
  ['115200 Bd', 'dataRate', 115_200],
  ['250 000 Bd', 'dataRate', 250_000],
  ['250\u00a0000 Bd', 'dataRate', 250_000],
  ['250\u2009000\u2009Bd', 'dataRate', 250_000],
  ['1\u202f000\u202f000 bit/s', 'dataRate', 1_000_000],
  ['115.2 kbit/s', 'dataRate', 115_200],
  ['1.8°', 'angle', (1.8 * Math.PI) / 180],
  ['200 °C', 'temperature', 200],
  ['200°C', 'temperature', 200],
  ['−40 °C', 'temperature', -40],
  ['473.15 K', 'temperature', 200],
  ['392 °F', 'temperature', 200],
  ['80 K', 'temperatureDifference', 80],
  ['80 °C', 'temperatureDifference', 80],
  ['6.8e-6 kg·m²', 'inertia', 6.8e-6],
  ['6.8·10⁻⁶ kg·m²', 'inertia', 6.8e-6],
  ['6.8×10^-6 kg m^2', 'inertia', 6.8e-6],
  ['68 g·cm²', 'inertia', 6.8e-6],
  ['68 g*cm2', 'inertia', 6.8e-6],
  ['39 Ω/km', 'resistancePerLength', 0.039],
  ['0.4 N·m', 'torque', 0.4],
  ['0.4 N*m', 'torque', 0.4],
  ['0.4 Nm', 'torque', 0.4],
  ['0.4 N m', 'torque', 0.4],
  ['40 N·cm', 'torque', 0.4],
  ['400 mNm', 'torque', 0.4],
  ['0.75 mm²', 'area', 0.75e-6],
  ['0.75 mm2', 'area', 0.75e-6],
  ['0.75 mm^2', 'area', 0.75e-6],
  ['150 mm/s', 'speed', 0.15],
  ['9000 mm/min', 'speed', 0.15],
  ['1000 mm/s²', 'acceleration', 1],
  ['1000 mm/s^2', 'acceleration', 1],
  ['1000 mm/s2', 'acceleration', 1],
  ['1 m s^-2', 'acceleration', 1],
  ['1 m·s⁻²', 'acceleration', 1],
  ['2 µs', 'time', 2e-6],
  ['2 μs', 'time', 2e-6],
  ['2 us', 'time', 2e-6],
  ['10 min', 'time', 600],
  ['14 J/K', 'heatCapacity', 14],
  ['900 J/(kg·K)', 'specificHeat', 900],
  ['900 J/kg/K', 'specificHeat', 900],
  ['900 J/kg·K', 'specificHeat', 900],
  ['1.9 J/(g*K)', 'specificHeat', 1900],
  ['0.1 W/K', 'heatConductance', 0.1],
  ['40 K/W', 'thermalResistance', 40],
  ['40 °C/W', 'thermalResistance', 40],
  ['1.24 g/cm³', 'density', 1240],
  ['12 mm³/s', 'volumeFlow', 12e-9],
  ['256 KiB', 'memory', 262_144],
  ['512 B', 'memory', 512],
  ['80 steps/mm', 'stepsPerLength', 80_000],
  ['80 1/mm', 'stepsPerLength', 80_000],
  ['40000 steps/s', 'stepRate', 40_000],
  ['40 kHz', 'stepRate', 40_000],
  ['8 mm/rev', 'length', 0.008],
  ['1 in', 'length', 0.0254],
  ['0.5', 'ratio', 0.5],
  ['50 %', 'ratio', 0.5],
  ['50%', 'ratio', 0.5],
  ['100 ppm', 'ratio', 1e-4],
  ['20', 'count', 20],
  ['20 teeth', 'count', 20],
  ['3.3 nF', 'capacitance', 3.3e-9],
  ['3 mH', 'inductance', 0.003],
];

describe('a single value', () => {
  it.each(points)('%s as %s', (text, kind, expected) => {
    const read = value(text, kind);
    expect(read.lo).toBe(read.hi);
    expect(Math.abs(read.nom - expected)).toBeLessThanOrEqual(1e-12 * Math.abs(expected));
  });

  it('takes the cross-section of a wire gauge (ASTM B258: gauge 18 is 0.823 mm², gauge 20 is 0.518 mm²)', () => {
    for (const text of ['18 AWG', 'AWG 18', 'gauge 18', '18 awg']) {
      expect(value(text, 'area').nom * 1e6).toBeCloseTo(0.823, 3);
    }
    expect(value('20 AWG', 'area').nom * 1e6).toBeCloseTo(0.518, 3);
    // The rule of thumb with 0.012668 mm² at gauge 36 is the same curve.
    expect(value('18 AWG', 'area').nom * 1e6).toBeCloseTo(0.012668 * 92 ** ((36 - 18) / 19.5), 4);
  });
});

describe('ranges, tolerances and limits', () => {
  const cases: [string, Kind, number, number, number][] = [
    ['30..80 kΩ', 'resistance', 30e3, 55e3, 80e3],
    ['30...80 kΩ', 'resistance', 30e3, 55e3, 80e3],
    ['30…80 kΩ', 'resistance', 30e3, 55e3, 80e3],
    ['30–80 kΩ', 'resistance', 30e3, 55e3, 80e3],
    ['30-80 kΩ', 'resistance', 30e3, 55e3, 80e3],
    ['30 to 80 kΩ', 'resistance', 30e3, 55e3, 80e3],
    ['900 Ω .. 1.1 kΩ', 'resistance', 900, 1000, 1100],
    ['3.3 V..5 V', 'voltage', 3.3, 4.15, 5],
    ['-5..230 mm', 'length', -0.005, 0.1125, 0.23],
    ['−5 to −1 °C', 'temperature', -5, -3, -1],
    ['4.7 kΩ ±5 %', 'resistance', 4465, 4700, 4935],
    ['4.7 kΩ ± 5%', 'resistance', 4465, 4700, 4935],
    ['4.7 kΩ +/-5%', 'resistance', 4465, 4700, 4935],
    ['24 V ±1 V', 'voltage', 23, 24, 25],
    ['24 ±1 V', 'voltage', 23, 24, 25],
    ['−24 V ±10 %', 'voltage', -26.4, -24, -21.6],
    ['16 MHz ±100 ppm', 'frequency', 15_998_400, 16e6, 16_001_600],
    ['200 °C ±5 K', 'temperature', 195, 200, 205],
    ['≤ 1.5 V', 'voltage', 0, 1.5, 1.5],
    ['<=1.5 V', 'voltage', 0, 1.5, 1.5],
    ['< 1.5 V', 'voltage', 0, 1.5, 1.5],
    ['1.5 V max', 'voltage', 0, 1.5, 1.5],
    ['1.2 V typ, 3.5 V max', 'voltage', 1.2, 1.2, 3.5],
    ['1.2 V (typ), 3.5 V (max.)', 'voltage', 1.2, 1.2, 3.5],
    ['30 kΩ min, 40 kΩ typ, 50 kΩ max', 'resistance', 30e3, 40e3, 50e3],
    ['>= 10 V', 'voltage', 10, 10, Number.POSITIVE_INFINITY],
    ['≥10 V', 'voltage', 10, 10, Number.POSITIVE_INFINITY],
    ['10 V min', 'voltage', 10, 10, Number.POSITIVE_INFINITY],
  ];
  it.each(cases)('%s as %s', (text, kind, lo, nom, hi) => {
    const read = value(text, kind);
    for (const [got, wanted] of [
      [read.lo, lo],
      [read.nom, nom],
      [read.hi, hi],
    ] as const) {
      if (Number.isFinite(wanted))
        expect(Math.abs(got - wanted)).toBeLessThanOrEqual(1e-12 * Math.abs(wanted));
      else expect(got).toBe(wanted);
    }
  });
});

describe('mistakes are named, placed and answered with an example', () => {
  const cases: [string, Kind, string, string][] = [
    // text, kind, problem, the part at fault
    ['', 'voltage', 'empty', ''],
    ['   ', 'voltage', 'empty', '   '],
    ['24', 'voltage', 'missingUnit', '24'],
    ['0', 'voltage', 'missingUnit', '0'],
    ['30..80', 'resistance', 'missingUnit', '30'],
    ['24 volzt', 'voltage', 'unknownUnit', 'volzt'],
    ['24 KHZ', 'frequency', 'unknownUnit', 'KHZ'],
    ['24 v', 'voltage', 'unknownUnit', 'v'],
    ['32 KB', 'memory', 'unknownUnit', 'KB'],
    ['24 A', 'voltage', 'wrongDimension', 'A'],
    ['10 K', 'resistance', 'wrongDimension', 'K'],
    ['80 K/W', 'temperatureDifference', 'wrongDimension', 'K/W'],
    ['5 J', 'torque', 'wrongDimension', 'J'],
    ['5 %', 'voltage', 'wrongDimension', '%'],
    ['5 mm', 'ratio', 'wrongDimension', 'mm'],
    ['200 °C ±5 %', 'temperature', 'wrongDimension', '%'],
    ['abc', 'voltage', 'notANumber', 'abc'],
    ['NaN', 'ratio', 'notANumber', 'NaN'],
    ['Infinity V', 'voltage', 'notANumber', 'Infinity V'],
    ['-', 'ratio', 'notANumber', '-'],
    ['4,7 kΩ', 'resistance', 'decimalComma', ','],
    ['1e999 V', 'voltage', 'notFinite', '1e999'],
    ['80..30 kΩ', 'resistance', 'emptyRange', '80..30 kΩ'],
    ['5 V..3.3 V', 'voltage', 'emptyRange', '5 V..3.3 V'],
    ['3.5 V typ, 1.2 V max', 'voltage', 'emptyRange', '3.5 V typ, 1.2 V max'],
    ['≤ −5 °C', 'temperature', 'openRange', '≤ −5 °C'],
    ['−300 °C', 'temperature', 'belowAbsoluteZero', '−300 °C'],
    ['24 V ; or so', 'voltage', 'unexpectedText', '; or so'],
    ['24 V ± 1 V ± 2 V', 'voltage', 'unexpectedText', '± 2 V'],
  ];
  it.each(cases)('%j as %s is %s', (text, kind, problem, part) => {
    const result = parseQuantity(text, kind);
    if (result.ok) throw new Error(`read as ${JSON.stringify(result.value)}`);
    expect(result.problem).toBe(problem);
    expect(text.slice(result.start, result.end)).toBe(part);
    expect(result.message).toContain(KINDS[kind].example);
  });

  it('offers the right capitals', () => {
    const result = parseQuantity('24 khz', 'frequency');
    expect(!result.ok && result.message).toContain('Did you mean kHz?');
  });
});

describe('any text', () => {
  const kinds = fc.constantFrom(...(Object.keys(KINDS) as Kind[]));

  it('gives an ordered interval or a problem inside the text, and never throws', () => {
    const pieces = fc.array(
      fc.constantFrom('1', '24', '.', '..', ',', ' ', 'V', 'kΩ', 'mm', '/', 's', '²', '±', '%', '-', 'e', '≤', 'typ', 'max', '(', ')', '^', '2', 'K', 'to', '·', '10'), // biome-ignore format: a plain list
      { maxLength: 12 },
    );
    const texts = fc.oneof(
      fc.string({ maxLength: 40 }),
      fc.string({ unit: 'binary', maxLength: 40 }),
      pieces.map((list) => list.join('')),
    );
    fc.assert(
      fc.property(texts, kinds, (text, kind) => {
        const result = parseQuantity(text, kind);
        if (result.ok) {
          expect(result.value.lo).toBeLessThanOrEqual(result.value.nom);
          expect(result.value.nom).toBeLessThanOrEqual(result.value.hi);
          return;
        }
        expect(result.start).toBeGreaterThanOrEqual(0);
        expect(result.end).toBeLessThanOrEqual(text.length);
        expect(result.start).toBeLessThanOrEqual(result.end);
      }),
      { numRuns: 3000 },
    );
  });
});
