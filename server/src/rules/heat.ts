import { type HeatBody, heatBody, isHeated } from '../machine/heatBody';
import type { Machine, Zone } from '../machine/machine';
import type { Fact, NumberFact } from '../model/fact';
import type { Interval } from '../model/interval';
import { within } from '../model/interval';
import type { Place } from '../model/place';
import type { Body } from '../physics/thermal';
import type { Reading } from '../settings/reading';
import { formatInterval, formatQuantity } from '../units';
import { percent } from './kit';
import type { Asking } from './rule';

/** What the rules on heated zones share: their bodies, the questions for what is missing, and words for messages. */

/** s that a sensor takes to follow 63 % of a step when nobody says; an estimate (common practice). */
export const USUAL_LAG: NumberFact = {
  value: within(10, 0.3),
  quality: 'estimated',
  label: 'usual time constant of a sensor',
};

export const heatedBodies = (machine: Machine): HeatBody[] =>
  machine.zones.filter(isHeated).map((zone) => heatBody(machine, zone));

type Needed = 'asked' | 'full' | 'heatCapacity' | 'heatLoss' | 'safeMax' | 'highestTarget';

/** The body with the parts a rule needs; for the first one missing the question is asked, and nothing returned. */
export function needOf<K extends Needed>(
  context: Asking,
  body: HeatBody,
  keys: readonly K[],
  about: Place | Reading,
): (HeatBody & Required<Pick<HeatBody, K>>) | undefined {
  const missing = keys.find((key) => body[key] === undefined);
  if (missing === undefined) return body as HeatBody & Required<Pick<HeatBody, K>>;
  context.need(undefined, about, question(context.machine, body, missing));
  return undefined;
}

function question(machine: Machine, body: HeatBody, key: Needed): string {
  const { heater, zone } = body.zone;
  const { title } = body.zone;
  const where = `("heaters", zone "${zone}")`;
  switch (key) {
    case 'asked':
    case 'full':
      if (!heater) return `Add the heater of ${title} ${where} to the machine sheet.`;
      if (!body.supply)
        return `Add the supply's voltage ("supply.voltage") to the machine sheet and I can compute the power of ${title}'s heater.`;
      return `Add the rated voltage and power of ${title}'s heater, or its resistance measured cold ("heaters.${heater.name}"), to the machine sheet.`;
    case 'heatCapacity':
      return `What does the heated part of ${title} weigh, and what is it made of? Add its "heatCapacity" or "parts" ("heaters.${heater?.name ?? zone}") to the machine sheet.`;
    case 'heatLoss':
      return `Hold ${title} at a temperature, note the duty, and add it as "hold" ("heaters.${heater?.name ?? zone}") to the machine sheet.`;
    case 'safeMax':
      return `What is the hottest that the heated part of ${title} survives? Add it as "safeMax" ("heaters.${heater?.name ?? zone}") to the machine sheet.`;
    case 'highestTarget':
      return `Add ${machine.settings.nameOf(`${zone}.maxTemperature`) ?? `${zone}.maxTemperature`}, the highest target of ${title}, to the settings.`;
  }
}

/** The body at one corner of its ranges, for the laws in `physics/thermal`. */
export const lump = (heatCapacity: number, conductance: number, ambient: number): Body => ({
  heatCapacity,
  conductance,
  ambient,
});

/** What a verdict about this body rests on. */
export const bodyFacts = (body: HeatBody): (Fact<unknown> | undefined)[] => [
  body.heatCapacity,
  body.heatLoss,
  ...body.powerFacts,
];

/** True unless the guard, or all guards of the zone, are off or only the build knows. */
export function watches(zone: Zone, machine: Machine, name: 'rise' | 'hold' | 'reading'): boolean {
  const { id } = zone.guard;
  return [`${id}.enabled`, `${id}.${name}Enabled`].every(
    (one) => machine.settings.switch(one)?.value !== false && !machine.settings.undecided(one),
  );
}

/** "with the supply 10 % low" */
export function atEnd({ supply }: HeatBody, end: 'lo' | 'hi'): string {
  if (!supply) return '';
  const { nom } = supply.value;
  const off = Math.abs(supply.value[end] - nom) / nom;
  return off > 0
    ? `with the supply ${percent(off, 2)} ${end === 'lo' ? 'low' : 'high'}`
    : 'at the stated supply';
}

export const celsius = (value: number): string => formatQuantity(value, 'temperature');
export const kelvin = (value: number): string => formatQuantity(value, 'temperatureDifference');
export const seconds = (value: number): string => formatQuantity(value, 'time', { unit: 's' });
/** "18 min", or "45 s" below two minutes. */
export const minutes = (value: number): string =>
  value < 120 ? seconds(value) : formatQuantity(value, 'time', { unit: 'min', digits: 2 });
export const watts = (value: number): string => formatQuantity(value, 'power');
export const wattsOf = (value: Interval): string => formatInterval(value, 'power');

/** "block" of a tool, "bed". */
export const part = ({ zone }: Zone): string =>
  zone === 'bed' ? 'bed' : zone === 'chamber' ? 'chamber' : 'block';
