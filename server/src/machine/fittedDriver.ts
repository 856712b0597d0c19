import { driverFamily } from '../board/drivers';
import type { BoardProfile, DriverFamily, DriverSocket } from '../board/profile';
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
  return { ...socket, ...stated(facts), cooled, family: fittedFamily(socket.family, family, familyFacts) };
}

/** Another family replaces the socket's; facts without a family, or with the same one, refine it. */
function fittedFamily(
  socket: DriverFamily | undefined,
  name: FittedDriver['family'],
  facts: FittedDriver['familyFacts'],
): DriverFamily | undefined {
  const same = !name || name.value.toLowerCase() === socket?.id.toLowerCase();
  if (!same || !socket) return driverFamily(name, facts) ?? (same ? socket : undefined);
  const { place: _, ...own } = stated(facts ?? {}) as Partial<DriverFamily> & { place?: unknown };
  return { ...socket, ...own };
}

const stated = <T extends object>(value: T): Partial<T> =>
  Object.fromEntries(Object.entries(value).filter(([, member]) => member !== undefined)) as Partial<T>;
