import { driverByConnector, driverOfPin } from '../board/find';
import type { BoardProfile, DriverSocket } from '../board/profile';
import { derive, type Fact, type NumberFact } from '../model/fact';
import { over } from '../model/interval';
import { withLazy } from '../model/lazy';
import type { Settings } from '../settings/reading';
import type { Watch } from '../settings/watch';
import { fittedDrivers } from './fittedDriver';
import type { Axis } from './machine';
import { namesAfter, part } from './part';
import type { MachineSheet, Motor, SheetAxis, Transmission } from './sheet';

export function assembleAxes(
  settings: Settings,
  watch: Watch,
  board?: BoardProfile,
  sheet?: MachineSheet,
): Axis[] {
  const names = new Set([...namesAfter(settings, 'axis.'), ...(sheet?.axes.keys() ?? [])]);
  const fitted = board && fittedBoard(board, sheet);
  return [...names].map((axis) => assembleAxis(axis, settings, watch, fitted, sheet));
}

let lastFitted: { board: BoardProfile; sheet?: MachineSheet; fitted: BoardProfile } | undefined;

/** Neither changes with the settings. */
function fittedBoard(board: BoardProfile, sheet?: MachineSheet): BoardProfile {
  if (lastFitted?.board !== board || lastFitted.sheet !== sheet)
    lastFitted = { board, sheet, fitted: { ...board, drivers: fittedDrivers(board, sheet) } };
  return lastFitted.fitted;
}

/** @param board with what is plugged into its driver sockets */
function assembleAxis(
  axis: string,
  settings: Settings,
  watch: Watch,
  board?: BoardProfile,
  sheet?: MachineSheet,
): Axis {
  const base = part(settings, `axis.${axis}`, axis.toUpperCase());
  const axisSheet = sheet?.axes.get(axis);
  // Alone in an axis they hang on settings: who asks for its sheet or its drive does not look at any.
  const drivers = watch.lazy(() =>
    board ? driversOf([base.pin('stepPin'), base.pin('secondStepPin')], axisSheet, board) : [],
  );
  return lazyAxis(
    {
      ...base,
      axis,
      sheet: axisSheet,
      ...(axisSheet && sheet ? mechanicsOf(axis, axisSheet, sheet) : withFeed(isFeed(axis))),
    },
    { drivers },
  );
}

const lazyAxis = withLazy<Axis>()('drivers');

type Mechanics = Pick<Axis, 'feed' | 'motor' | 'travelPerTurn' | 'drive'>;

const mechanics = new WeakMap<SheetAxis, Mechanics>();

/** What the sheet says of an axis, whatever the settings are. An axis belongs to one sheet. */
function mechanicsOf(axis: string, onSheet: SheetAxis, sheet: MachineSheet): Mechanics {
  let made = mechanics.get(onSheet);
  if (!made) {
    const { feed, transmission } = onSheet;
    made = {
      ...withFeed(feed?.value ?? isFeed(axis), transmission?.kind?.value),
      motor: onlyMotor(onSheet, sheet),
      travelPerTurn: transmission && travelPerTurn(transmission),
    };
    mechanics.set(onSheet, made);
  }
  return made;
}

const isFeed = (axis: string): boolean => /^e\d*$/.test(axis);

const withFeed = (feed: boolean, kind?: string): Pick<Axis, 'feed' | 'drive'> => ({
  feed,
  drive: feed ? 'feed' : kind === 'screw' ? 'screw' : kind === 'belt' || kind === 'rack' ? 'belt' : undefined,
});

/** Two motors of different types on one axis have no common data: rules then stay silent. */
function onlyMotor(axis: SheetAxis, sheet: MachineSheet): Motor | undefined {
  const names = new Set(axis.motors.map((mounted) => mounted.motor?.value));
  if (names.size !== 1) return undefined;
  const [name] = names;
  return name === undefined ? undefined : sheet.motors.get(name);
}

function driversOf(
  stepPins: readonly (Fact<string> | undefined)[],
  axis: SheetAxis | undefined,
  board: BoardProfile,
): DriverSocket[] {
  const byPins = stepPins.flatMap((pin) => {
    const found = pin && driverOfPin(board, pin.value);
    return found ? [found] : [];
  });
  const byPlug = (axis?.motors ?? []).flatMap(({ driver, connector }) => {
    const socket = driver ?? connector;
    const found = socket && driverByConnector(board, socket.value);
    return found ? [found] : [];
  });
  return [...new Set([...byPins, ...byPlug])];
}

function travelPerTurn(transmission: Transmission): NumberFact | undefined {
  const { pitch, teeth, lead, diameter, kind } = transmission;
  if (kind?.value === 'screw' || (!kind && lead)) return lead && derive(lead, lead.value, 'screw lead');
  if (kind?.value === 'roller') {
    return (
      diameter &&
      derive(
        diameter,
        over([diameter.value], (d) => Math.PI * d),
        'roller circumference',
      )
    );
  }
  if (pitch && teeth) {
    return derive(
      teeth,
      over([pitch.value], (p) => p * teeth.value),
      'belt pitch times teeth',
    );
  }
  return undefined;
}
