import type { Output } from '../board/profile';
import { derive, type NumberFact } from '../model/fact';
import { type Interval, over, point, scale } from '../model/interval';
import { currentOf, powerOf, resistanceOfRating } from '../physics/heater';
import { motorSupplyPower } from '../physics/supply';
import { axisMotors } from './axisMotors';
import { axisCurrent } from './driverCurrent';
import type { Axis, Machine } from './machine';
import type { Fan, Heater, Load, MachineSheet } from './sheet';
import { standards } from './standards';

/** What a load takes while it works all the time, or the request for what is missing to compute it. */
export interface LoadCurrent {
  /** V over the load. */
  readonly voltage?: NumberFact;
  /** A in its own wires, over all corners of the facts. */
  readonly current?: NumberFact;
  /** A in its own wires with every voltage at its nominal value, for rules that have supply margins of their own. */
  readonly nominalCurrent?: NumberFact;
  /** W that it takes, over all corners, and with every voltage at its nominal value. */
  readonly power?: NumberFact;
  readonly nominalPower?: NumberFact;
  /** What these figures rest on. */
  readonly facts: readonly NumberFact[];
  /** What to add, and where, so that they can be computed; absent when they are known. */
  readonly question?: string;
}

type Supplied = Pick<Machine, 'sheet' | 'supplyVoltage'>;

const ASK_SUPPLY = 'Add the supply\'s voltage ("supply.voltage") to the machine sheet.';

/** True when a heater is on mains, or on another voltage that kills: above 60 V direct or 25 V alternating current. */
export function isMains({ voltage, ratedVoltage, alternating }: Heater): boolean {
  const volts = (voltage ?? ratedVoltage)?.value.nom;
  if (volts === undefined) return alternating?.value === true;
  return needsProtection(volts, alternating?.value === true);
}

/** Above the extra-low voltage that needs no further protection against touch. @param volts V */
export function needsProtection(volts: number, alternating: boolean): boolean {
  const { extraLow } = standards();
  return volts > (alternating ? extraLow.alternating : extraLow.direct).value.nom;
}

/**
 * V that feeds a heater: its own, else what its output switches, else the main supply. One for mains or alternating current does not
 * hang on the main supply: without a stated feed it is taken to be on the voltage it is made for.
 */
export function heaterVoltage(
  heater: Heater,
  output: Output | undefined,
  machine: Supplied,
): NumberFact | undefined {
  if (heater.voltage) return heater.voltage;
  if (isMains(heater) || heater.alternating?.value) return heater.ratedVoltage;
  return output?.voltage ?? machine.supplyVoltage;
}

/** Ω of a heater: measured cold, else by its rating. */
export function heaterResistance({ resistance, ratedVoltage, ratedPower }: Heater): NumberFact | undefined {
  if (resistance || !ratedVoltage || !ratedPower) return resistance;
  return derive(
    ratedPower,
    over([ratedVoltage.value, ratedPower.value], resistanceOfRating),
    'heater resistance',
  );
}

/** I = V/R and P = V²/R at full power. */
export function heaterCurrent(heater: Heater, output: Output | undefined, machine: Supplied): LoadCurrent {
  const voltage = heaterVoltage(heater, output, machine);
  const ohms = heaterResistance(heater);
  if (!voltage) return { facts: [], question: ASK_SUPPLY };
  if (!ohms) {
    return {
      voltage,
      facts: [voltage],
      question: `Add the heater's rated voltage and power, or its resistance measured cold ("heaters.${heater.name}"), to the machine sheet.`,
    };
  }
  const rated = heater.resistance ? [heater.resistance] : [heater.ratedPower, heater.ratedVoltage];
  return {
    voltage,
    current: derive(ohms, over([voltage.value, ohms.value], currentOf), 'heater current'),
    nominalCurrent: derive(ohms, over([point(voltage.value.nom), ohms.value], currentOf), 'heater current'),
    power: derive(ohms, over([voltage.value, ohms.value], powerOf), 'heater power'),
    nominalPower: derive(ohms, over([point(voltage.value.nom), ohms.value], powerOf), 'heater power'),
    facts: [...rated.filter((fact) => fact !== undefined), voltage],
  };
}

/** V that feeds a fan: its jumper's, else what its output switches, else the main supply. */
export const fanVoltage = (fan: Fan, output: Output | undefined, machine: Supplied): NumberFact | undefined =>
  fan.supply ?? output?.voltage ?? machine.supplyVoltage;

/**
 * A fan's label gives the most that it takes at its rated voltage. On another voltage it takes another current, which no label
 * tells: the label's is used, and the voltage is another rule's matter. For about a second at start it takes about twice as much.
 */
export function fanCurrent(fan: Fan, output: Output | undefined, machine: Supplied): LoadCurrent {
  const voltage = fanVoltage(fan, output, machine);
  if (!fan.current) {
    return {
      voltage,
      facts: [],
      question: `Add the fan's current from its label ("fans.${fan.name}.current") to the machine sheet.`,
    };
  }
  return drawn(voltage, fan.current, 'fan power');
}

/** A lamp, a pump, a spindle: by its current, else by its power at its voltage. */
export function otherCurrent(load: Load, output: Output | undefined, machine: Supplied): LoadCurrent {
  const voltage = load.voltage ?? output?.voltage ?? machine.supplyVoltage;
  if (load.current) {
    const all = drawn(voltage, load.current, 'power');
    if (!load.power) return all;
    return { ...all, power: load.power, nominalPower: load.power, facts: [...all.facts, load.power] };
  }
  if (!load.power) {
    return {
      voltage,
      facts: [],
      question: `Add the power or the current of "${load.name}" ("loads.${load.name}") to the machine sheet.`,
    };
  }
  if (!voltage)
    return { power: load.power, nominalPower: load.power, facts: [load.power], question: ASK_SUPPLY };
  const amperes = over([load.power.value, voltage.value], (watts, volts) => watts / volts);
  const nominal = over([load.power.value, point(voltage.value.nom)], (watts, volts) => watts / volts);
  return {
    voltage,
    current: derive(load.power, amperes, 'current'),
    nominalCurrent: derive(load.power, nominal, 'current'),
    power: load.power,
    nominalPower: load.power,
    facts: [load.power, voltage],
  };
}

function drawn(voltage: NumberFact | undefined, current: NumberFact, what: string): LoadCurrent {
  const powerAt = (volts: Interval) =>
    derive(
      current,
      over([current.value, volts], (amperes, one) => amperes * one),
      what,
    );
  return {
    voltage,
    current,
    nominalCurrent: current,
    power: voltage && powerAt(voltage.value),
    nominalPower: voltage && powerAt(point(voltage.value.nom)),
    facts: voltage ? [current, voltage] : [current],
    question: voltage ? undefined : ASK_SUPPLY,
  };
}

/** A rms in each phase of an axis's drivers: the setting, else what the trimmer's voltage gives by the driver's formula. */
export function phaseCurrent(axis: Axis, sheet: MachineSheet | undefined): NumberFact | undefined {
  return axisCurrent({ sheet }, axis)?.rms;
}

/**
 * An axis's motors. `current` is the phase current in the wires of one motor; `power` what all of them take from the supply while
 * they stand or turn slowly: the heat of both phases over the drivers' efficiency. Motors in parallel share one driver's current.
 */
export function motorCurrent(
  axis: Axis,
  machine: Supplied,
): LoadCurrent & { readonly count: number; readonly phase?: NumberFact } {
  const mounted = axis.sheet?.motors.length ?? 0;
  const count = Math.max(1, mounted);
  const phase = phaseCurrent(axis, machine.sheet);
  if (!phase) {
    const setting = `axis.${axis.axis}.motorCurrent`;
    return {
      count,
      facts: [],
      question: `Add the current of ${axis.title}'s motor (${setting}) to the settings, or the voltage at its driver's trimmer ("drivers.….referenceVoltage") to the machine sheet.`,
    };
  }
  const share = axisMotors(axis)?.joined === 'parallel' ? 1 / count : 1;
  const own = derive(phase, scale(phase.value, share), 'phase current');
  const ohms = axis.motor?.resistance;
  const power =
    ohms &&
    derive(
      ohms,
      scale(
        over([own.value, ohms.value], (rms, resistance) => motorSupplyPower(rms, resistance)),
        count,
      ),
      'motor power',
    );
  return {
    count,
    phase,
    current: own,
    nominalCurrent: own,
    power,
    nominalPower: power,
    facts: ohms ? [phase, ohms] : [phase],
    question: ohms
      ? undefined
      : `Add the phase resistance of ${axis.title}'s motor ("motors.….resistance") to the machine sheet.`,
  };
}
