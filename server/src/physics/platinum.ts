import type { ResistanceCurve } from './ntc';

/**
 * Platinum sensors, IEC 60751 (Callendar–Van Dusen): R = R0·(1 + A·t + B·t² + C·(t − 100)·t³), C only below 0 °C.
 * Ω, °C. Valid from −200 to 850 °C.
 */
export const PLATINUM = { a: 3.9083e-3, b: -5.775e-7, c: -4.183e-12 } as const;
const { a: A, b: B, c: C } = PLATINUM;

export const platinumResistance = (r0: number, celsius: number): number => {
  const t = celsius;
  return r0 * (1 + A * t + B * t * t + (t < 0 ? C * (t - 100) * t ** 3 : 0));
};

/** dR/dt in Ω/K. */
export const platinumSlope = (r0: number, celsius: number): number => {
  const t = celsius;
  return r0 * (A + 2 * B * t + (t < 0 ? C * (4 * t ** 3 - 300 * t * t) : 0));
};

/** °C at a resistance; NaN above the top of the parabola. Below 0 °C by Newton's method. */
export function platinumTemperature(r0: number, ohms: number): number {
  const ratio = ohms / r0;
  const quadratic = (-A + Math.sqrt(A * A - 4 * B * (1 - ratio))) / (2 * B);
  if (!(ratio < 1)) return quadratic;
  let t = quadratic;
  for (let step = 0; step < 20; step++) {
    const correction = (platinumResistance(r0, t) - ohms) / platinumSlope(r0, t);
    t -= correction;
    if (Math.abs(correction) < 1e-10) break;
  }
  return t;
}

export const platinumCurve = (r0: number): ResistanceCurve => ({
  resistance: (celsius) => platinumResistance(r0, celsius),
  temperature: (ohms) => platinumTemperature(r0, ohms),
});

/** Mean coefficient between 0 and 100 °C, 1/K. */
export const meanCoefficient = (r0: number, r100: number): number => (r100 - r0) / (100 * r0);

/** Tolerance classes of IEC 60751, K: `a + b·|t|`. */
const CLASSES = { AA: [0.1, 0.0017], A: [0.15, 0.002], B: [0.3, 0.005], C: [0.6, 0.01] } as const;

export const platinumTolerance = (name: keyof typeof CLASSES, celsius: number): number =>
  CLASSES[name][0] + CLASSES[name][1] * Math.abs(celsius);
