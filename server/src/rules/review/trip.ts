import { heatBody } from '../../machine/heatBody';
import type { Machine, Zone } from '../../machine/machine';
import type { Fact } from '../../model/fact';
import { sensorFallTime, temperatureAfter } from '../../physics/thermal';
import { bodyFacts, lump, USUAL_LAG } from '../heat';

/** °C of a heated part when its guard acts, by nominal values. */
export interface Trip {
  readonly celsius: number;
  /** Limit of the part, when it is known. */
  readonly limit?: number;
  readonly facts: readonly (Fact<unknown> | undefined)[];
}

/**
 * How hot a part is when its guard trips after its sensor has fallen out at the highest target, at full power with a high supply.
 * Lumped heat balance, heat-transfer handbooks.
 * @param window s
 * @param band K that the hold guard lets the reading sink; none for the rise guard
 */
export function tripOf(machine: Machine, zone: Zone, window: number, band?: number): Trip | undefined {
  const body = heatBody(machine, zone);
  const { asked, heatCapacity, heatLoss, highestTarget, ambient, safeMax } = body;
  if (!asked || !heatCapacity || !heatLoss || !highestTarget) return undefined;
  const lag = zone.sensor?.timeConstant;
  const [from, room] = [highestTarget.value.nom, ambient.value.nom];
  const wait =
    window + (band === undefined ? 0 : sensorFallTime((lag ?? USUAL_LAG).value.nom, from, room, band));
  if (!Number.isFinite(wait)) return undefined;
  const celsius = temperatureAfter(
    lump(heatCapacity.value.nom, heatLoss.value.nom, room),
    asked.high.nom,
    from,
    wait,
  );
  return {
    celsius,
    limit: safeMax?.value.nom,
    facts: [...bodyFacts(body), ambient, highestTarget, safeMax, band === undefined ? undefined : lag],
  };
}

/** What the guard of a zone comes to with one of its numbers replaced; nothing for guards without a window. */
export function tripWith(
  machine: Machine,
  zone: Zone,
  name: string,
  value: number,
  known: (name: string) => number | undefined,
): Trip | undefined {
  if (name === 'riseWindow') return tripOf(machine, zone, value);
  const window = name === 'holdWindow' ? value : name === 'holdBand' ? known('holdWindow') : undefined;
  const band = name === 'holdBand' ? value : known('holdBand');
  return window === undefined || band === undefined ? undefined : tripOf(machine, zone, window, band);
}
