/** Loss and heating of a switching transistor. A, Ω, V, s, Hz, W, K. Source: power-transistor data sheets. */

export const conductionLoss = (current: number, onResistance: number, duty = 1): number =>
  current ** 2 * onResistance * duty;

/** ½·V·I·(t_rise + t_fall)·f. */
export const switchingLoss = (volts: number, current: number, edges: number, frequency: number): number =>
  0.5 * volts * current * edges * frequency;

export const rise = (power: number, thermalResistance: number): number => power * thermalResistance;

/** On-resistance near 100–125 °C as a multiple of its 25 °C value. */
export const HOT_FACTOR = 1.5;

/** Junction temperature with the hot on-resistance, °C. */
export function junctionTemperature(part: {
  readonly ambient: number;
  readonly current: number;
  readonly onResistance: number;
  readonly thermalResistance: number;
  readonly duty?: number;
  readonly volts?: number;
  readonly edges?: number;
  readonly frequency?: number;
}): { readonly power: number; readonly temperature: number } {
  const conduction = conductionLoss(part.current, part.onResistance * HOT_FACTOR, part.duty ?? 1);
  const switching = switchingLoss(part.volts ?? 0, part.current, part.edges ?? 0, part.frequency ?? 0);
  const power = conduction + switching;
  return { power, temperature: part.ambient + rise(power, part.thermalResistance) };
}

/**
 * Rise over ambient when the on-resistance grows by `coefficient` (1/K) of its 25 °C value: solves
 * ΔT = a·(1 + k·(T_a + ΔT − 25)). Infinity when it runs away.
 */
export function settledRise(
  current: number,
  onResistance25: number,
  thermalResistance: number,
  coefficient: number,
  ambient = 25,
): number {
  const a = current ** 2 * onResistance25 * thermalResistance;
  const gain = a * coefficient;
  return gain >= 1 ? Number.POSITIVE_INFINITY : (a * (1 + coefficient * (ambient - 25))) / (1 - gain);
}
