import type { BoardPin, BoardProfile, ChipPin, Connector, DriverSocket, Output, Uart } from './profile';

/** Pin names are compared without case. */
export const samePin = (left: string | undefined, right: string | undefined): boolean =>
  left !== undefined && right !== undefined && left.toUpperCase() === right.toUpperCase();

/** The profile's entry for a pin, by its board name or by the chip's name for it. */
export function findPin(board: BoardProfile, name: string): BoardPin | undefined {
  let index = pinIndexes.get(board);
  if (!index) {
    index = pinsByName(board);
    pinIndexes.set(board, index);
  }
  return index.get(name.toUpperCase());
}

/** Profiles never change, and their pins are looked up all the time. */
const pinIndexes = new WeakMap<BoardProfile, ReadonlyMap<string, BoardPin>>();

/** The board's own names win over the chip's, earlier pins over later ones. */
function pinsByName({ pins }: BoardProfile): ReadonlyMap<string, BoardPin> {
  const index = new Map<string, BoardPin>();
  const add = (name: string | undefined, pin: BoardPin): void => {
    const key = name?.toUpperCase();
    if (key !== undefined && !index.has(key)) index.set(key, pin);
  };
  for (const pin of pins.values()) add(pin.name, pin);
  for (const pin of pins.values()) add(pin.chipPin?.value, pin);
  return index;
}

/** What the chip itself says about a pin. */
export function findChipPin(board: BoardProfile, name: string): ChipPin | undefined {
  const chipName = findPin(board, name)?.chipPin?.value ?? name;
  for (const [key, pin] of board.chip?.pins ?? []) if (samePin(key, chipName)) return pin;
  return undefined;
}

/** Remembers answers by pin name: profiles never change. */
function byPin<T>(look: (board: BoardProfile, name: string) => T): (board: BoardProfile, name: string) => T {
  const boards = new WeakMap<BoardProfile, Map<string, { readonly found: T }>>();
  return (board, name) => {
    const known = boards.get(board) ?? new Map<string, { readonly found: T }>();
    boards.set(board, known);
    const answer = known.get(name) ?? { found: look(board, name) };
    known.set(name, answer);
    return answer.found;
  };
}

/** All names of one pin in capitals, so that "P14" and "PD6" meet when the profile says they are the same. */
const aliases = byPin((board, name): readonly string[] => {
  const pin = findPin(board, name);
  const names = pin?.chipPin ? [pin.name, pin.chipPin.value] : [pin?.name ?? name];
  return names.map((one) => one.toUpperCase());
});

/** True when two names mean one pin of this board. */
export function isPin(board: BoardProfile, left: string, right: string): boolean {
  const names = aliases(board, left);
  return aliases(board, right).some((name) => names.includes(name));
}

const firstOf = <T>(items: ReadonlyMap<string, T>, test: (item: T) => boolean): T | undefined => {
  for (const item of items.values()) if (test(item)) return item;
  return undefined;
};

export const connectorOfPin = byPin((board, name): Connector | undefined =>
  firstOf(
    board.connectors,
    (connector) =>
      (connector.pin !== undefined && isPin(board, connector.pin.value, name)) ||
      [...connector.contacts.values()].some((contact) => isPin(board, contact.value, name)),
  ),
);

export const outputOfPin = byPin((board, name): Output | undefined =>
  firstOf(board.outputs, (output) => output.pin !== undefined && isPin(board, output.pin.value, name)),
);

export const driverOfPin = byPin((board, name): DriverSocket | undefined =>
  firstOf(board.drivers, (driver) =>
    [driver.stepPin, driver.directionPin, driver.enablePin].some(
      (pin) => pin !== undefined && isPin(board, pin.value, name),
    ),
  ),
);

/** Names are the owner's words for sockets: compared without case and surrounding blanks. */
export const sameName = (left: string, right: string): boolean =>
  left.trim().toUpperCase() === right.trim().toUpperCase();

export function connectorByName(board: BoardProfile, name: string): Connector | undefined {
  return firstOf(board.connectors, (connector) => sameName(connector.name, name));
}

export function outputByName(board: BoardProfile, name: string): Output | undefined {
  return (
    firstOf(board.outputs, (output) => sameName(output.name, name)) ??
    firstOf(
      board.outputs,
      (output) => output.connector !== undefined && sameName(output.connector.value, name),
    )
  );
}

export function driverByConnector(board: BoardProfile, name: string): DriverSocket | undefined {
  return (
    firstOf(
      board.drivers,
      ({ connector, secondConnector }) =>
        (connector !== undefined && sameName(connector.value, name)) ||
        (secondConnector !== undefined && sameName(secondConnector.value, name)),
    ) ?? firstOf(board.drivers, (driver) => sameName(driver.name, name))
  );
}

export function uartByPort(board: BoardProfile, port: number): Uart | undefined {
  return board.uarts.find((uart) => uart.port.value === port);
}

export function uartByConnector(board: BoardProfile, name: string): Uart | undefined {
  return board.uarts.find(
    (uart) => typeof uart.connector?.value === 'string' && sameName(uart.connector.value, name),
  );
}
