import type { Interval } from '../model/interval';
import { fromSi } from './convert';
import { type Kind, kindRecord } from './kinds';

export interface FormatOptions {
  /** Significant digits; whole parts are always printed in full. Default 3. */
  readonly digits?: number;
  /** Print in this unit instead of the best fitting one. */
  readonly unit?: string;
  /** Print a plus sign before positive values. */
  readonly sign?: boolean;
}

const NO_BREAK_SPACE = '\u00a0';
const MINUS = '−';

/** Steps per mm come from tooth counts and leads; more digits are meant. */
const DIGITS: Partial<Record<Kind, number>> = {
  stepsPerLength: 5,
  frequency: 4,
  dataRate: 6,
  stepRate: 6,
  count: 6,
};

/**
 * Prints a value given in SI units (°C, bit/s, bytes) in the usual unit of its kind, with as many digits as make sense:
 * "4.7 kΩ", "1.8°", "230 400 Bd".
 */
export function formatQuantity(si: number, kind: Kind, options: FormatOptions = {}): string {
  const unit = options.unit ?? unitFor(si, kind, options);
  return join(digitsIn(si, unit, kind, options), unit);
}

/** Prints both ends of an interval in one unit ("1.23–1.27 V"); a point, or ends that look alike, as a single value. */
export function formatInterval(value: Interval, kind: Kind, options: FormatOptions = {}): string {
  const largest = Math.max(...[value.lo, value.hi].filter(Number.isFinite).map(Math.abs), 0);
  const unit = options.unit ?? unitFor(largest, kind, options);
  // Beside volts, microvolts are nothing.
  const least = kind === 'voltage' && Math.abs(value.lo) < 1e-3 * largest ? 0 : value.lo;
  const [lo, hi] = [digitsIn(least, unit, kind, options), digitsIn(value.hi, unit, kind, options)];
  if (value.hi === Number.POSITIVE_INFINITY && Number.isFinite(value.lo)) return `≥ ${join(lo, unit)}`;
  if (value.lo === Number.NEGATIVE_INFINITY && Number.isFinite(value.hi)) return `≤ ${join(hi, unit)}`;
  if (lo === hi) return join(lo, unit);
  const signed = value.lo < 0 || options.sign;
  return join(signed ? `${lo} to ${hi}` : `${lo}–${hi}`, unit);
}

/** Prints a number with grouped thousands from five digits on, at least `digits` significant ones, no exponent if possible. */
export function formatNumber(value: number, digits = 3): string {
  if (Number.isNaN(value)) return 'not computable';
  if (!Number.isFinite(value)) return value > 0 ? '∞' : `${MINUS}∞`;
  const size = Math.abs(value);
  if (size === 0) return '0';
  if (size >= 1e15 || size < 1e-6) return exponential(value, digits);
  const magnitude = Math.floor(Math.log10(size));
  const places = Math.min(Math.max(digits - 1 - magnitude, 0), 20);
  const fixed = size.toFixed(places);
  const [whole, fraction = ''] = fixed.split('.') as [string, string?];
  const rest = fraction.replace(/0+$/, '');
  const text = group(whole) + (rest ? `.${rest}` : '');
  return value < 0 && text !== '0' ? MINUS + text : text;
}

const exponential = (value: number, digits: number): string => {
  const [mantissa, exponent] = Math.abs(value)
    .toExponential(digits - 1)
    .split('e') as [string, string];
  const short = mantissa.includes('.') ? mantissa.replace(/\.?0+$/, '') : mantissa;
  return `${value < 0 ? MINUS : ''}${short}e${exponent.replace('+', '')}`;
};

const group = (whole: string): string =>
  whole.length < 5 ? whole : whole.replace(/\B(?=(\d{3})+$)/g, NO_BREAK_SPACE);

const join = (digits: string, unit: string): string =>
  unit === '' ? digits : unit === '°' ? digits + unit : `${digits} ${unit}`;

function digitsIn(si: number, unit: string, kind: Kind, options: FormatOptions): string {
  // A unit that is none of this kind is a slip in the caller; the SI number then stands for itself.
  const value = fromSi(si, unit, kind) ?? si;
  // Conversions leave errors in the sixteenth digit that must not decide a rounding.
  const clean = Number.isFinite(value) ? Number(value.toPrecision(13)) : value;
  const text = formatNumber(clean, options.digits ?? DIGITS[kind] ?? 3);
  return options.sign && clean > 0 ? `+${text}` : text;
}

/** Values down to here stay in the unit without prefix: "0.3 V", "0.05 Ω" read better than "300 mV", "50 mΩ". */
const STAYS_FROM: Readonly<Record<string, number>> = { V: 0.1, A: 0.1, W: 0.1, N·m: 0.1, kg: 0.1, Ω: 0.05 };

function unitFor(si: number, kind: Kind, options: FormatOptions): string {
  const units = kindRecord(kind).print;
  const smallest = units[0] ?? '';
  if (si === 0 || !Number.isFinite(si)) return preferred(units);
  let best = smallest;
  for (const unit of units) {
    const value = Math.abs(fromSi(si, unit, kind) ?? 0);
    const rounded = Number(value.toPrecision(options.digits ?? 3));
    if (rounded >= (STAYS_FROM[unit] ?? 1) && !(exactOnly(kind) && !isWhole(value))) best = unit;
  }
  return best;
}

/** Amounts of memory change to the larger unit only where nothing is lost. */
const exactOnly = (kind: Kind): boolean => kind === 'memory';
const isWhole = (value: number): boolean => Math.abs(value * 10 - Math.round(value * 10)) < 1e-9;

/** The unit a zero is printed in: the one without prefix, or the middle of the list. */
const preferred = (units: readonly string[]): string =>
  units.find((unit) => ['V', 'A', 'Ω', 's', 'W', 'Hz', 'mm', 'g', 'N·m', 'J'].includes(unit)) ??
  units[0] ??
  '';
