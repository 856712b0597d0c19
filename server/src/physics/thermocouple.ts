/**
 * Type K thermocouple, ITS-90 reference functions (NIST Monograph 175; IEC 60584-1). Volts, °C, reference junction 0 °C.
 * Valid from −270 to 1372 °C; NaN outside.
 */

/** mV/K^i, below 0 °C. */
export const TYPE_K_BELOW_ZERO = [
  0, 3.9450128025e-2, 2.3622373598e-5, -3.2858906784e-7, -4.9904828777e-9, -6.7509059173e-11,
  -5.7410327428e-13, -3.1088872894e-15, -1.0451609365e-17, -1.9889266878e-20, -1.6322697486e-23,
] as const;

/** mV/K^i, from 0 °C on, with the term a0·exp(a1·(t − a2)²). */
export const TYPE_K_ABOVE_ZERO = [
  -1.7600413686e-2, 3.8921204975e-2, 1.8558770032e-5, -9.9457592874e-8, 3.1840945719e-10, -5.6072844889e-13,
  5.6075059059e-16, -3.2020720003e-19, 9.7151147152e-23, -1.2104721275e-26,
] as const;

export const TYPE_K_BUMP = { a0: 1.185976e-1, a1: -1.183432e-4, a2: 1.269686e2 } as const;

const polynomial = (coefficients: readonly number[], t: number): number =>
  coefficients.reduceRight((sum, coefficient) => sum * t + coefficient, 0);

/** Volts of a type K couple whose measuring junction is at `celsius`, with its reference junction at 0 °C. */
export function typeKVoltage(celsius: number): number {
  if (!(celsius >= -270 && celsius <= 1372)) return Number.NaN;
  if (celsius < 0) return 1e-3 * polynomial(TYPE_K_BELOW_ZERO, celsius);
  const { a0, a1, a2 } = TYPE_K_BUMP;
  return 1e-3 * (polynomial(TYPE_K_ABOVE_ZERO, celsius) + a0 * Math.exp(a1 * (celsius - a2) ** 2));
}

/** Volts measured when the terminals are at `cold` °C. */
export const typeKMeasured = (hot: number, cold: number): number => typeKVoltage(hot) - typeKVoltage(cold);

/** V; what the polynomials' last digits are worth. */
const ROUNDING = 1e-12;

/** °C of the measuring junction for a voltage referred to 0 °C; the exact inverse of `typeKVoltage`, by halving. */
export function typeKTemperature(volts: number): number {
  let [low, high] = [-270, 1372];
  if (!(volts >= typeKVoltage(low) - ROUNDING && volts <= typeKVoltage(high) + ROUNDING)) return Number.NaN;
  for (let step = 0; step < 60; step++) {
    const middle = (low + high) / 2;
    if (typeKVoltage(middle) < volts) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** Mean slope between two temperatures, V/K. */
export const typeKSlope = (celsius1: number, celsius2: number): number =>
  (typeKVoltage(celsius2) - typeKVoltage(celsius1)) / (celsius2 - celsius1);
