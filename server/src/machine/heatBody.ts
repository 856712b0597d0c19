import { derive, type Fact, type NumberFact } from '../model/fact';
import { type Interval, isPoint, over, point, scale, within } from '../model/interval';
import { powerOf, resistanceOfRating } from '../physics/heater';
import { conductanceFromHold, heatCapacityOf } from '../physics/thermal';
import { numberOf, type Value } from './fixedValues';
import { heaterVoltage } from './loadCurrent';
import type { Machine, Zone } from './machine';
import { materials } from './materials';
import type { HeatedPart, Heater } from './sheet';

/**
 * What one heated zone is as a lump of heat: C·dT/dt = P − G·(T − T_a). W, J/K, W/K, °C. Source: heat-transfer handbooks.
 * Bare estimates of C and G are widened to ±30 % (common practice); values with a range of their own keep it. What is not
 * known is absent.
 */
export interface HeatBody {
  readonly zone: Zone;
  /** V that feeds the heater, with its own tolerance, else ±10 % (common practice; for mains IEC 60038). */
  readonly supply?: NumberFact;
  /** What the heater makes when it is on for good. */
  readonly full?: HeaterPower;
  /** What the firmware asks of it at most: full power times the power limit of the settings. */
  readonly asked?: HeaterPower;
  readonly heatCapacity?: NumberFact;
  readonly heatLoss?: NumberFact;
  /** What the part fan adds to the heat loss. */
  readonly fanHeatLoss?: NumberFact;
  /** Air around the machine; 25 °C when nobody says. */
  readonly ambient: NumberFact;
  /** The highest temperature that a job may ask for; the job's own where the settings have no limit. */
  readonly highestTarget?: Value<Interval>;
  /** What the heated part survives. */
  readonly safeMax?: NumberFact;
  /** All that power rests on, for causes and for the quality of a verdict. */
  readonly powerFacts: readonly Fact<unknown>[];
}

/** W; each an interval over the heater's own tolerance. */
export interface HeaterPower {
  readonly low: Interval;
  readonly nominal: Interval;
  readonly high: Interval;
}

/** How far a supply without a stated tolerance is taken to be off; common practice, and IEC 60038 for mains. */
const SUPPLY_TOLERANCE = 0.1;
/** Spread of a heat capacity or heat loss that somebody only guessed; common practice. */
const ESTIMATE_SPREAD = 0.3;
/**
 * Spread of a heat capacity from masses: tables of specific heats differ by up to 5 % (see the sources of the materials), and cable,
 * foil and insulation are not weighed. Common practice.
 */
const MASS_SPREAD = 0.1;
/** °C around a machine whose sheet says nothing; common practice. */
const ROOM: NumberFact = { value: point(25), quality: 'assumed', label: 'usual room temperature' };

export function heatBody(machine: Machine, zone: Zone): HeatBody {
  const { heater } = zone;
  const ambient = machine.sheet?.ambient ?? ROOM;
  const supply = supplyOf(machine, zone);
  const full = heater && heaterPower(heater, supply);
  const limit = machine.settings.number(`${zone.id}.heater.maxDuty`);
  const share = limit?.value.nom ?? 1;
  return {
    zone,
    supply,
    full,
    asked: full && {
      low: scale(full.low, share),
      nominal: scale(full.nominal, share),
      high: scale(full.high, share),
    },
    heatCapacity: widened(heater?.heatCapacity) ?? fromMasses(heater),
    heatLoss: widened(heater?.heatLoss) ?? (full && fromHold(heater, full, ambient)),
    fanHeatLoss: widened(heater?.fanHeatLoss),
    ambient,
    highestTarget: numberOf(machine, `${zone.id}.maxTemperature`) ?? zone.workingTemperature,
    safeMax: heater?.safeMax,
    powerFacts: [heater?.resistance ?? heater?.ratedPower, heater?.ratedVoltage, supply, limit].filter(
      (fact) => fact !== undefined,
    ),
  };
}

/** A heater is fitted when the sheet has one or the settings give it a pin. */
export const isHeated = (zone: Zone): boolean =>
  zone.heater !== undefined || zone.pin('heater.pin') !== undefined;

function supplyOf(machine: Machine, { heater, wiredOutput, output }: Zone): NumberFact | undefined {
  const switched = wiredOutput ?? output;
  const stated = heater
    ? heaterVoltage(heater, switched, machine)
    : (switched?.voltage ?? machine.supplyVoltage);
  return stated && isPoint(stated.value)
    ? derive(stated, within(stated.value.nom, SUPPLY_TOLERANCE))
    : stated;
}

function heaterPower(heater: Heater, supply: NumberFact | undefined): HeaterPower | undefined {
  if (!supply || !(supply.value.nom > 0)) return undefined;
  // A rating without its voltage is taken to be meant for the supply at hand.
  const rated = heater.ratedVoltage?.value.nom ?? supply.value.nom;
  const ohms =
    heater.resistance?.value ??
    (heater.ratedPower && over([heater.ratedPower.value], (watts) => resistanceOfRating(rated, watts)));
  if (!ohms) return undefined;
  const at = (volts: number): Interval => over([ohms], (one) => powerOf(volts, one));
  return { low: at(supply.value.lo), nominal: at(supply.value.nom), high: at(supply.value.hi) };
}

const widened = (fact: NumberFact | undefined): NumberFact | undefined =>
  fact?.quality === 'estimated' && isPoint(fact.value)
    ? { ...fact, value: within(fact.value.nom, ESTIMATE_SPREAD) }
    : fact;

function fromMasses(heater: Heater | undefined): NumberFact | undefined {
  const parts = heater?.parts ?? [];
  const known = parts.flatMap(({ mass, ...part }) => {
    const heat = specificHeatOf(part);
    return mass && heat ? [{ mass, heat }] : [];
  });
  const [first] = known;
  // A part without its mass or its heat would make the sum too small, and the body seem quicker than it is.
  if (!first || known.length < parts.length) return undefined;
  const sum = (end: keyof Interval): number =>
    heatCapacityOf(known.map(({ mass, heat }) => ({ mass: mass.value[end], specificHeat: heat.value[end] })));
  const value = { lo: sum('lo') * (1 - MASS_SPREAD), nom: sum('nom'), hi: sum('hi') * (1 + MASS_SPREAD) };
  return { ...derive(first.mass, value, 'heat capacity from masses'), quality: 'estimated' };
}

const specificHeatOf = ({
  material,
  specificHeat,
}: Pick<HeatedPart, 'material' | 'specificHeat'>): NumberFact | undefined =>
  specificHeat ?? (material && materials().get(material.value)?.specificHeat);

/** The supply stood at its nominal value, as far as anyone knows, while the hold was measured. */
function fromHold(
  heater: Heater | undefined,
  power: HeaterPower,
  ambient: NumberFact,
): NumberFact | undefined {
  const { temperature, duty, room = ambient } = heater?.hold ?? {};
  if (!temperature || !duty || !(temperature.value.lo > room.value.hi)) return undefined;
  const value = over([duty.value, power.nominal, temperature.value, room.value], conductanceFromHold);
  const estimated = [temperature, duty, room].some(({ quality }) => quality === 'estimated');
  return {
    ...derive(duty, value, 'heat loss from a hold'),
    quality: estimated ? 'estimated' : 'measured',
  };
}
