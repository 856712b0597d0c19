import type { DriverSocket } from '../board/profile';
import type { Fact } from '../model/fact';
import { peakFromReference } from '../physics/stepper';
import type { Axis, Machine } from './machine';

/** A current that a driver's own formula gives, A peak. */
export interface DriverCurrent {
  readonly peak: number;
  /** `reference`: what the trimmer or converter sets. `fullScale`: the most that the driver can do in one of its ranges. */
  readonly kind: 'reference' | 'fullScale';
  readonly facts: readonly Fact<unknown>[];
}

/** What the data sheet's formula of an axis's drivers gives, by nominal values; nothing when its drivers are of different kinds. */
export function driverCurrents(machine: Pick<Machine, 'sheet'>, axis: Axis): DriverCurrent[] {
  const [driver, ...others] = axis.drivers;
  const formula = driver?.family?.current;
  if (!driver || !formula || others.some((other) => !alike(driver, other))) return [];
  const sense = driver.senseResistor ?? axis.number('senseResistor');
  if (!sense) return [];
  const ohms = sense.value.nom + (formula.extraResistance?.value.nom ?? 0);
  if (formula.kind === 'bus') {
    return formula.fullScale.map((volts) => ({
      peak: volts.value.nom / ohms,
      kind: 'fullScale',
      facts: [sense, volts],
    }));
  }
  const reference = axis.number('referenceVoltage') ?? trimmerOf(machine, driver);
  const { gain } = formula;
  if (!reference || !gain) return [];
  return [
    {
      peak: peakFromReference(reference.value.nom, gain.value.nom, ohms),
      kind: 'reference',
      facts: [reference, sense, gain],
    },
  ];
}

const alike = (one: DriverSocket, other: DriverSocket): boolean =>
  one.family?.id === other.family?.id && one.senseResistor?.value.nom === other.senseResistor?.value.nom;

const trimmerOf = ({ sheet }: Pick<Machine, 'sheet'>, { name }: DriverSocket) =>
  [...(sheet?.drivers.values() ?? [])].find(
    (fitted) => fitted.name.trim().toUpperCase() === name.trim().toUpperCase(),
  )?.referenceVoltage;
