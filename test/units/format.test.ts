import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  formatInterval,
  formatNumber,
  formatQuantity,
  KINDS,
  type Kind,
  kindRecord,
  parseQuantity,
} from '../../server/src/units';

describe('one value', () => {
  const cases: [number, Kind, string][] = [
    [4700, 'resistance', '4.7 kΩ'],
    [999.9, 'resistance', '1 kΩ'],
    [1e6, 'resistance', '1 MΩ'],
    [0.05, 'resistance', '0.05 Ω'],
    [0.011, 'resistance', '11 mΩ'],
    [0, 'voltage', '0 V'],
    [1.2654, 'voltage', '1.27 V'],
    [-0.3, 'voltage', '−0.3 V'],
    [0.0184, 'current', '18.4 mA'],
    [1.0606602, 'current', '1.06 A'],
    [2e-6, 'time', '2 µs'],
    [0.00132, 'time', '1.32 ms'],
    [1107, 'time', '1107 s'],
    [0.15, 'speed', '150 mm/s'],
    [8, 'acceleration', '8000 mm/s²'],
    [12, 'acceleration', '12\u00a0000 mm/s²'],
    [0.002, 'length', '2 mm'],
    [1.2, 'length', '1.2 m'],
    [0.75e-6, 'area', '0.75 mm²'],
    [(1.8 * Math.PI) / 180, 'angle', '1.8°'],
    [230_400, 'dataRate', '230\u00a0400 Bd'],
    [9600, 'dataRate', '9600 Bd'],
    [96_000, 'stepRate', '96\u00a0000 steps/s'],
    [80_000, 'stepsPerLength', '80 steps/mm'],
    [92_599.24, 'stepsPerLength', '92.599 steps/mm'],
    [14_745_600, 'frequency', '14.75 MHz'],
    [262_144, 'memory', '256 KiB'],
    [5000, 'memory', '5000 B'],
    [200.04, 'temperature', '200 °C'],
    [-42.4, 'temperature', '−42.4 °C'],
    [8, 'temperatureDifference', '8 K'],
    [6.8e-6, 'inertia', '68 g·cm²'],
    [0.0721, 'torque', '72.1 mN·m'],
    [0.4, 'torque', '0.4 N·m'],
    [0.9, 'mass', '0.9 kg'],
    [0.5, 'ratio', '50 %'],
    [20, 'count', '20'],
    [Number.POSITIVE_INFINITY, 'voltage', '∞ V'],
  ];
  it.each(cases)('%d as %s is %s', (si, kind, text) => {
    expect(formatQuantity(si, kind)).toBe(text);
  });

  it('takes a unit, digits and a sign from the caller', () => {
    expect(formatQuantity(0.085, 'ratio', { sign: true })).toBe('+8.5 %');
    expect(formatQuantity(0.4, 'torque', { unit: 'mN·m' })).toBe('400 mN·m');
    expect(formatQuantity(1.23456, 'voltage', { digits: 5 })).toBe('1.2346 V');
  });

  it('prints numbers without exponents in the usual sizes', () => {
    expect(formatNumber(0.000123)).toBe('0.000123');
    expect(formatNumber(123_456_789)).toBe('123\u00a0456\u00a0789');
    expect(formatNumber(1e-9)).toBe('1e-9');
    expect(formatNumber(Number.NaN)).toBe('not computable');
  });
});

describe('an interval', () => {
  const cases: [number, number, Kind, string][] = [
    [1.23, 1.27, 'voltage', '1.23–1.27 V'],
    [30e3, 80e3, 'resistance', '30–80 kΩ'],
    [900, 1100, 'resistance', '0.9–1.1 kΩ'],
    [-5, 230, 'temperature', '−5 to 230 °C'],
    [2, 2, 'voltage', '2 V'],
    [1.2341, 1.2342, 'voltage', '1.23 V'],
    [10, Number.POSITIVE_INFINITY, 'voltage', '≥ 10 V'],
  ];
  it.each(cases)('%d..%d as %s is %s', (lo, hi, kind, text) => {
    expect(formatInterval({ lo, nom: (lo + Math.min(hi, 1e9)) / 2, hi }, kind)).toBe(text);
  });
});

describe('what is printed can be read again', () => {
  const kinds = fc.constantFrom(...(Object.keys(KINDS) as Kind[]));
  const mantissas = fc.double({ min: 1, max: 10, noNaN: true });
  const exponents = fc.integer({ min: -9, max: 8 });

  it('a value comes back within the printed digits', () => {
    fc.assert(
      fc.property(kinds, mantissas, exponents, (kind, mantissa, exponent) => {
        const si = mantissa * 10 ** exponent;
        const read = parseQuantity(formatQuantity(si, kind), kind);
        if (!read.ok) throw new Error(`${formatQuantity(si, kind)}: ${read.message}`);
        // Three digits: half a unit of the third one, or of the last whole degree.
        expect(Math.abs(read.value.nom - si)).toBeLessThanOrEqual(0.0051 * si + 1e-12);
      }),
      { numRuns: 2000 },
    );
  });

  it('an interval comes back within the printed digits', () => {
    fc.assert(
      fc.property(
        kinds,
        mantissas,
        exponents,
        fc.double({ min: 0, max: 5, noNaN: true }),
        (kind, m, e, width) => {
          const lo = m * 10 ** e;
          const hi = lo * (1 + width);
          const read = parseQuantity(formatInterval({ lo, nom: (lo + hi) / 2, hi }, kind), kind);
          if (!read.ok) throw new Error(read.message);
          expect(Math.abs(read.value.lo - lo)).toBeLessThanOrEqual(0.0051 * hi);
          expect(Math.abs(read.value.hi - hi)).toBeLessThanOrEqual(0.0051 * hi);
        },
      ),
      { numRuns: 2000 },
    );
  });

  it('more digits bring the value closer (scale-free)', () => {
    fc.assert(
      fc.property(mantissas, exponents, (mantissa, exponent) => {
        const si = mantissa * 10 ** exponent;
        const read = parseQuantity(formatQuantity(si, 'resistance', { digits: 9 }), 'resistance');
        expect(read.ok && Math.abs(read.value.nom / si - 1)).toBeLessThanOrEqual(6e-9);
      }),
    );
  });

  it('every printed unit belongs to its kind', () => {
    for (const kind of Object.keys(KINDS) as Kind[]) {
      for (const text of [kindRecord(kind).example, formatQuantity(1, kind)]) {
        expect(parseQuantity(text, kind), `${kind}: ${text}`).toMatchObject({ ok: true });
      }
    }
  });
});
