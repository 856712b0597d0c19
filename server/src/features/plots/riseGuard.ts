import { heatBody, isHeated } from '../../machine/heatBody';
import { settledTemperature } from '../../physics/thermal';
import { endsBelow, guardOf } from '../../rules/guards/guard';
import { gain, nominal, RESERVE } from '../../rules/guards/windows';
import { atEnd, celsius, kelvin, needOf, seconds } from '../../rules/heat';
import { formatNumber } from '../../units';
import { type Dot, type Mark, steps } from './plot';
import type { Plotter } from './plotted';
import { spanned } from './spanned';
import { zoneOf } from './zone';

/** Just under its highest target at full power: what the zone gains in time, and what the rise guard wants to see by then. */
export const riseGuard: Plotter = (machine, reading, asking) => {
  const zone = zoneOf(machine, reading);
  if (!zone || !isHeated(zone)) return undefined;
  const guard = guardOf(asking, zone, 'rise');
  const body =
    guard &&
    needOf(asking, heatBody(machine, zone), ['asked', 'heatLoss', 'heatCapacity', 'highestTarget'], reading);
  if (!guard || !body) return undefined;
  const [window, wanted] = [guard.window.value.nom, guard.amount.value.nom];
  const start = body.highestTarget.value.nom - endsBelow(machine, zone);
  const until = 1.5 * window;
  const places = steps(0, until);
  const gains = (supply: 'nominal' | 'low') => (time: number) => gain(body, supply, start, time);
  const [usual, low] = [gains('nominal')(window), gains('low')(window)];
  const spread = body.asked.low.nom < body.asked.nominal.nom;
  const end = settledTemperature(nominal(body), body.asked.nominal.nom);
  const marks: Mark[] = [
    {
      kind: 'zone',
      ink: 'limit',
      hatched: true,
      x: [0, window],
      y: [0, wanted],
      name: `guard trips: less than ${kelvin(wanted)} in ${seconds(window)}`,
    },
    {
      kind: 'curve',
      ink: 'real',
      name: 'nominal supply',
      points: places.map((time) => [time, gains('nominal')(time)] as const),
    },
    ...(spread
      ? [
          {
            kind: 'curve',
            ink: 'real',
            dashed: true,
            name: atEnd(body, 'lo').replace(/^with the /, ''),
            points: places.map((time) => [time, gains('low')(time)] as const),
          } as const,
        ]
      : []),
    { kind: 'line', axis: 'x', ink: 'set', at: window, dashed: true, name: `window ${seconds(window)}` },
    reached(window, usual, 'diamond', 'left'),
    ...(spread ? [reached(window, low, 'circle', 'below')] : []),
  ];
  const times = formatNumber(usual / wanted, 2);
  return {
    title: `Rise guard of ${zone.title} at ${celsius(start)}`,
    x: { label: 'time at full power, s', from: 0, to: until },
    y: { label: 'gain, K', ...spanned([0, 1.2 * wanted, usual, low, gains('nominal')(until)], 0.08) },
    marks,
    facts: [
      `At ${celsius(start)} it gains ${kelvin(Math.max(0, usual))} in ${seconds(window)} at full power${spread ? `, ${kelvin(Math.max(0, low))} ${atEnd(body, 'lo')}` : ''}.`,
      usual > 0
        ? `The guard wants ${kelvin(wanted)}: that is a margin of ×${times} (×${RESERVE} leaves room for lag and draughts).`
        : `The guard wants ${kelvin(wanted)}, and the zone gains nothing: it ends at ${celsius(end)}.`,
    ],
  };
};

/** What is gained when the guard's window ends. */
const reached = (time: number, gained: number, shape: Dot['shape'], side: Dot['side']): Dot => ({
  kind: 'dot',
  ink: 'set',
  shape,
  at: [time, gained],
  label: kelvin(Math.max(0, gained)),
  side,
});
