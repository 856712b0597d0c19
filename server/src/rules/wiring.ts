import { connectorByName, driverByConnector, isPin, outputByName, sameName, samePin } from '../board/find';
import type { BoardProfile } from '../board/profile';
import { fanTitle } from '../machine/fans';
import { inputTitle } from '../machine/inputs';
import type { Axis, Machine, PinUse } from '../machine/machine';
import { zoneTitle } from '../machine/zones';
import type { Fact } from '../model/fact';
import { capitalised } from './kit';

/** True when two names mean one pin, by the board profile where there is one. */
export const isSamePin = (machine: Machine, left: string, right: string): boolean =>
  machine.board ? isPin(machine.board, left, right) : samePin(left, right);

/** Whether a setting other than this one has the pin. */
export const isTaken = (machine: Machine, use: PinUse, pin: string): boolean =>
  machine.pinUses.some((other) => other.reading !== use.reading && isSamePin(machine, other.pin, pin));

/** Where the machine sheet has a device, with the pin that the board gives that socket. */
export interface Wired {
  /** The socket's name as the sheet writes it. */
  readonly socket: Fact<string>;
  readonly pin: Fact<string>;
}

/** A pin use as far as these questions look at it: a setting may ask before it has a pin. */
export interface AskedPin {
  readonly reading: { readonly concept: { readonly id: string } };
  readonly pin: string;
}

/** The sockets in which the device of a pin use is, by the sheet: one, or one for each motor of an axis; empty when unknown. */
export function wiredSockets(machine: Machine, use: AskedPin): Wired[] {
  const { board } = machine;
  const id = use.reading.concept.id;
  if (!board) return [];
  const axis = machine.axes.find((one) => id.startsWith(`${one.id}.`));
  if (axis) return motorSockets(board, axis, use);
  const input = machine.inputs.find((one) => id === `${one.id}.pin`);
  if (input) return wired(input.sensor?.connector, input.wiredTo?.pin);
  const zone = machine.zones.find((one) => id.startsWith(`${one.id}.`));
  if (zone && id.endsWith('.heater.pin')) return wired(zone.heater?.output, zone.wiredOutput?.pin);
  if (zone && id.endsWith('.sensor.pin')) return wired(zone.sensor?.connector, zone.sensorWiredTo?.pin);
  const fan = machine.fans.find((one) => id === `${one.id}.pin`);
  if (fan)
    return fan.fan?.alwaysOn?.value
      ? []
      : wired(
          fan.fan?.controlOutput ?? fan.fan?.output,
          fanPin(board, fan.fan?.controlOutput, fan.wiredOutput?.pin),
        );
  return loadSockets(machine, board, id);
}

const wired = (socket: Fact<string> | undefined, pin: Fact<string> | undefined): Wired[] =>
  socket && pin ? [{ socket, pin }] : [];

const fanPin = (
  board: BoardProfile,
  control: Fact<string> | undefined,
  pin: Fact<string> | undefined,
): Fact<string> | undefined => (control ? outputByName(board, control.value)?.pin : pin);

function motorSockets(board: BoardProfile, axis: Axis, use: AskedPin): Wired[] {
  const signal = signalOf(use.reading.concept.id);
  if (!signal) return [];
  const motors = (axis.sheet?.motors ?? []).map(({ driver, connector }) => {
    const socket = driver ?? connector;
    const found = socket && driverByConnector(board, socket.value);
    return wired(socket, found?.[signal]);
  });
  const sockets = motors.flat();
  // A motor whose socket is not known may be in the one that this pin belongs to.
  const complete = motors.every((one) => one.length > 0);
  return complete || sockets.some(({ pin }) => isPin(board, pin.value, use.pin)) ? sockets : [];
}

type Signal = 'stepPin' | 'directionPin' | 'enablePin';

/** 'stepPin' of 'axis.x.stepPin' and of 'axis.x.secondStepPin'. */
function signalOf(id: string): Signal | undefined {
  const name = id.split('.')[2] ?? '';
  const signal = name.startsWith('second') ? name.charAt(6).toLowerCase() + name.slice(7) : name;
  return signal === 'stepPin' || signal === 'directionPin' || signal === 'enablePin' ? signal : undefined;
}

function loadSockets(machine: Machine, board: BoardProfile, id: string): Wired[] {
  const kind = /^(spindle|laser|lamp)\.pin$/.exec(id)?.[1];
  const loads = [...(machine.sheet?.loads.values() ?? [])].filter((load) => load.kind?.value === kind);
  const [load, ...others] = loads;
  if (!kind || !load?.output || others.length > 0) return [];
  return wired(load.output, outputByName(board, load.output.value)?.pin);
}

/** Pins that the board's maker meant for this use, with the sockets they are in. */
export function madeForPins(
  { board }: Machine,
  use: AskedPin,
): { readonly pin: string; readonly socket: string }[] {
  const id = use.reading.concept.id;
  const meant = (part: { readonly madeFor?: Fact<readonly string[]> }) =>
    part.madeFor?.value.some((prefix) => id === prefix || id.startsWith(`${prefix}.`)) ?? false;
  if (!board) return [];
  const signal = signalOf(id);
  const found = [
    ...[...board.outputs.values(), ...board.connectors.values()].filter(meant),
    ...[...board.drivers.values()]
      .filter(meant)
      .map((socket) => ({ name: socket.name, pin: signal && socket[signal] })),
  ].flatMap(({ pin, name }) => (pin ? [{ pin: pin.value, socket: name }] : []));
  const pins = [...board.pins.values()].filter(meant).map(({ name }) => ({ pin: name, socket: name }));
  return [...found, ...pins].filter(
    (one, index, all) => all.findIndex((other) => isPin(board, other.pin, one.pin)) === index,
  );
}

/** The socket that the board leads a pin to: an output, a driver socket or a connector. */
export function socketOf(use: PinUse): string | undefined {
  return use.output?.connector?.value ?? use.output?.name ?? use.driver?.name ?? use.connector?.name;
}

/** What the sheet has in a socket, in plain words, with the fact that says so. */
export function deviceIn(
  machine: Machine,
  socket: string,
): { title: string; part: string; fact: Fact<string> } | undefined {
  const { board } = machine;
  if (!board) return undefined;
  const here = (fact: Fact<string> | undefined): fact is Fact<string> =>
    fact !== undefined && sameSocket(board, fact.value, socket);
  for (const zone of machine.zones) {
    if (here(zone.heater?.output))
      return { title: `the heater of ${zoneTitle(zone.zone)}`, part: zone.id, fact: zone.heater.output };
    if (here(zone.sensor?.connector))
      return {
        title: `the temperature sensor of ${zoneTitle(zone.zone)}`,
        part: zone.id,
        fact: zone.sensor.connector,
      };
  }
  for (const { id, fan } of machine.fans)
    if (here(fan?.output)) return { title: fanTitle(id), part: id, fact: fan.output };
  for (const { id, sensor } of machine.inputs)
    if (here(sensor?.connector)) return { title: inputTitle(id), part: id, fact: sensor.connector };
  for (const axis of machine.axes) {
    for (const { driver, connector } of axis.sheet?.motors ?? []) {
      const fact = driver ?? connector;
      if (here(fact)) return { title: `the ${axis.title} motor`, part: axis.id, fact };
    }
  }
  for (const load of machine.sheet?.loads.values() ?? []) {
    if (here(load.output))
      return {
        title: `the ${load.kind?.value ?? 'load'} "${load.name}"`,
        part: load.kind?.value ?? load.name,
        fact: load.output,
      };
  }
  return undefined;
}

function sameSocket(board: BoardProfile, left: string, right: string): boolean {
  if (sameName(left, right)) return true;
  const [a, b] = [left, right].map(
    (name) => outputByName(board, name) ?? driverByConnector(board, name) ?? connectorByName(board, name),
  );
  return a !== undefined && a === b;
}

/** True when a wrong pin of this part can heat, move or cut: a heated zone, its cold-side fan, a motor, a spindle or a laser. */
export const isDangerous = (part: string): boolean =>
  /^(?:axis\.|tool\.|bed\b|fan\.tool\.|spindle\b|laser\b)/.test(part);

export const isHeater = (use: PinUse): boolean => use.reading.concept.id.endsWith('.heater.pin');

/** What the pin does: "switches the part fan", "enables the Z motor". */
export function actionOf(use: PinUse): string {
  const id = use.reading.concept.id;
  const axis = /^axis\.([^.]+)\.(second)?/.exec(id);
  const motor = axis ? `the ${axis[2] ? 'second ' : ''}${axis[1]?.toUpperCase()} motor` : '';
  const signal = signalOf(id);
  if (signal === 'stepPin') return `steps ${motor}`;
  if (signal === 'directionPin') return `turns ${motor} round`;
  if (signal === 'enablePin') return `enables ${motor}`;
  if (use.reading.concept.pin?.direction === 'in') return `reads ${withArticle(use.title)}`;
  return /^(?:fan|tool|bed|spindle|laser|lamp|coolant)\./.test(id)
    ? `switches ${withArticle(use.title)}`
    : `drives ${withArticle(use.title)}`;
}

const withArticle = (title: string): string =>
  /^(?:the|[A-Z]+\d*) /.test(title) ? title : `the ${title.replace(/ pin$/, '')}`;

/** "The part fan": the device of a pin use at the beginning of a sentence. */
export const deviceTitle = (use: PinUse): string => capitalised(deviceWords(use));

/** "the part fan", "the X motor" */
export function deviceWords(use: PinUse): string {
  const axis = /^axis\.([^.]+)\./.exec(use.reading.concept.id);
  const ownTitle = /\.(?:stallPin|driverUartPin|chipSelectPin)$/.test(use.reading.concept.id);
  return axis && !ownTitle ? `the ${axis[1]?.toUpperCase()} motor` : withArticle(use.title);
}
