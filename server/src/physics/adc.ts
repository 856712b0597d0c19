import type { ResistanceCurve } from './ntc';

/** A resistance sensor from the converter's input to 0 V with a pull-up to the reference. Ω, V, bits. */

/** Share of the supply at the input: R/(R + pull-up). An open sensor (Infinity) gives 1. */
export const dividerRatio = (ohms: number, pullUp: number): number =>
  Number.isFinite(ohms) ? ohms / (ohms + pullUp) : 1;

/** Resistance that gives a ratio; Infinity at 1. */
export const resistanceAtRatio = (ratio: number, pullUp: number): number =>
  ratio >= 1 ? Number.POSITIVE_INFINITY : (pullUp * ratio) / (1 - ratio);

/** The converter's whole number for a ratio: floor(ratio·2^bits), at most 2^bits − 1. */
export const countOf = (ratio: number, bits: number): number =>
  Math.min(Math.max(Math.floor(ratio * 2 ** bits), 0), 2 ** bits - 1);

/** One step of a converter, V. */
export const stepVoltage = (bits: number, reference: number): number => reference / 2 ** bits;

/** Volts at the input with the pull-up at `supply` V. */
export const sensorVoltage = (ohms: number, pullUp: number, supply: number): number =>
  supply * dividerRatio(ohms, pullUp);

/** °C that a converter's number stands for; count 0 and the top count lie beyond any sensor. */
export const temperatureAtCount = (
  curve: ResistanceCurve,
  pullUp: number,
  bits: number,
  count: number,
): number => curve.temperature(resistanceAtRatio(count / 2 ** bits, pullUp));

/**
 * Kelvin a count at a temperature, from the curve's own slope (central difference over ±0.01 K):
 * `|dT/dR| · (R + Rp)²/(Rp·2^bits)`. For a β thermistor this is T²/(β·x·(1−x)·2^bits).
 */
export function kelvinPerCount(
  curve: ResistanceCurve,
  pullUp: number,
  bits: number,
  celsius: number,
): number {
  const h = 0.01;
  const slope =
    (dividerRatio(curve.resistance(celsius + h), pullUp) -
      dividerRatio(curve.resistance(celsius - h), pullUp)) /
    (2 * h);
  return 1 / (Math.abs(slope) * 2 ** bits);
}

/** Heat in a sensor fed through its pull-up, W. */
export const sensorPower = (ohms: number, pullUp: number, supply: number): number =>
  (supply / (ohms + pullUp)) ** 2 * ohms;

/** Resistance above which the input passes the reference, for a pull-up fed from more than it; Infinity otherwise. */
export const blindAbove = (pullUp: number, supply: number, reference: number): number =>
  supply > reference ? (pullUp * reference) / (supply - reference) : Number.POSITIVE_INFINITY;
