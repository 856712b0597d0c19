/** Power supplies. W, A, V, °C. */

/** Share of the rating at an ambient temperature: full up to `from`, then `slope` 1/K down to 0. */
export const derating = (ambient: number, from = 50, slope = 0.025): number =>
  Math.min(1, Math.max(0, 1 - slope * (ambient - from)));

export const combinedDerating = (...shares: readonly number[]): number =>
  shares.reduce((product, share) => product * share, 1);

export const ratedPower = (volts: number, amps: number): number => volts * amps;

export interface Load {
  readonly total: number;
  readonly share: number;
}

export function loadOf(loads: readonly number[], rating: number): Load {
  const total = loads.reduce((sum, load) => sum + load, 0);
  return { total, share: total / rating };
}

/** Watts a motor takes from the supply at standstill or slow: winding heat over the drive's efficiency. */
export const motorSupplyPower = (rms: number, phaseResistance: number, efficiency = 0.85): number =>
  (2 * rms ** 2 * phaseResistance) / efficiency;
