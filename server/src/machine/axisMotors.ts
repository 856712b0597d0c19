import { sameName } from '../board/find';
import type { DriverSocket } from '../board/profile';
import type { Fact } from '../model/fact';
import type { Axis } from './machine';
import type { SheetAxis } from './sheet';

/** How the motors of one axis get their current. */
export type Joined = 'single' | 'ownDrivers' | 'parallel' | 'series';

export interface AxisMotors {
  readonly count: number;
  /** Absent when there are several and nothing says how they are joined. */
  readonly joined?: Joined;
  readonly fact?: Fact<unknown>;
}

type Mounted = SheetAxis['motors'][number];

/** The motors of an axis by the machine sheet; nothing when it names none. */
export function axisMotors(axis: Axis): AxisMotors | undefined {
  const mounted = axis.sheet?.motors ?? [];
  const count = mounted.length;
  if (count === 0) return undefined;
  if (count === 1) return { count, joined: 'single' };
  const stated = axis.sheet?.joined;
  if (stated) return { count, joined: stated.value, fact: stated };
  const sockets = mounted.map((one) => socketOfMotor(axis, one));
  const places = new Set(mounted.map(({ connector }) => connector?.value.trim().toUpperCase()));
  const different = new Set(sockets).size;
  if (!sockets.includes(undefined)) {
    if (different === count) return { count, joined: 'ownDrivers' };
    // Both connectors of one socket: the board joins them in parallel.
    if (different === 1 && sockets[0]?.secondConnector && places.size === count)
      return { count, joined: 'parallel', fact: sockets[0].secondConnector };
    return { count };
  }
  const [first, second] = [axis.pin('stepPin'), axis.pin('secondStepPin')];
  const own = count === 2 && first && second && first.value !== second.value;
  return own ? { count, joined: 'ownDrivers', fact: second } : { count };
}

/** The driver socket that one motor of the axis is plugged in, by the sheet; the axis's only one for its only motor. */
export function socketOfMotor(axis: Axis, { driver, connector }: Mounted): DriverSocket | undefined {
  const name = driver?.value ?? connector?.value;
  if (name !== undefined) {
    return axis.drivers.find((socket) =>
      [socket.connector?.value, socket.secondConnector?.value, socket.name].some(
        (own) => own !== undefined && sameName(own, name),
      ),
    );
  }
  const alone = axis.sheet?.motors.length === 1 && axis.drivers.length === 1;
  return alone ? axis.drivers[0] : undefined;
}
