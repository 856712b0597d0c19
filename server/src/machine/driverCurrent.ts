import type { DriverFamily, DriverSocket } from '../board/profile';
import { derive, type Fact, type NumberFact } from '../model/fact';
import { type Interval, interval, over, point } from '../model/interval';
import { peakFromReference, rmsOf } from '../physics/stepper';
import type { Axis, Machine } from './machine';

/** A current that a driver's own formula gives, A peak. */
export interface DriverCurrent {
  readonly peak: Interval;
  /** `reference`: what the trimmer or converter sets. `fullScale`: the most that the driver can do in one of its ranges. */
  readonly kind: 'reference' | 'fullScale';
  readonly facts: readonly Fact<unknown>[];
}

/** What the data sheet's formula of an axis's drivers gives; nothing when its drivers are of different kinds. */
export function driverCurrents(machine: Pick<Machine, 'sheet'>, axis: Axis): DriverCurrent[] {
  const driver = onlyDriver(axis);
  const formula = driver?.family?.current;
  if (!driver || !formula) return [];
  const sense = driver.senseResistor ?? axis.number('senseResistor');
  if (!sense) return [];
  const extra = formula.extraResistance?.value ?? point(0);
  if (formula.kind === 'bus') {
    return formula.fullScale.map((volts) => ({
      peak: over([volts.value, sense.value, extra], (v, ohms, more) => v / (ohms + more)),
      kind: 'fullScale',
      facts: [sense, volts],
    }));
  }
  const reference = referenceVoltage(machine, axis);
  const { gain } = formula;
  if (!reference || !gain) return [];
  return [
    {
      peak: over([reference.value, gain.value, sense.value, extra], (v, g, ohms, more) =>
        peakFromReference(v, g, ohms + more),
      ),
      kind: 'reference',
      facts: [reference, sense, gain],
    },
  ];
}

/** The driver of an axis, one for all when they are alike. */
export function onlyDriver(axis: Axis): DriverSocket | undefined {
  const [driver, ...others] = axis.drivers;
  return driver && others.every((other) => alike(driver, other)) ? driver : undefined;
}

const alike = (one: DriverSocket, other: DriverSocket): boolean =>
  one.family?.id === other.family?.id && one.senseResistor?.value.nom === other.senseResistor?.value.nom;

/** V at the driver's reference input: by the settings, else measured at its trimmer. */
export function referenceVoltage(machine: Pick<Machine, 'sheet'>, axis: Axis): NumberFact | undefined {
  const driver = onlyDriver(axis);
  return axis.number('referenceVoltage') ?? (driver && trimmerOf(machine, driver));
}

const trimmerOf = ({ sheet }: Pick<Machine, 'sheet'>, { name }: DriverSocket): NumberFact | undefined =>
  [...(sheet?.drivers.values() ?? [])].find(
    (fitted) => fitted.name.trim().toUpperCase() === name.trim().toUpperCase(),
  )?.referenceVoltage;

/** Current of one driver output, A rms a phase. */
export interface AxisCurrent {
  readonly rms: NumberFact;
  readonly kind: 'setting' | 'reference';
  readonly facts: readonly Fact<unknown>[];
}

/** What an axis's drivers are set to: by the settings (rms, as the concept says), else by their reference voltage. */
export function axisCurrent(machine: Pick<Machine, 'sheet'>, axis: Axis): AxisCurrent | undefined {
  const set = axis.number('motorCurrent');
  if (set) return { rms: set, kind: 'setting', facts: [set] };
  const given = driverCurrents(machine, axis).find(({ kind }) => kind === 'reference');
  const [reference] = given?.facts ?? [];
  if (!given || !reference) return undefined;
  const rms = over([given.peak], rmsOf);
  return { rms: derive(reference, rms, 'motor current'), kind: 'reference', facts: given.facts };
}

/** On-resistance at work: 1.4 times the figure for 25 °C (driver data sheets, common practice). */
export const HOT = 1.4;
/** Ω of both switches of a phase where the driver's data are unknown; common practice, no source. */
const UNKNOWN_BRIDGE = interval(0, 1, 0.5);

/** Both switches of a phase, hot, Ω. */
export function bridgeResistance(family: DriverFamily | undefined): NumberFact {
  const cold = family?.rDsOn;
  if (cold)
    return derive(
      cold,
      over([cold.value], (ohms) => ohms * HOT),
      'bridge resistance, hot',
    );
  return { value: UNKNOWN_BRIDGE, quality: 'assumed', label: 'bridge resistance, taken as 0 to 1 Ω' };
}
