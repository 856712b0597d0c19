import type { HeatBody } from '../../machine/heatBody';
import { corners, type Interval } from '../../model/interval';
import { riseWithin, sensorFallTime, temperatureAfter, timeToReach } from '../../physics/thermal';
import { lump } from '../heat';
import { exceeds } from '../kit';

/** A body that is known well enough for guards to be judged. */
export type KnownBody = HeatBody & Required<Pick<HeatBody, 'asked' | 'heatCapacity' | 'heatLoss'>>;
export type LimitedBody = KnownBody & Required<Pick<HeatBody, 'safeMax' | 'highestTarget'>>;

/** Reserve of a rise over what the guard wants, for lag and draughts, and that of a proposed value; common practice. */
export const RESERVE = 1.5;
export const PROPOSED_RESERVE = 2;

/** Windows that people set, s; proposals are taken from here. */
const USUAL = [5, 10, 15, 20, 30, 40, 60, 90, 120, 150, 180, 240, 300, 420, 600];

export const windowUpTo = (seconds: number): number | undefined =>
  USUAL.filter((one) => one <= seconds).at(-1);

export const windowFrom = (seconds: number): number | undefined =>
  USUAL.find((one) => !exceeds(seconds, one));

/** Kelvin gained within `window` s from `start` °C, over heater, body and room, at one end of the supply. */
export const gains = (
  { asked, heatCapacity, heatLoss, ambient }: KnownBody,
  supply: 'low' | 'nominal',
  start: Interval,
  window: number,
): number[] =>
  corners([asked[supply], heatCapacity.value, heatLoss.value, ambient.value, start]).map(
    ([p = 0, c = 0, g = 0, room = 0, from = 0]) => riseWithin(lump(c, g, room), p, from, window),
  );

/** The same for nominal values. */
export const gain = (body: KnownBody, supply: 'low' | 'nominal', start: number, window: number): number =>
  riseWithin(nominal(body), body.asked[supply].nom, start, window);

export const nominal = ({ heatCapacity, heatLoss, ambient }: KnownBody) =>
  lump(heatCapacity.value.nom, heatLoss.value.nom, ambient.value.nom);

/** °C after `window` s at full power with a high supply, from the highest target, for nominal values. */
export const endOf = (body: LimitedBody, window: number): number =>
  temperatureAfter(nominal(body), body.asked.high.nom, body.highestTarget.value.nom, window);

/** s at full power with a high supply until the limit is reached, in the worst corner of the ranges. */
export const longestWindow = ({
  asked,
  heatCapacity,
  heatLoss,
  ambient,
  highestTarget,
  safeMax,
}: LimitedBody): number =>
  Math.min(
    ...corners([
      asked.high,
      heatCapacity.value,
      heatLoss.value,
      ambient.value,
      highestTarget.value,
      safeMax.value,
    ]).map(([p = 0, c = 0, g = 0, room = 0, from = 0, limit = 0]) =>
      from < limit ? timeToReach(lump(c, g, room), p, from, limit) : 0,
    ),
  );

/** A rise guard with this window never stops a healthy job: enough at the nominal supply, and still seen at a low one. */
export const seesHealthyRise = (body: KnownBody, start: Interval, window: number, rise: number): boolean =>
  gains(body, 'nominal', start, window).every((one) => !exceeds(RESERVE * rise, one)) &&
  gains(body, 'low', start, window).every((one) => !exceeds(rise, one));

/** s from the fall of the sensor out of the part until the hold guard trips; Infinity when its reading never leaves the band. */
export const tripDelay = (lag: number, from: number, room: number, band: number, window: number): number =>
  (lag > 0 ? sensorFallTime(lag, from, room, band) : band < from - room ? 0 : Number.POSITIVE_INFINITY) +
  window;
