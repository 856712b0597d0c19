import type { BoardProfile } from '../board/profile';
import { danglingReferences, type JsonProblem } from '../syntax/json';
import type { MachineSheet } from './sheet';

/** Names on the machine sheet that the board profile does not have. Case and surrounding blanks do not count. */
export function checkReferences(sheet: MachineSheet, profile: BoardProfile): JsonProblem[] {
  const where = `on ${profile.name.value}`;
  const connectors = [...profile.connectors.keys()];
  const sockets = [...profile.drivers.keys()];
  const switched = [...profile.outputs.values()].flatMap((output) =>
    output.connector ? [output.connector.value] : [],
  );
  const trimmed = sheet.boardReferences.map((reference) => ({
    ...reference,
    name: { ...reference.name, value: reference.name.value.trim() },
  }));
  return danglingReferences(trimmed, {
    'board.connectors': { noun: 'connector', where, names: connectors, ignoreCase: true },
    'board.motorConnectors': {
      noun: 'motor connector',
      where,
      names: [...new Set([...connectors, ...sockets])],
      ignoreCase: true,
    },
    'board.drivers': { noun: 'driver socket', where, names: sockets, ignoreCase: true },
    'board.outputs': {
      noun: 'output',
      where,
      names: [...new Set([...profile.outputs.keys(), ...switched])],
      ignoreCase: true,
    },
    'board.variants': {
      noun: 'variant',
      where,
      names: profile.variants.map((variant) => variant.name.value),
      ignoreCase: true,
    },
  });
}
