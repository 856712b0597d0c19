import type { BoardProfile } from '../board/profile';
import { boardForms, boardInUse } from '../board/variants';
import type { Fact } from '../model/fact';
import { withLazy } from '../model/lazy';
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
  const others: Omit<Machine, Parts> = {
    settings,
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
    supplyVoltage: sheet?.supply?.voltage,
    logicVoltage: board?.logicVoltage,
  };
  const machine: Machine = lazyMachine(others, {
    text: () => {
      watch.note(WHOLE_TEXT);
      return text;
    },
    kinematics: watch.lazy(() => kinematicsOf(settings, sheet)),
    axes: watch.lazy(() => assembleAxes(settings, watch, board, sheet)),
    inputs: watch.lazy(() => assembleInputs(settings, watch, board, sheet)),
    zones: watch.lazy(() => assembleZones(settings, board, sheet)),
    fans: watch.lazy(() => assembleFans(settings, board, sheet)),
    links: watch.lazy(() => assembleLinks(settings, watch, board, sheet)),
    pinUses: watch.lazy(() => assemblePinUses(settings, board)),
    branches: watch.lazy(() => assembleBranches(machine)),
  });
  return machine;
}

type Parts = 'text' | 'kinematics' | 'axes' | 'inputs' | 'zones' | 'fans' | 'links' | 'pinUses' | 'branches';

const lazyMachine = withLazy<Machine>()(
  'text',
  'kinematics',
  'axes',
  'inputs',
  'zones',
  'fans',
  'links',
  'pinUses',
  'branches',
);

function kinematicsOf(settings: Settings, sheet?: MachineSheet): Machine['kinematics'] {
  const set = settings.choice('machine.kinematics');
  if (set?.value === 'cartesian' || set?.value === 'coupledBelts' || set?.value === 'delta') {
    return { ...set, value: set.value } satisfies Fact<string> as Machine['kinematics'];
  }
  return sheet?.kinematics;
}
