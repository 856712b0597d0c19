import type { DriverSocket } from '../board/profile';
import { type AxisCurrent, driverCurrents, onlyDriver, referenceVoltage } from '../machine/driverCurrent';
import type { Axis, Machine } from '../machine/machine';
import { derive, type Fact, type NumberFact } from '../model/fact';
import { interval, point } from '../model/interval';
import type { Place } from '../model/place';
import { rmsOf } from '../physics/stepper';
import type { Reading } from '../settings/reading';
import { formatQuantity } from '../units';
import { exceeds, inWords, remedy, roundedDown, setSetting } from './kit';
import type { Remedy, RuleContext } from './rule';

/** The setting or the sheet's fact that makes an axis's current what it is. */
export function currentPlace(
  axis: Axis,
  current: AxisCurrent,
): { readonly reading?: Reading; readonly place?: Place } {
  const reading =
    current.kind === 'setting' ? axis.reading('motorCurrent') : axis.reading('referenceVoltage');
  return { reading, place: reading?.place ?? current.rms.place };
}

/**
 * Lowers an axis's current to `rms` A, rounded down. Where a reference voltage makes the current, setting and reference go down together;
 * a trimmer is turned by hand.
 */
export function lowerCurrent(
  context: RuleContext,
  axis: Axis,
  current: AxisCurrent,
  rms: number,
  options: { readonly settingIsRight?: boolean } = {},
): Remedy[] {
  const { machine } = context;
  const to = roundedDown(rms, 2);
  if (!(to > 0) || !exceeds(current.rms.value.hi, to)) return [];
  const shown = formatQuantity(to, 'current');
  const setting = options.settingIsRight ? undefined : axis.reading('motorCurrent');
  const byReference = current.kind === 'reference' || onlyDriver(axis)?.family?.current?.kind === 'reference';
  if (!byReference) {
    const title = `Lower ${axis.title}'s motor current to ${shown}`;
    return setting ? setSetting(context, setting, { si: to, digits: 3 }, { title }) : [];
  }
  const reference = referenceVoltage(machine, axis);
  const real = driverCurrents(machine, axis).find(({ kind }) => kind === 'reference');
  const gives = real && rmsOf(real.peak.nom);
  // A reference that gives less than that already stays as it is.
  if (gives !== undefined && !exceeds(gives, to)) {
    const title = `Note ${shown} as ${axis.title}'s motor current: its reference voltage gives no more`;
    return setting ? setSetting(context, setting, { si: to, digits: 3 }, { title }) : [];
  }
  const volts = reference && gives && roundedDown((reference.value.nom * to) / gives, 2);
  const down = volts === undefined ? '' : ` to ${formatQuantity(volts, 'voltage')}`;
  const reading = axis.reading('referenceVoltage');
  const edits = [
    reading && volts !== undefined && machine.settings.edit(reading, { si: volts, digits: 3 }),
    setting && machine.settings.edit(setting, { si: to, digits: 3 }),
  ];
  const title = `Lower ${axis.title}'s reference voltage${down}, ${shown} rms`;
  const done = edits.filter((edit) => edit !== undefined && edit !== false);
  if (reading && done.length === (setting ? 2 : 1)) return [remedy(title, done)];
  return [inWords(setting ? `${title}, and note that current in the settings` : title)];
}

/** °C where the sheet says nothing of the room. Common practice. */
const ROOM: NumberFact = { value: point(25), quality: 'assumed', label: 'room, taken as 25 °C' };

/** °C around the motors: the room, or the enclosure that is heated. */
export const motorAmbient = ({ sheet }: Machine): NumberFact => sheet?.ambient ?? ROOM;

/** °C around the drivers. */
export const driverAmbient = ({ sheet }: Machine): NumberFact =>
  sheet?.insideAmbient ?? sheet?.ambient ?? ROOM;

/** A rms that a driver carries as it is fitted; both ratings are its ends while nobody says whether air moves. */
export function driverRating(socket: DriverSocket): NumberFact | undefined {
  const { maxRms, maxRmsStill } = socket.family ?? {};
  if (socket.cooled) return socket.cooled.value ? maxRms : maxRmsStill;
  if (!maxRms || !maxRmsStill) return undefined;
  const [lo, hi] = [maxRmsStill.value, maxRms.value];
  return derive(
    maxRms,
    interval(Math.min(lo.lo, hi.lo), Math.max(lo.hi, hi.hi), hi.nom),
    'rating without and with air',
  );
}

/** The most that the driver carries at all: with air, else the one rating that is known. */
export const mostOfDriver = ({ family }: DriverSocket): NumberFact | undefined =>
  family?.maxRms ?? family?.maxRmsStill;

/** Setting beside which a question about a driver or motor is asked. */
export const aboutDriver = (axis: Axis, ...first: readonly string[]): Reading | undefined =>
  [...first, 'motorCurrent', 'stepPin', 'maxSpeed', 'stepsPerMm']
    .map((name) => axis.reading(name))
    .find((reading) => reading !== undefined);

export const withoutGaps = <T>(facts: readonly (Fact<T> | undefined)[]): Fact<T>[] =>
  facts.filter((fact) => fact !== undefined);
