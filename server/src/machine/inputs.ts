import { connectorByName, connectorOfPin, findPin } from '../board/find';
import type { BoardProfile } from '../board/profile';
import type { Settings } from '../settings/reading';
import type { Watch } from '../settings/watch';
import { type InputCircuit, inputCircuit, type NoCircuit } from './inputCircuit';
import type { Input } from './machine';
import { fromLiveIds, part } from './part';
import type { MachineSheet } from './sheet';

/** Endstops, the probe and the door: those with a setting, and those that a sensor on the sheet watches. */
export function assembleInputs(
  settings: Settings,
  watch: Watch,
  board?: BoardProfile,
  sheet?: MachineSheet,
): Input[] {
  const ids = new Set(fromLiveIds(settings, 'inputs', inputOf));
  for (const sensor of sheet?.sensors.values() ?? []) {
    // No setting names the pin of a spindle's switch: `spindle.pin` is the output that runs it.
    if (sensor.watches && sensor.watches.value !== 'spindle') ids.add(sensor.watches.value);
  }
  return [...ids].map((id) => assembleInput(id, settings, watch, board, sheet));
}

const inputOf = (concept: string): string | undefined =>
  /^(endstop\.[^.]+\.(?:low|high)|probe|door)\./.exec(concept)?.[1];

function assembleInput(
  id: string,
  settings: Settings,
  watch: Watch,
  board?: BoardProfile,
  sheet?: MachineSheet,
): Input {
  const [, axis, end] = id.split('.');
  const base = part(settings, id, inputTitle(id));
  const sensor = [...(sheet?.sensors.values() ?? [])].find((candidate) => candidate.watches?.value === id);
  const pin = base.pin('pin')?.value;
  const parts = {
    ...base,
    axis,
    end: end === 'low' || end === 'high' ? (end as 'low' | 'high') : undefined,
    sensor,
    wiredTo: board && sensor?.connector && connectorByName(board, sensor.connector.value),
    connector: board && pin !== undefined ? connectorOfPin(board, pin) : undefined,
    boardPin: board && pin !== undefined ? findPin(board, pin) : undefined,
  };
  const input: Input = {
    ...parts,
    circuit: watch.lazy((): InputCircuit | NoCircuit => inputCircuit(input, board)),
  };
  return input;
}

export function inputTitle(id: string): string {
  if (id === 'probe') return 'the probe';
  if (id === 'door') return 'the door switch';
  const [, axis, end] = id.split('.');
  return `the ${axis?.toUpperCase()} endstop at the ${end} end`;
}
