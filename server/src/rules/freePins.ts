import { findChipPin } from '../board/find';
import type { BoardPin } from '../board/profile';
import type { Machine } from '../machine/machine';
import { listed } from './kit';
import { deviceIn, isSamePin } from './wiring';

export interface FreePin {
  readonly pin: BoardPin;
  /** Where the board leads it out; absent when only its pin is known. */
  readonly socket?: string;
}

/** Pins in sockets of `kind` that no setting uses, nothing on the board is tied to and, by the sheet, nothing is plugged into. */
export function freePins(
  machine: Machine,
  kind: 'input' | 'sensor' | 'output',
  fits: (pin: BoardPin) => boolean = () => true,
): FreePin[] {
  const { board, pinUses } = machine;
  if (!board) return [];
  const taken = [
    ...pinUses.map(({ pin }) => pin),
    ...[...board.drivers.values()].flatMap(({ stepPin, directionPin, enablePin }) =>
      [stepPin, directionPin, enablePin].flatMap((fact) => fact?.value ?? []),
    ),
    ...board.uarts.flatMap(({ receivePin, transmitPin }) =>
      [receivePin, transmitPin].flatMap((fact) => fact?.value ?? []),
    ),
  ];
  const sockets =
    kind === 'output'
      ? [...board.outputs.values()].map(({ pin, name }) => ({ pin, name }))
      : [...board.connectors.values()]
          .filter(({ kind: own }) => own === undefined || own.value === kind)
          .map(({ pin, name }) => ({ pin, name }));
  return [...board.pins.values()]
    .filter(
      (pin) =>
        !taken.some((name) => isSamePin(machine, name, pin.name)) &&
        !pin.ownCircuit &&
        !(pin.reservedFor ?? findChipPin(board, pin.name)?.reservedFor) &&
        fits(pin),
    )
    .flatMap((pin) => {
      const socket = sockets.find((one) => one.pin && isSamePin(machine, one.pin.value, pin.name));
      return socket && !deviceIn(machine, socket.name) ? [{ pin, socket: socket.name }] : [];
    });
}

/** "PB5 (S1), PB6 (S2) or PB7 (S3)"; nothing when none is free. */
export function freeWords(pins: readonly FreePin[], most = 3): string | undefined {
  if (pins.length === 0) return undefined;
  return listed(
    pins.slice(0, most).map(({ pin, socket }) => (socket ? `${pin.name} (${socket})` : pin.name)),
    'or',
  );
}
