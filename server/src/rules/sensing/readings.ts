import type { Zone } from '../../machine/machine';
import { formatQuantity } from '../../units';
import type { Severity } from '../rule';

/** K by which a wrong reading must exceed its tolerances; common practice. */
export const WARN_KELVIN = 5;
export const ERROR_KELVIN = 10;

/** Low readings overheat the block; high ones only leave it too cold. */
export function severityOf(error: number): Severity | undefined {
  const size = Math.abs(error);
  if (size < WARN_KELVIN) return undefined;
  return error > 0 && size >= ERROR_KELVIN ? 'error' : 'warning';
}

/** °C at which a zone works: the job's, else what is usual for tools and beds (common practice). */
export const workingCelsius = (zone: Zone): number =>
  zone.workingTemperature?.value.nom ?? (zone.zone === 'bed' ? 60 : 200);

export const celsius = (value: number): string => formatQuantity(value, 'temperature');

export const body = (zone: Zone): string => (zone.zone === 'bed' ? 'bed' : 'block');
