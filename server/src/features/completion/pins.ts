import { connectorOfPin, driverOfPin, findPin, outputOfPin } from '../../board/find';
import type {
  BoardPin,
  BoardProfile,
  Capability,
  Connector,
  DriverSocket,
  Output,
} from '../../board/profile';
import type { PinUse } from '../../machine/machine';
import { keptWith } from '../../model/kept';
import type { Analysis } from '../../project/analysis';
import { portUsers } from '../../rules/serialPorts';
import { deviceWords, madeForPins, wiredSockets } from '../../rules/wiring';
import type { Reading } from '../../settings/reading';

export interface OfferedPin {
  readonly pin: string;
  /** Where it leads, what it carries now, and what it lacks. */
  readonly words: string;
}

interface Led {
  readonly pin: BoardPin;
  readonly connector?: Connector;
  readonly output?: Output;
  readonly driver?: DriverSocket;
  readonly uses: readonly PinUse[];
  /** The serial port that has it as a line, and what the settings put on that port. */
  readonly serial?: { readonly port: number; readonly users: readonly string[] };
}

const ledOut = keptWith<Analysis, readonly Led[]>('pins');

/** The board's pins with what they lead to and what they carry. Made once for each analysis. */
function pinsOf(analysis: Analysis, board: BoardProfile): readonly Led[] {
  let known = ledOut.get(analysis);
  if (!known) {
    const uses = new Map<string, PinUse[]>();
    for (const use of analysis.machine.pinUses) {
      const name = findPin(board, use.pin)?.name;
      if (name !== undefined) uses.set(name, [...(uses.get(name) ?? []), use]);
    }
    const serial = serialOf(analysis, board);
    known = [...board.pins.values()].map((pin) => ({
      pin,
      connector: connectorOfPin(board, pin.name),
      output: outputOfPin(board, pin.name),
      driver: driverOfPin(board, pin.name),
      uses: uses.get(pin.name) ?? [],
      serial: serial.get(pin.name),
    }));
    ledOut.set(analysis, known);
  }
  return known;
}

function serialOf({ machine }: Analysis, board: BoardProfile): ReadonlyMap<string, Led['serial']> {
  const lines = new Map<string, Led['serial']>();
  const all = portUsers(machine);
  for (const { port, receivePin, transmitPin } of board.uarts) {
    const users = all.filter((user) => user.port === port.value).map(({ title }) => title);
    for (const fact of [receivePin, transmitPin]) {
      const name = fact && findPin(board, fact.value)?.name;
      if (name !== undefined) lines.set(name, { port: port.value, users });
    }
  }
  return lines;
}

/** Pins of the board that can do what a setting asks of its pin; none without a board profile. */
export function offeredPins(analysis: Analysis, reading: Reading): readonly OfferedPin[] {
  const { machine } = analysis;
  const { board } = machine;
  const { concept } = reading;
  if (!board || !concept.pin) return [];
  const needs = concept.pin.needs.filter((need) => need !== 'digital');
  const hard = needs.filter((need) => need === 'analog' || concept.pin?.hardwareOnly);
  const use: PinUse = { reading, pin: '', part: '', title: '' };
  const nameOf = (pin: string): string => findPin(board, pin)?.name ?? pin;
  const wired = new Map(
    wiredSockets(machine, use).map(({ pin, socket }) => [nameOf(pin.value), socket.value]),
  );
  const meant = new Set(madeForPins(machine, use).map(({ pin }) => nameOf(pin)));
  const ranked = pinsOf(analysis, board).flatMap((led) => {
    const { pin, uses, serial } = led;
    const able = (need: Capability) => pin.capabilities?.includes(need) ?? true;
    if (pin.reservedFor || !hard.every(able)) return [];
    const others = uses.filter((other) => other.reading.concept.id !== concept.id);
    const carried = [...others.map(deviceWords), ...(serial?.users ?? [])];
    const lacking = needs.filter((need) => !able(need));
    const socket = wired.get(pin.name);
    const words = [
      socket === undefined ? placeWords(led) : `the machine sheet has it here (${socket})`,
      serial && `line of serial port ${serial.port}`,
      carried.length > 0 ? `carries ${listed(carried)}` : uses.length > 0 ? 'as it is now' : 'free',
      ...lacking.map((need) => LACKS[need]),
      pin.capabilities === undefined && needs.length > 0 ? 'what it can do is not known' : undefined,
    ];
    const ranks = [
      socket !== undefined,
      carried.length === 0 && lacking.length === 0 && meant.has(pin.name),
      carried.length === 0 && lacking.length === 0 && fitsRole(led, concept.id),
      carried.length === 0 && lacking.length === 0 && !serial,
      carried.length === 0,
    ];
    const rank = ranks.includes(true) ? ranks.indexOf(true) : ranks.length;
    return [{ rank, pin: pin.name, words: words.filter(Boolean).join(', ') }];
  });
  return ranked.sort((one, other) => one.rank - other.rank).map(({ pin, words }) => ({ pin, words }));
}

const LACKS: Record<Capability, string> = {
  digital: 'cannot switch',
  analog: 'cannot measure a voltage',
  pwm: 'has no timer to make pulses',
  interrupt: 'cannot raise an interrupt',
  uart: 'is no pin of a serial port',
};

function placeWords({ connector, output, driver, pin }: Led): string | undefined {
  if (driver) return `driver socket ${driver.name}`;
  const named = output?.connector?.value ?? output?.name;
  if (named !== undefined) return `output ${named}`;
  if (!connector) return undefined;
  const contact = [...connector.contacts].find(
    ([, fact]) => fact.value.toUpperCase() === pin.name.toUpperCase(),
  )?.[0];
  const title = connector.title ? `${connector.name} (${connector.title.value})` : connector.name;
  return contact === undefined ? title : `${title}, contact ${contact}`;
}

/** Whether the socket is one for this kind of part. */
function fitsRole({ connector, output, driver, pin }: Led, id: string): boolean {
  const signal = /\.(?:second)?(step|direction|enable)Pin$/i.exec(id)?.[1]?.toLowerCase();
  if (signal === 'step') return driver?.stepPin?.value.toUpperCase() === pin.name.toUpperCase();
  if (signal === 'direction') return driver?.directionPin?.value.toUpperCase() === pin.name.toUpperCase();
  if (signal === 'enable') return driver?.enablePin?.value.toUpperCase() === pin.name.toUpperCase();
  if (id.endsWith('.sensor.pin')) return connector?.kind?.value === 'sensor';
  if (/^(?:endstop|probe|door)\b/.test(id)) return connector?.kind?.value === 'input';
  return /^(?:fan|tool|bed|spindle|laser|lamp|coolant)\b.*\.pin$/.test(id) && output !== undefined;
}

const listed = (words: readonly string[]): string => [...new Set(words)].join(' and ');
