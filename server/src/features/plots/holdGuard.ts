import { heatBody, isHeated } from '../../machine/heatBody';
import { temperatureAfter, timeToReach } from '../../physics/thermal';
import { guardOf } from '../../rules/guards/guard';
import { nominal, tripDelay } from '../../rules/guards/windows';
import { atEnd, celsius, kelvin, lump, needOf, seconds, USUAL_LAG } from '../../rules/heat';
import { type Mark, steps } from './plot';
import type { Plotter } from './plotted';
import { spanned } from './spanned';
import { zoneOf } from './zone';

/** The sensor falls out at the highest target: what it shows, what the part really does, and when the hold guard trips. */
export const holdGuard: Plotter = (machine, reading, asking) => {
  const zone = zoneOf(machine, reading);
  if (!zone || !isHeated(zone)) return undefined;
  const guard = guardOf(asking, zone, 'hold');
  const body =
    guard &&
    needOf(
      asking,
      heatBody(machine, zone),
      ['asked', 'heatLoss', 'heatCapacity', 'highestTarget', 'safeMax'],
      reading,
    );
  if (!guard || !body) return undefined;
  const [window, band] = [guard.window.value.nom, guard.amount.value.nom];
  const lag = (zone.sensor?.timeConstant ?? USUAL_LAG).value.nom;
  const [start, room, limit] = [body.highestTarget.value.nom, body.ambient.value.nom, body.safeMax.value.nom];
  const part = nominal(body);
  const power = body.asked.high.nom;
  const trips = tripDelay(lag, start, room, band, window);
  const tooHot = start < limit ? timeToReach(part, power, start, limit) : 0;
  const known = [1.4 * trips, 1.2 * tooHot, 3 * lag].filter((time) => Number.isFinite(time) && time > 0);
  const until = Number.isFinite(trips) ? 1.4 * trips : Math.max(...known, 1);
  const places = steps(0, until);
  const real = (time: number): number => temperatureAfter(part, power, start, time);
  // A sensor in free air is a body of its own without power.
  const shown = (time: number): number =>
    lag > 0 ? temperatureAfter(lump(lag, 1, room), 0, start, time) : room;
  const leaves = trips - window;
  const marks: Mark[] = [
    ...(Number.isFinite(trips)
      ? [
          {
            kind: 'zone',
            ink: 'need',
            hatched: true,
            x: [leaves, trips],
            name: `guard's window, ${seconds(window)}`,
          } as const,
        ]
      : []),
    {
      kind: 'curve',
      ink: 'real',
      name: 'the part, heated on',
      points: places.map((time) => [time, real(time)] as const),
    },
    {
      kind: 'curve',
      ink: 'set',
      dashed: true,
      name: 'what its sensor shows',
      points: places.map((time) => [time, shown(time)] as const),
    },
    { kind: 'line', axis: 'y', ink: 'limit', at: limit, name: `survives ${celsius(limit)}` },
    {
      kind: 'line',
      axis: 'y',
      ink: 'quiet',
      at: start - band,
      dashed: true,
      name: `edge of the band, ${kelvin(band)} below`,
    },
    ...(Number.isFinite(trips)
      ? [
          { kind: 'dot', ink: 'set', shape: 'circle', at: [leaves, start - band] } as const,
          {
            kind: 'dot',
            ink: 'real',
            shape: 'diamond',
            at: [trips, real(trips)],
            name: `trips after ${seconds(trips)}`,
            label: celsius(real(trips)),
            side: 'below',
          } as const,
        ]
      : []),
  ];
  const margin = limit - real(trips);
  return {
    title: `Hold guard of ${zone.title}: its sensor falls out`,
    x: { label: 'time since then, s', from: 0, to: until },
    y: {
      label: 'temperature, °C',
      ...spanned([start, limit, real(until), Math.max(room, shown(until))], 0.06),
    },
    marks,
    facts: Number.isFinite(trips)
      ? [
          `The reading leaves the band of ${kelvin(band)} after ${seconds(leaves)}, and the guard trips ${seconds(window)} later.`,
          `By then ${zone.title} is at ${celsius(real(trips))} ${atEnd(body, 'hi')}: ${margin >= 0 ? `${kelvin(margin)} below` : `${kelvin(-margin)} above`} its limit of ${celsius(limit)}.`,
        ]
      : [
          `The reading never leaves the band of ${kelvin(band)}, and the guard never trips.`,
          `Heated on, ${zone.title} passes its limit of ${celsius(limit)} ${Number.isFinite(tooHot) ? `after ${seconds(tooHot)}` : 'never'}.`,
        ],
  };
};
