import { heatBody, isHeated } from '../../machine/heatBody';
import { settledTemperature, temperatureAfter, thermalTime, timeToReach } from '../../physics/thermal';
import { guardOf } from '../../rules/guards/guard';
import { nominal } from '../../rules/guards/windows';
import { atEnd, celsius, minutes, needOf, seconds } from '../../rules/heat';
import { type Mark, steps } from './plot';
import type { Plotter } from './plotted';
import { spanned } from './spanned';
import { zoneOf } from './zone';

/** A zone at full power from cold: how long it takes, where it would end, and the rise guard's window at the highest target. */
export const heating: Plotter = (machine, reading, asking) => {
  const zone = zoneOf(machine, reading);
  if (!zone || !isHeated(zone)) return undefined;
  const body = needOf(
    asking,
    heatBody(machine, zone),
    ['asked', 'heatLoss', 'heatCapacity', 'highestTarget'],
    reading,
  );
  if (!body) return undefined;
  const lump = nominal(body);
  const { ambient } = lump;
  const target = body.highestTarget.value.nom;
  const { low, nominal: usual, high } = body.asked;
  const end = settledTemperature(lump, usual.nom);
  const takes = timeToReach(lump, usual.nom, ambient, target);
  const guard = guardOf({ machine, need: () => undefined }, zone, 'rise');
  const window = guard?.window.value.nom ?? 0;
  const until = Number.isFinite(takes) ? Math.max(1.4 * takes, takes + 1.5 * window) : 4 * thermalTime(lump);
  const places = steps(0, until);
  const at = (power: number) => (time: number) => temperatureAfter(lump, power, ambient, time);
  const limit = body.safeMax?.value.nom;
  const working = zone.workingTemperature?.value.nom;
  const spread = low.nom < high.nom;
  const marks: Mark[] = [
    ...(guard && Number.isFinite(takes)
      ? [
          {
            kind: 'zone',
            ink: 'need',
            hatched: true,
            x: [takes, takes + window],
            name: `rise guard's window, ${seconds(window)}`,
          } as const,
        ]
      : []),
    ...(spread
      ? [
          {
            kind: 'band',
            ink: 'real',
            name: 'low to high supply',
            points: places.map((time) => [time, at(low.nom)(time), at(high.nom)(time)] as const),
          } as const,
        ]
      : []),
    {
      kind: 'curve',
      ink: 'real',
      name: 'full power',
      points: places.map((time) => [time, at(usual.nom)(time)] as const),
    },
    {
      kind: 'line',
      axis: 'y',
      ink: 'set',
      at: target,
      dashed: true,
      name: `highest target ${celsius(target)}`,
    },
    ...(working === undefined || working === target
      ? []
      : [
          {
            kind: 'line',
            axis: 'y',
            ink: 'quiet',
            at: working,
            dashed: true,
            name: `job ${celsius(working)}`,
          } as const,
        ]),
    ...(limit === undefined
      ? []
      : [{ kind: 'line', axis: 'y', ink: 'limit', at: limit, name: `survives ${celsius(limit)}` } as const]),
    ...(Number.isFinite(takes)
      ? [
          {
            kind: 'dot',
            ink: 'set',
            shape: 'diamond',
            at: [takes, target],
            label: minutes(takes),
            side: 'left',
          } as const,
        ]
      : []),
  ];
  const slow = timeToReach(lump, low.nom, ambient, target);
  const low2 = spread ? ` (${Number.isFinite(slow) ? minutes(slow) : 'never'} ${atEnd(body, 'lo')})` : '';
  return {
    title: `Heating ${zone.title} from cold`,
    x: { label: 'time, s', from: 0, to: until },
    y: {
      label: 'temperature, °C',
      ...spanned([ambient, target, limit, working, at(usual.nom)(until)], 0.06),
    },
    marks,
    facts: [
      Number.isFinite(takes)
        ? `From ${celsius(ambient)} to ${celsius(target)} it takes ${minutes(takes)} at full power${low2}.`
        : `At full power it never gets to ${celsius(target)}.`,
      `Left on it would settle at ${celsius(end)}${limit === undefined ? '' : `; it survives ${celsius(limit)}`}.`,
      limit === undefined ? '' : `Between highest target and limit lie ${Math.round(limit - target)} K.`,
      guard
        ? `The rise guard looks at ${seconds(window)} at a time: it must see ${guard.amount.value.nom} K more within.`
        : '',
    ].filter(Boolean),
  };
};
