/**
 * Baud generation and the error a receiver bears. Frequencies in Hz, rates in baud, errors as fractions, signed
 * `(actual − wanted) / wanted` unless said otherwise.
 */

/** A rate a generator can make for a wanted one. */
export interface ReachedRate {
  /** Clock divided by (rate × samples a bit); whole, or a multiple of the generator's fraction. */
  readonly divider: number;
  readonly actual: number;
  readonly error: number;
  /** The neighbouring divider when the wanted one lies exactly midway: makers' manuals differ in which they take. */
  readonly tie?: { readonly divider: number; readonly actual: number; readonly error: number };
}

/** How a serial port divides its clock. `fractionSteps`: 1 whole dividers only, 8, 16 or 64 steps of a fraction. */
export interface BaudGenerator {
  readonly oversampling: number;
  readonly fractionSteps: number;
  /** Smallest divider; default 1. */
  readonly minDivider?: number;
  /** Largest divider, for instance 4096 for a 12-bit register that holds the divider less one. */
  readonly maxDivider?: number;
}

/** `(a − b)/b`. */
export const relativeError = (actual: number, wanted: number): number => (actual - wanted) / wanted;

/** The error as some makers print it: `|1 − wanted/actual|`, always positive. */
export const errorMagnitudeFromActual = (actual: number, wanted: number): number =>
  Math.abs(1 - wanted / actual);

export const rateOf = (clock: number, generator: BaudGenerator, divider: number): number =>
  clock / (generator.oversampling * divider);

/** Highest rate: the clock over the samples a bit at the smallest divider. */
export const highestRate = (clock: number, generator: BaudGenerator): number =>
  rateOf(clock, generator, generator.minDivider ?? 1);

/**
 * The nearest rate a generator reaches. A whole divider below 1 is taken as 1 (the rate is then far off); with a fraction
 * a divider below 1 does not exist. Undefined when no divider serves or an argument is not positive.
 * Source: data sheets of 8-bit (whole) and 32-bit (fractional) microcontrollers.
 */
export function reachRate(clock: number, generator: BaudGenerator, wanted: number): ReachedRate | undefined {
  if (!(clock > 0) || !(wanted > 0) || !Number.isFinite(clock / wanted)) return undefined;
  const steps = generator.fractionSteps;
  const min = generator.minDivider ?? 1;
  const max = generator.maxDivider ?? Number.POSITIVE_INFINITY;
  const exact = (clock * steps) / (generator.oversampling * wanted);
  const up = Math.floor(exact + 0.5) / steps;
  const divider = steps === 1 ? Math.max(up, min) : up;
  if (divider < min || divider > max) return undefined;
  const made = (value: number) => {
    const actual = rateOf(clock, generator, value);
    return { divider: value, actual, error: relativeError(actual, wanted) };
  };
  const down = divider - 1 / steps;
  const midway = Math.abs(exact - Math.floor(exact) - 0.5) < 1e-9 && down >= min;
  return midway ? { ...made(divider), tie: made(down) } : made(divider);
}

/**
 * The nearest rate with a pre-scaler that multiplies by `M/(M + A)`: rate = clock / (k·D·(1 + A/M)), `M` 1…15, `A < M`,
 * `D ≥ 3` when `A > 0`. Exhaustive search.
 */
export function reachRateWithPrescaler(
  clock: number,
  oversampling: number,
  wanted: number,
): {
  readonly divisor: number;
  readonly add: number;
  readonly multiplier: number;
  readonly actual: number;
  readonly error: number;
} {
  let best = { divisor: 1, add: 0, multiplier: 1, actual: Number.NaN, error: Number.POSITIVE_INFINITY };
  for (let multiplier = 1; multiplier <= 15; multiplier++) {
    for (let add = 0; add < multiplier; add++) {
      const scale = oversampling * (1 + add / multiplier);
      const least = add > 0 ? 3 : 1;
      const exact = clock / (scale * wanted);
      for (const divisor of [Math.floor(exact), Math.ceil(exact)].map((n) => Math.max(n, least))) {
        const actual = clock / (scale * divisor);
        const error = relativeError(actual, wanted);
        if (Math.abs(error) < Math.abs(best.error) - 1e-15)
          best = { divisor, add, multiplier, actual, error };
      }
    }
  }
  return best;
}

/** Register of a whole divider that stores the divisor less one. */
export const wholeDividerRegister = (divisor: number): number => divisor - 1;

/**
 * Register of a divider with a mantissa above a 4-bit fraction field; with 8 steps the top bit of that field stays 0.
 * A fraction that rounds up to a whole carries into the mantissa.
 */
export function fractionalRegister(
  wantedDivider: number,
  fractionSteps: 8 | 16,
): { readonly register: number; readonly divider: number } {
  const total = Math.round(wantedDivider * fractionSteps);
  const mantissa = Math.floor(total / fractionSteps);
  return { register: mantissa * 16 + (total % fractionSteps), divider: total / fractionSteps };
}

/** Whole and fraction part of a divider in separate registers (16-bit whole, 6-bit fraction: 64 steps). */
export function splitDivider(divider: number, fractionSteps: number): { whole: number; fraction: number } {
  const total = Math.round(divider * fractionSteps);
  return { whole: Math.floor(total / fractionSteps), fraction: total % fractionSteps };
}

/** What a divider of `wholeBits` and `fractionBits` can hold; at the largest whole part the fraction must be 0. */
export const dividerRange = (wholeBits: number): { min: number; max: number; fractionAtMax: number } => ({
  min: 1,
  max: 2 ** wholeBits - 1,
  fractionAtMax: 0,
});

/**
 * A single register that holds clock/rate (16 samples a bit) or 2·clock/rate (8 samples). With 8 samples the lowest four
 * bits are stored shifted right by one, so an odd divider loses its last bit: `actual` is what the register makes,
 * `nominal` the manual's formula. Source: reference manual of a 32-bit family (RM0440, USART baud rate generation).
 */
export function singleRegister(
  clock: number,
  wanted: number,
  oversampling: 8 | 16,
): { register: number; divider: number; nominal: number; actual: number } {
  const doubled = oversampling === 8 ? 2 : 1;
  const divider = Math.round((doubled * clock) / wanted);
  const nominal = (doubled * clock) / divider;
  if (oversampling === 16) return { register: divider, divider, nominal, actual: nominal };
  const register = (divider & ~0xf) | ((divider & 0xf) >> 1);
  return { register, divider, nominal, actual: (2 * clock) / (divider & ~1) };
}

/**
 * Slowest and fastest incoming rate, as a fraction of the receiver's own, that a receiver voting over three samples still
 * reads. `first` and `middle`: numbers of the first and middle vote sample. Source: 8-bit microcontroller data sheets,
 * "Asynchronous Operational Range": R_slow = (D+1)·S/(S − 1 + D·S + S_F), R_fast = (D+2)·S/((D+1)·S + S_M).
 */
export function votingReceiverRange(
  samplesPerBit: number,
  first: number,
  middle: number,
  dataAndParityBits: number,
): { readonly slow: number; readonly fast: number } {
  const [s, d] = [samplesPerBit, dataAndParityBits];
  return { slow: ((d + 1) * s) / (s - 1 + d * s + first), fast: ((d + 2) * s) / ((d + 1) * s + middle) };
}

/**
 * Clock deviation, as a fraction, at which a receiver slips: `spareSamples` of one bit over the whole frame (16 samples a
 * bit: 6 with three-sample voting, 7 with one sample; 8 samples: 2 and 3). Matches ST RM0351 table 194 within its rounding.
 */
export function frameTolerance(frameBits: number, oversampling: 8 | 16, oneSample: boolean): number {
  const spare = (oversampling === 16 ? 6 : 2) + (oneSample ? 1 : 0);
  return spare / (oversampling * frameBits);
}

/** The most both ends may differ if every edge must fall inside `usable` of a bit, less one sample for finding the start. */
export const mismatchLimit = (bitsToStopMiddle: number, samplesPerBit: number, usable = 1): number =>
  Number.isFinite(samplesPerBit)
    ? (usable / 2 - 1 / samplesPerBit) / bitsToStopMiddle
    : usable / 2 / bitsToStopMiddle;

/** Sum of the deviations of a link against what the receiver bears, all as fractions. */
export function deviationBudget(parts: readonly number[], tolerance: number): { sum: number; ok: boolean } {
  const sum = parts.reduce((total, part) => total + Math.abs(part), 0);
  return { sum, ok: sum < tolerance };
}

/** Total tolerance of a receiver, 8 data bits, no parity: `[slow, fast]` limits as fractions. Source: as `votingReceiverRange`. */
export const totalTolerance = (samplesPerBit: 8 | 16): { slow: number; fast: number } => {
  const [first, middle] = samplesPerBit === 16 ? [8, 9] : [4, 5];
  const { slow, fast } = votingReceiverRange(samplesPerBit, first, middle, 8);
  return { slow: slow - 1, fast: fast - 1 };
};

/** Seconds for one byte: start, eight data bits, stop. */
export const byteTime = (baud: number): number => 10 / baud;

/**
 * Lines a second a link carries. `window` lines may be under way at once; a reply of `replyBytes` and `latency` s end each
 * round trip. Without a window lines stream freely.
 */
export function linesPerSecond(
  baud: number,
  lineBytes: number,
  window?: number,
  replyBytes = 0,
  latency = 0,
): number {
  const streamed = baud / 10 / lineBytes;
  if (window === undefined) return streamed;
  return Math.min(streamed, window / ((10 * (lineBytes + replyBytes)) / baud + latency));
}
