/** Copper conductors. m, m², Ω, A, V, W, °C. */

/** IEC 60028, standard annealed copper at 20 °C, Ω·m. */
export const COPPER_RESISTIVITY = 1.7241e-8;
/** IEC 60028, 1/K at 20 °C. */
export const COPPER_COEFFICIENT = 0.00393;

/** Diameter of a solid wire of American wire gauge, m. ASTM B258. */
export const gaugeDiameter = (gauge: number): number => 0.127e-3 * 92 ** ((36 - gauge) / 39);
export const circleArea = (diameter: number): number => (Math.PI / 4) * diameter ** 2;
export const gaugeArea = (gauge: number): number => circleArea(gaugeDiameter(gauge));

/** Resistance at a temperature as a multiple of that at 20 °C. */
export const copperRatio = (celsius: number, coefficient = COPPER_COEFFICIENT): number =>
  1 + coefficient * (celsius - 20);

/** Ω/m of a solid conductor. Stranded ones have a little more: IEC 60228 class 5 tables say how much. */
export const resistancePerMetre = (area: number, celsius = 20): number =>
  (COPPER_RESISTIVITY / area) * copperRatio(celsius);

export interface RunLoss {
  /** Out and back, Ω. */
  readonly resistance: number;
  /** V lost. */
  readonly drop: number;
  /** W in both conductors together. */
  readonly power: number;
  /** W per metre of conductor. */
  readonly powerPerMetre: number;
}

/** A two-wire run of a one-way length: `perMetre20` is the conductor's Ω/m at 20 °C. */
export function runLoss(perMetre20: number, length: number, current: number, celsius = 20): RunLoss {
  const resistance = perMetre20 * 2 * length * copperRatio(celsius);
  const power = current ** 2 * resistance;
  return { resistance, drop: current * resistance, power, powerPerMetre: power / (2 * length) };
}

/**
 * Longest time a fuse may take at a short-circuit current, s: (k·A/I)², A in mm². k = 115 for copper in PVC
 * (IEC 60364-4-43); area here in m².
 */
export const shortCircuitTime = (area: number, current: number, k = 115): number =>
  ((k * area * 1e6) / current) ** 2;

/** A copper track on a board: Ω per square of a thickness in m. */
export const sheetResistance = (thickness: number, celsius = 20): number =>
  (COPPER_RESISTIVITY / thickness) * copperRatio(celsius);

/**
 * Factor on a wire's capacity for other air than the table's: √((limit − ambient)/(limit − base)); 0 when the air is as hot as the
 * insulation stands. °C. Heat given off grows with the difference of temperatures, heat made with the square of the current.
 */
export const ambientFactor = (limit: number, base: number, ambient: number): number =>
  Math.sqrt(Math.max(0, (limit - ambient) / (limit - base)));

/**
 * Factor on a capacity that was tabulated for one conductor limit (°C) when the insulation stands another, in the same air: the
 * difference of temperatures, less the higher resistance of the hotter copper.
 */
export const insulationFactor = (tabulated: number, limit: number, base: number): number =>
  Math.sqrt(((limit - base) / (tabulated - base)) * (copperRatio(tabulated) / copperRatio(limit)));

interface Rated {
  /** m² */
  readonly area: number;
  /** A */
  readonly current: number;
}

/** Capacity between two sizes of a table, by the power law through both. */
export function interpolatedPower(lower: Rated, upper: Rated, area: number): number {
  if (lower.area === upper.area) return lower.current;
  const exponent = Math.log(upper.current / lower.current) / Math.log(upper.area / lower.area);
  return lower.current * (area / lower.area) ** exponent;
}

/**
 * Capacity of a size outside a table, from the table's end: I²·ρ/A is the heat that a metre gives off, which lies between the same
 * for all sizes (I ~ A^0.5) and in proportion to the diameter (I ~ A^0.75). Tables for 0.75 to 16 mm² have 0.6 to 0.65.
 */
export function capacityBeyond(end: Rated, area: number): { lo: number; nom: number; hi: number } {
  const at = (exponent: number): number => end.current * (area / end.area) ** exponent;
  const [half, most] = [at(0.5), at(0.75)];
  return { lo: Math.min(half, most), nom: at(0.625), hi: Math.max(half, most) };
}
