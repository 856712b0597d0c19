import type { Zone } from '../../machine/machine';
import type { NumberFact } from '../../model/fact';
import { ends, type Interval, point } from '../../model/interval';
import { formatQuantity } from '../../units';
import { atMost } from '../kit';
import { lower, type Severity } from '../rule';

/** °C of the coldest room when nobody says; common practice. */
export const COLDEST_ROOM: NumberFact = { value: point(5), quality: 'assumed', label: 'usual coldest room' };

/** K by which a wrong reading must exceed its tolerances; common practice. */
export const WARN_KELVIN = 5;
export const ERROR_KELVIN = 10;

/** Low readings overheat the block; high ones only leave it too cold. */
export function severityOf(error: number): Severity | undefined {
  const size = Math.abs(error);
  if (size < WARN_KELVIN) return undefined;
  return error > 0 && size >= ERROR_KELVIN ? 'error' : 'warning';
}

/** Fails at every corner of the facts: the mildest of the verdicts; at some only: one step lower. */
export function weakest(verdicts: readonly (Severity | undefined)[]): Severity | undefined {
  const failing = verdicts.flatMap((one) => one ?? []);
  const [first] = failing;
  if (!first) return undefined;
  const mildest = failing.reduce(atMost, first);
  return failing.length < verdicts.length ? lower(mildest) : mildest;
}

/** °C at which a zone works: the job's, else what is usual for tools, beds and chambers (common practice). */
export const workingCelsius = (zone: Zone): Interval =>
  zone.workingTemperature?.value ?? point(zone.zone.startsWith('tool.') ? 200 : 60);

/** The end of the working range at which a reading is farthest off; told in the message. */
export const worstOf = (working: Interval, truthAt: (shown: number) => number): number =>
  ends(working).reduce((worst, at) =>
    Math.abs(truthAt(at) - at) > Math.abs(truthAt(worst) - worst) ? at : worst,
  );

/**
 * A temperature that a curve gives for a resistance; Infinity for one that the sensor has at no temperature, past the end of its law:
 * then the display never gets there, however hot it is.
 */
export const orNever = (temperature: number): number =>
  temperature > -273.15 ? temperature : Number.POSITIVE_INFINITY;

export const celsius = (value: number): string => formatQuantity(value, 'temperature');

export const body = ({ zone }: Zone): string => (zone.startsWith('tool.') ? 'block' : zone);
