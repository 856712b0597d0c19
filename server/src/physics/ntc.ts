/**
 * Negative-temperature-coefficient thermistors. Ω, °C, K. Source: thermistor handbooks; IEC 60539-1 for β.
 * Resistances must be positive; otherwise results are NaN.
 */

export const ZERO_CELSIUS = 273.15;
const T25 = 25 + ZERO_CELSIUS;

/** Both directions of a sensor's curve. Readings outside of it are extrapolated as the curve's own law has it. */
export interface ResistanceCurve {
  /** Ω at a temperature in °C. */
  resistance(celsius: number): number;
  /** °C at a resistance in Ω. */
  temperature(ohms: number): number;
}

/** R = R25·exp(β·(1/T − 1/298.15 K)). `reference` in °C when the nominal resistance is not given at 25 °C. */
export function betaCurve(r25: number, beta: number, reference = 25): ResistanceCurve {
  const t0 = reference + ZERO_CELSIUS;
  return {
    resistance: (celsius) => r25 * Math.exp(beta * (1 / (celsius + ZERO_CELSIUS) - 1 / t0)),
    temperature: (ohms) => 1 / (1 / t0 + Math.log(ohms / r25) / beta) - ZERO_CELSIUS,
  };
}

/** β in K from two points of a curve. */
export const betaBetween = (celsius1: number, ohms1: number, celsius2: number, ohms2: number): number =>
  Math.log(ohms1 / ohms2) / (1 / (celsius1 + ZERO_CELSIUS) - 1 / (celsius2 + ZERO_CELSIUS));

/** Steinhart–Hart: 1/T = A + B·ln R + C·(ln R)³. Source: Deep-Sea Research 15 (1968) 497–503. */
export interface SteinhartHart {
  readonly a: number;
  readonly b: number;
  readonly c: number;
}

export function steinhartHartCurve({ a, b, c }: SteinhartHart): ResistanceCurve {
  return {
    temperature: (ohms) => {
      const ln = Math.log(ohms);
      return 1 / (a + b * ln + c * ln ** 3) - ZERO_CELSIUS;
    },
    resistance: (celsius) => Math.exp(depressedCubicRoot(c, b, a - 1 / (celsius + ZERO_CELSIUS))),
  };
}

/** The real root of `c·x³ + b·x + d = 0` for b, c of one sign (Cardano); of the line `b·x + d` when c is 0. */
function depressedCubicRoot(c: number, b: number, d: number): number {
  if (c === 0) return -d / b;
  const [p, q] = [b / c, d / c];
  const root = Math.sqrt((q / 2) ** 2 + (p / 3) ** 3);
  return Math.cbrt(-q / 2 + root) + Math.cbrt(-q / 2 - root);
}

/** Coefficients through three points `[°C, Ω]` of different resistance. */
export function steinhartHartThrough(points: readonly [Point, Point, Point]): SteinhartHart {
  const [l1, l2, l3] = points.map(([, ohms]) => Math.log(ohms)) as [number, number, number];
  const [y1, y2, y3] = points.map(([celsius]) => 1 / (celsius + ZERO_CELSIUS)) as [number, number, number];
  const g2 = (y2 - y1) / (l2 - l1);
  const g3 = (y3 - y1) / (l3 - l1);
  const c = (g3 - g2) / (l3 - l2) / (l1 + l2 + l3);
  const b = g2 - c * (l1 ** 2 + l1 * l2 + l2 ** 2);
  return { a: y1 - l1 * (b + c * l1 ** 2), b, c };
}

/** The extended form some makers print: R = R25·exp(A + B/T + C/T² + D/T³). T in K. */
export const extendedResistance = (
  r25: number,
  [a, b, c, d]: readonly [number, number, number, number],
  celsius: number,
): number => {
  const t = celsius + ZERO_CELSIUS;
  return r25 * Math.exp(a + b / t + c / t ** 2 + d / t ** 3);
};

/** Its inverse: 1/T = A1 + B1·L + C1·L² + D1·L³ with L = ln(R/R25). */
export const extendedTemperature = (
  r25: number,
  [a, b, c, d]: readonly [number, number, number, number],
  ohms: number,
): number => {
  const ln = Math.log(ohms / r25);
  return 1 / (a + b * ln + c * ln ** 2 + d * ln ** 3) - ZERO_CELSIUS;
};

/** `[°C, Ω]` */
export type Point = readonly [number, number];

/**
 * A curve through the points of a table: ln R over 1/T, straight between neighbours; beyond the ends the last piece goes
 * on. Undefined for fewer than two usable points.
 */
export function tableCurve(points: readonly Point[]): ResistanceCurve | undefined {
  const sorted = points
    .filter(([celsius, ohms]) => ohms > 0 && celsius > -ZERO_CELSIUS && Number.isFinite(ohms + celsius))
    .map(([celsius, ohms]) => ({ x: 1 / (celsius + ZERO_CELSIUS), y: Math.log(ohms) }))
    .sort((a, b) => a.x - b.x)
    .filter((point, index, all) => index === 0 || point.x !== all[index - 1]?.x);
  if (sorted.length < 2) return undefined;
  const rising = sorted.every((point, index) => index === 0 || point.y > (sorted[index - 1]?.y ?? 0));
  if (!rising) return undefined;
  const xs = sorted.map((point) => point.x);
  const ys = sorted.map((point) => point.y);
  return {
    resistance: (celsius) => Math.exp(straight(xs, ys, 1 / (celsius + ZERO_CELSIUS))),
    temperature: (ohms) => 1 / straight(ys, xs, Math.log(ohms)) - ZERO_CELSIUS,
  };
}

/** Piecewise straight line through rising `xs`. */
function straight(xs: readonly number[], ys: readonly number[], x: number): number {
  let low = 0;
  let high = xs.length - 1;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if ((xs[middle] as number) <= x) low = middle;
    else high = middle;
  }
  const [x0, x1, y0, y1] = [xs[low], xs[high], ys[low], ys[high]] as [number, number, number, number];
  return y0 + ((y1 - y0) * (x - x0)) / (x1 - x0);
}

/** What the display shows when the sensor's own curve is `fitted` and the firmware uses `assumed`. °C. */
export const shownWithCurve = (
  fitted: ResistanceCurve,
  assumed: ResistanceCurve,
  trueCelsius: number,
): number => assumed.temperature(fitted.resistance(trueCelsius));

/** The other way round: how hot it is while the display shows `shown`. °C. */
export const trueWithCurve = (fitted: ResistanceCurve, assumed: ResistanceCurve, shown: number): number =>
  fitted.temperature(assumed.resistance(shown));

/** What the display shows when the pull-up fitted is not the one the firmware computes with: R' = R·assumed/fitted. °C. */
export const shownWithPullUp = (
  curve: ResistanceCurve,
  fitted: number,
  assumed: number,
  trueCelsius: number,
): number => curve.temperature((curve.resistance(trueCelsius) * assumed) / fitted);

export const trueWithPullUp = (
  curve: ResistanceCurve,
  fitted: number,
  assumed: number,
  shown: number,
): number => curve.temperature((curve.resistance(shown) * fitted) / assumed);

/** dT/d(ln R) of the β law, K: `T²/β`, negative-going; the error in K of a resistance that is off by a small fraction. */
export const kelvinPerFraction = (beta: number, celsius: number): number =>
  (celsius + ZERO_CELSIUS) ** 2 / beta;

/** B value of a curve around 25 °C and its nominal resistance there. */
export const NOMINAL_KELVIN = T25;
