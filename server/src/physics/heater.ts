import { copperRatio } from './wire';

/** Resistive heaters. V, Ω, W, A. */

export const powerOf = (volts: number, ohms: number): number => volts ** 2 / ohms;
export const currentOf = (volts: number, ohms: number): number => volts / ohms;
export const resistanceOfRating = (volts: number, watts: number): number => volts ** 2 / watts;
export const currentOfRating = (volts: number, watts: number): number => watts / volts;

/** Power at a supply as a multiple of that at the rated voltage. */
export const powerRatio = (volts: number, rated: number): number => (volts / rated) ** 2;

/** Mean power, and rms and peak current, of a heater that is switched on for a share of the time. */
export const switched = (
  volts: number,
  ohms: number,
  duty: number,
): { power: number; rms: number; peak: number } => {
  const peak = currentOf(volts, ohms);
  return { power: duty * powerOf(volts, ohms), rms: peak * Math.sqrt(duty), peak };
};

/** Resistance of a heater of copper track at a temperature in °C, from its 20 °C value. */
export const copperHeater = (ohms20: number, celsius: number, coefficient?: number): number =>
  ohms20 * copperRatio(celsius, coefficient);

/** Life in hours of a mechanical contact of `operations` switched once a period. */
export const contactLife = (operations: number, frequency: number): number => operations / (3600 * frequency);

/** Half-waves of the mains in one switching period: the steps of power of a zero-crossing switch. */
export const zeroCrossSteps = (mainsFrequency: number, frequency: number): number =>
  (2 * mainsFrequency) / frequency;
