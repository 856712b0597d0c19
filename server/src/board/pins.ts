import type { Fact } from '../model/fact';
import type { BoardPin, Chip, ChipPin } from './profile';
import type { RawBoard } from './raw';

/** Every pin that is led out: those the profile lists and those that its parts name. Keys are in capitals. */
export function boardPins(raw: RawBoard, chip: Chip | undefined): Map<string, BoardPin> {
  const pins = new Map<string, BoardPin>();
  const chipPin = (name: string): ChipPin | undefined => byName(chip?.pins, name);
  for (const [name, pin] of raw.pins) {
    pins.set(name.toUpperCase(), merged({ ...pin }, chipPin(pin.chipPin?.value ?? name), chip));
  }
  const taken = new Set([...raw.pins.values()].map((pin) => pin.chipPin?.value.toUpperCase()));
  for (const fact of named(raw)) {
    const key = fact.value.toUpperCase();
    if (pins.has(key) || taken.has(key) || !fact.place) continue;
    pins.set(key, merged({ name: fact.value, place: fact.place }, chipPin(key), chip));
  }
  return pins;
}

/** Pins that connectors, outputs, driver sockets and ports name. */
function named(raw: RawBoard): Fact<string>[] {
  const facts: (Fact<string> | undefined)[] = [];
  for (const connector of raw.connectors.values()) facts.push(connector.pin, ...connector.contacts.values());
  for (const output of raw.outputs.values()) facts.push(output.pin);
  for (const socket of raw.drivers.values())
    facts.push(socket.stepPin, socket.directionPin, socket.enablePin);
  for (const uart of raw.uarts) facts.push(uart.receivePin, uart.transmitPin);
  return facts.filter((fact) => fact !== undefined);
}

function merged(pin: BoardPin, chipPin: ChipPin | undefined, chip: Chip | undefined): BoardPin {
  const own = <T>(value: T | undefined, what: string): Fact<T> | undefined =>
    value === undefined
      ? undefined
      : { value, quality: 'datasheet', label: `${what} of pin ${pin.name} (data sheet)` };
  const tolerant5V = pin.tolerant5V ?? own(chipPin?.tolerant5V, 'tolerance of 5 V');
  return {
    ...pin,
    capabilities: pin.capabilities ?? chipPin?.capabilities,
    timer: pin.timer ?? own(chipPin?.timer, 'timer'),
    channel: pin.channel ?? own(chipPin?.channel, 'channel'),
    interruptLine: pin.interruptLine ?? own(chipPin?.interruptLine, 'interrupt line'),
    tolerant5V,
    resetState: pin.resetState ?? own(chipPin?.resetState, 'state at reset') ?? chip?.resetState,
    reservedFor: pin.reservedFor ?? own(chipPin?.reservedFor, 'use'),
    pulls: pin.pulls ?? own(chipPin?.pulls ?? chip?.pulls, 'pulls'),
    pullUp: pin.pullUp ?? chipPin?.pullUp ?? chip?.pullUp,
    pullDown: pin.pullDown ?? chipPin?.pullDown ?? chip?.pullDown,
    vMax: pin.vMax ?? (tolerant5V?.value ? chip?.tolerantPinMax : undefined) ?? chip?.pinMax,
    injectionMax: pin.injectionMax ?? chip?.injectionMax,
  };
}

function byName<T>(map: ReadonlyMap<string, T> | undefined, name: string): T | undefined {
  return map?.get(name) ?? map?.get(name.toUpperCase());
}
