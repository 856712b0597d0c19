/** Small resistor networks. Ω, V, A, W. */

export const parallel = (...resistances: readonly number[]): number =>
  1 / resistances.reduce((sum, resistance) => sum + 1 / resistance, 0);

/** A voltage source behind a resistor. */
export interface Source {
  readonly volts: number;
  readonly ohms: number;
}

/** Millman's theorem: the voltage where several sources meet, and the resistance seen there. No sources: undefined. */
export function join(sources: readonly Source[]): Source | undefined {
  const conductance = sources.reduce((sum, source) => sum + 1 / source.ohms, 0);
  if (!(conductance > 0)) return undefined;
  const current = sources.reduce((sum, source) => sum + source.volts / source.ohms, 0);
  return { volts: current / conductance, ohms: 1 / conductance };
}

/** `upper` from `volts` to the node, `lower` from the node to 0 V. */
export const divider = (volts: number, upper: number, lower: number): Source => ({
  volts: (volts * lower) / (upper + lower),
  ohms: parallel(upper, lower),
});

/** IEC 60063; E6 and E12 are every fourth and second value of it. */
const E24 = [10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91];

/** Preferred values of one decade, IEC 60063; two digits up to E24, three for E48 to E192 (10^(i/n), rounded). */
export function preferredValues(series: 'E6' | 'E12' | 'E24' | 'E48' | 'E96' | 'E192'): readonly number[] {
  const count = Number(series.slice(1));
  if (count <= 24) return E24.filter((_, index) => index % (24 / count) === 0);
  const step = 192 / count;
  // IEC 60063 lists 9.20 where rounding gives 9.19.
  return Array.from({ length: count }, (_, index) =>
    index * step === 185 ? 920 : Math.round(100 * 10 ** (index / count)),
  );
}

export function isPreferred(ohms: number, series: Parameters<typeof preferredValues>[0]): boolean {
  if (!(ohms > 0)) return false;
  const values = preferredValues(series);
  const first = values[0] as number;
  const decade = 10 ** Math.floor(Math.log10(ohms / first) + 1e-12);
  return values.some((value) => Math.abs(ohms / decade / value - 1) < 1e-9);
}
