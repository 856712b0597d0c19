import type { BoardProfile } from '../board/profile';
import type { Fact } from '../model/fact';
import type { LineOf } from '../model/lines';
import type { Settings } from '../settings/reading';
import type { SettingsText } from '../syntax/entry';
import { assembleAxes } from './axes';
import { assembleFans } from './fans';
import { assembleInputs } from './inputs';
import { assembleLinks } from './links';
import type { Machine } from './machine';
import { assemblePinUses } from './pinUses';
import type { MachineSheet } from './sheet';
import { assembleZones } from './zones';

/** Joins what the three kinds of file say. Any of board and sheet may be missing. */
export function assembleMachine(
  settings: Settings,
  text: SettingsText,
  board?: BoardProfile,
  sheet?: MachineSheet,
  lineOf: LineOf = () => undefined,
): Machine {
  return {
    settings,
    text,
    lineOf,
    board,
    sheet,
    kinematics: kinematicsOf(settings, sheet),
    axes: assembleAxes(settings, board, sheet),
    inputs: assembleInputs(settings, board, sheet),
    zones: assembleZones(settings, board, sheet),
    fans: assembleFans(settings, board, sheet),
    links: assembleLinks(settings, board, sheet),
    pinUses: assemblePinUses(settings, board),
    supplyVoltage: sheet?.supply?.voltage,
    logicVoltage: board?.logicVoltage,
  };
}

function kinematicsOf(settings: Settings, sheet?: MachineSheet): Machine['kinematics'] {
  const set = settings.choice('machine.kinematics');
  if (set?.value === 'cartesian' || set?.value === 'coupledBelts' || set?.value === 'delta') {
    return { ...set, value: set.value } satisfies Fact<string> as Machine['kinematics'];
  }
  return sheet?.kinematics;
}
