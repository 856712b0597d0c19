import { numberOf, type Value } from '../../machine/fixedValues';
import type { Machine, Zone } from '../../machine/machine';
import type { Interval } from '../../model/interval';
import type { Place } from '../../model/place';
import { watches } from '../heat';
import type { Asking } from '../rule';

/** A guard's two numbers, with the place that a finding about it goes to. */
export interface Guard {
  readonly window: Value<Interval>;
  readonly amount: Value<Interval>;
  readonly place: Place;
}

const NAMES = {
  rise: { window: 'riseWindow', amount: 'riseTemperature' },
  hold: { window: 'holdWindow', amount: 'holdBand' },
} as const;

/**
 * The rise or hold guard of a zone; nothing when it is off, when it has no window (then nothing can be said), or when one of its
 * numbers is not known: then that one is asked for.
 */
export function guardOf(context: Asking, zone: Zone, kind: 'rise' | 'hold'): Guard | undefined {
  const { machine } = context;
  if (!watches(zone, machine, kind)) return undefined;
  const names = NAMES[kind];
  const window = numberOf(machine, `${zone.guard.id}.${names.window}`);
  const amount = numberOf(machine, `${zone.guard.id}.${names.amount}`);
  if (!window || !amount) {
    const known = window ?? amount;
    const missing = `${zone.guard.id}.${window ? names.amount : names.window}`;
    if (known?.place && !machine.settings.undecided(missing)) {
      context.need(
        undefined,
        known.place,
        `Add ${machine.settings.nameOf(missing) ?? missing} to the settings, or what the firmware does by itself (firmware.fixed) to the machine sheet, and I can check this guard`,
      );
    }
    return undefined;
  }
  if (!window.place || !(window.value.nom > 0) || !(amount.value.nom > 0)) return undefined;
  return { window, amount, place: window.place };
}

/** K below the target at which the rise guard stops watching; 0 when nobody says. */
export const endsBelow = (machine: Machine, zone: Zone): number =>
  (numberOf(machine, `${zone.guard.id}.riseEndsBelow`) ?? machine.sheet?.firmware?.riseGuardEndsBelow)?.value
    .nom ?? 0;
