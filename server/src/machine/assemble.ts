import type { BoardProfile } from '../board/profile';
import { boardForms, boardInUse } from '../board/variants';
import type { Fact } from '../model/fact';
import type { LineOf } from '../model/lines';
import { LINE_NUMBERS, WHOLE_TEXT } from '../settings/look';
import type { Settings } from '../settings/reading';
import { createWatch, type Watch, watched } from '../settings/watch';
import type { SettingsText } from '../syntax/entry';
import { assembleAxes } from './axes';
import { assembleBranches } from './branches';
import { assembleFans } from './fans';
import { assembleInputs } from './inputs';
import { assembleLinks } from './links';
import type { Machine } from './machine';
import { assemblePinUses } from './pinUses';
import type { MachineSheet } from './sheet';
import { assembleZones } from './zones';

/**
 * Joins what the three kinds of file say. Any of board and sheet may be missing. Each part is assembled when first asked for.
 * @param watch notes what a rule looks at
 */
export function assembleMachine(
  plainSettings: Settings,
  text: SettingsText,
  profile?: BoardProfile,
  sheet?: MachineSheet,
  lineOf: LineOf = () => undefined,
  watch: Watch = createWatch(),
): Machine {
  const board = profile && boardInUse(profile, sheet?.boardVariant?.value);
  const settings = watched(plainSettings, watch);
  const kinematics = watch.lazy(() => kinematicsOf(settings, sheet));
  const axes = watch.lazy(() => assembleAxes(settings, watch, board, sheet));
  const inputs = watch.lazy(() => assembleInputs(settings, watch, board, sheet));
  const zones = watch.lazy(() => assembleZones(settings, board, sheet));
  const fans = watch.lazy(() => assembleFans(settings, board, sheet));
  const links = watch.lazy(() => assembleLinks(settings, watch, board, sheet));
  const pinUses = watch.lazy(() => assemblePinUses(settings, board));
  const branches = watch.lazy(() => assembleBranches(machine));
  const machine: Machine = {
    settings,
    get text() {
      watch.note(WHOLE_TEXT);
      return text;
    },
    textFor(look) {
      watch.note(look);
      return text;
    },
    lineOf(place) {
      watch.note(LINE_NUMBERS);
      return lineOf(place);
    },
    board,
    sheet,
    onBoard: (other) => assembleMachine(plainSettings, text, other, sheet, lineOf, watch),
    forms: () => (profile ? boardForms(profile) : []),
    get kinematics() {
      return kinematics();
    },
    get axes() {
      return axes();
    },
    get inputs() {
      return inputs();
    },
    get zones() {
      return zones();
    },
    get fans() {
      return fans();
    },
    get links() {
      return links();
    },
    get pinUses() {
      return pinUses();
    },
    get branches() {
      return branches();
    },
    supplyVoltage: sheet?.supply?.voltage,
    logicVoltage: board?.logicVoltage,
  };
  return machine;
}

function kinematicsOf(settings: Settings, sheet?: MachineSheet): Machine['kinematics'] {
  const set = settings.choice('machine.kinematics');
  if (set?.value === 'cartesian' || set?.value === 'coupledBelts' || set?.value === 'delta') {
    return { ...set, value: set.value } satisfies Fact<string> as Machine['kinematics'];
  }
  return sheet?.kinematics;
}
