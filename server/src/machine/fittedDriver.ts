import { driverFamily, shippedDriver } from '../board/drivers';
import type { BoardProfile, DriverSocket } from '../board/profile';
import type { FittedDriver, MachineSheet } from './sheet';

/**
 * The board's driver sockets with what the builder plugged into them; the machine sheet wins. Sockets that the board does not
 * have are left out: `checkReferences` reports them.
 */
export function fittedDrivers(
  profile: BoardProfile,
  sheet: MachineSheet | undefined,
): Map<string, DriverSocket> {
  return new Map(
    [...profile.drivers].map(([name, socket]) => [name, fitted(socket, fittedIn(name, sheet), sheet)]),
  );
}

function fittedIn(name: string, sheet: MachineSheet | undefined): FittedDriver | undefined {
  const key = name.trim().toUpperCase();
  return [...(sheet?.drivers.values() ?? [])].find((driver) => driver.name.trim().toUpperCase() === key);
}

function fitted(
  socket: DriverSocket,
  driver: FittedDriver | undefined,
  sheet: MachineSheet | undefined,
): DriverSocket {
  const cooled = driver?.cooled ?? sheet?.driversCooled ?? socket.cooled;
  if (!driver) return { ...socket, cooled };
  const { name: _, place: __, family, familyFacts, referenceVoltage: ___, ...facts } = driver;
  const stated = Object.fromEntries(Object.entries(facts).filter(([, value]) => value !== undefined));
  const other = family && shippedDriver(family.value)?.id !== socket.family?.id;
  const chosen = family || familyFacts ? driverFamily(family, familyFacts) : undefined;
  return {
    ...socket,
    ...stated,
    cooled,
    family: other || !socket.family ? (chosen ?? socket.family) : { ...socket.family, ...chosen },
  };
}
