/** Current of circuit-board tracks, IPC-2221 curve fit: I = k·ΔT^0.44·A^0.725, A in square mils. m, A, K. */

export const IPC_2221 = { outer: 0.048, inner: 0.024, rise: 0.44, area: 0.725 } as const;
export type Layer = 'outer' | 'inner';

const MIL = 25.4e-6;
/** Copper of one ounce a square foot: 1.378 mil. */
export const OUNCE_THICKNESS = 1.378 * MIL;

export const traceCurrent = (width: number, thickness: number, rise: number, layer: Layer): number =>
  IPC_2221[layer] * rise ** IPC_2221.rise * ((width * thickness) / MIL ** 2) ** IPC_2221.area;

/** Cross-section, m², that carries a current at a rise. */
export const traceArea = (current: number, rise: number, layer: Layer): number =>
  (current / (IPC_2221[layer] * rise ** IPC_2221.rise)) ** (1 / IPC_2221.area) * MIL ** 2;

export const traceWidth = (current: number, thickness: number, rise: number, layer: Layer): number =>
  traceArea(current, rise, layer) / thickness;

export const squareMils = (area: number): number => area / MIL ** 2;
export const mils = (length: number): number => length / MIL;
