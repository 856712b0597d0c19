/** Logic levels of an input. Volts. */

export interface Thresholds {
  /** Highest voltage that surely reads low. */
  readonly vil: number;
  /** Lowest voltage that surely reads high. */
  readonly vih: number;
}

export type Level = 'low' | 'high' | 'undefined';

/** Low up to VIL, high from VIH on, undefined between. NaN is undefined. */
export function levelOf(volts: number, { vil, vih }: Thresholds): Level {
  if (volts <= vil) return 'low';
  return volts >= vih ? 'high' : 'undefined';
}

/** The level at both ends of an interval: `undefined` unless both agree. */
export function levelOfRange(lo: number, hi: number, thresholds: Thresholds): Level {
  const level = levelOf(lo, thresholds);
  return level === levelOf(hi, thresholds) ? level : 'undefined';
}

/** Volts between a level and the threshold it must keep away from; negative when it is on the wrong side. */
export const highMargin = (volts: number, { vih }: Pick<Thresholds, 'vih'>): number => volts - vih;
export const lowMargin = (volts: number, { vil }: Pick<Thresholds, 'vil'>): number => vil - volts;

/** Thresholds given as fractions of the supply, as for CMOS inputs. */
export const ratiometric = (supply: number, vil: number, vih: number): Thresholds => ({
  vil: vil * supply,
  vih: vih * supply,
});

/** Thresholds given as straight lines over the supply: `slope·(supply − 2 V) + at2V`. */
export const linearThresholds = (
  supply: number,
  low: { slope: number; at2V: number },
  high: { slope: number; at2V: number },
): Thresholds => ({ vil: low.slope * (supply - 2) + low.at2V, vih: high.slope * (supply - 2) + high.at2V });

/** Whether a driver's weakest high and strongest low are read as such. */
export function drives(
  driver: { readonly voh: number; readonly vol: number },
  receiver: Thresholds,
): { readonly high: Level; readonly low: Level } {
  return { high: levelOf(driver.voh, receiver), low: levelOf(driver.vol, receiver) };
}

/** Amperes pressed into a pin whose protection holds it at `clamp` V, from `source` V through `resistance` Ω; 0 below. */
export const injectedCurrent = (source: number, clamp: number, resistance: number): number =>
  Math.max(0, (source - clamp) / resistance);

/**
 * Gate or input voltage of a pin while the chip resets: its reset pull-up against the resistor that should hold it low.
 * Ω and V.
 */
export const resetVoltage = (logicVoltage: number, pullUp: number, pullDown: number): number =>
  (logicVoltage * pullDown) / (pullUp + pullDown);
