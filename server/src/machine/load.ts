import machineSchema from '../../../schemas/machine.schema.json';
import { connectorClassIds } from '../board/connectorClasses';
import { driverFamilyIds } from '../board/drivers';
import type { BoardProfile } from '../board/profile';
import type { Fact, NumberFact } from '../model/fact';
import {
  danglingReferences,
  type JsonProblem,
  loadBySchema,
  type Names,
  onlyMembers,
  type Reference,
  type Schema,
  sortProblems,
} from '../syntax/json';
import { materialIds } from './materials';
import { curveIds } from './sensorCurves';
import type { MachineSheet, SheetSupply } from './sheet';
import { insulationIds } from './wireTable';

export interface LoadedMachine {
  /** Absent when nothing could be read. */
  readonly sheet?: MachineSheet;
  readonly problems: readonly JsonProblem[];
}

type RawSheet = Omit<MachineSheet, 'uri' | 'name' | 'boardReferences'> & { readonly name?: Fact<string> };

const SOURCE = 'machine sheet';

/**
 * Reads a machine sheet. Never throws for bad text: a broken part is reported and left out, the rest is loaded.
 * @param profile the board, so that supplies may be given by a rail's name; without it such a supply is unknown, silently.
 * Names of the board's connectors, outputs and sockets are compared by `checkReferences`.
 */
export function loadMachine(uri: string, text: string, profile?: BoardProfile): LoadedMachine {
  const schema = machineSchema as Schema;
  const supply = loadBySchema<{ readonly supply?: SheetSupply }>(onlyMembers(schema, ['supply']), uri, text, {
    source: SOURCE,
  }).value?.supply;
  const rail = (name: string): NumberFact | null | undefined => railVoltage(name, supply, profile);
  const { value, problems, references } = loadBySchema<RawSheet>(schema, uri, text, { source: SOURCE, rail });
  if (!value) return { problems };
  const sockets = [...value.drivers.values()].map(
    (driver): Reference => ({ to: 'board.drivers', name: socketName(driver.name, driver.place) }),
  );
  const sheet: MachineSheet = {
    ...value,
    uri,
    name: value.name ?? { value: 'machine', quality: 'assumed', label: `name (${SOURCE})` },
    boardReferences: [...references.filter((reference) => reference.to.startsWith('board.')), ...sockets],
  };
  const dangling = danglingReferences(references, names(sheet, profile));
  return { sheet, problems: sortProblems([...problems, ...dangling]) };
}

/** "supply" is the main supply; another name is one of the board's rails, unknown until there is a board. */
function railVoltage(
  name: string,
  supply: SheetSupply | undefined,
  profile: BoardProfile | undefined,
): NumberFact | null | undefined {
  if (name === 'supply') return supply?.voltage ?? null;
  const rail = profile?.rails.get(name);
  if (rail) return rail.voltage ?? null;
  return undefined;
}

const socketName = (value: string, place: Fact<string>['place']): Fact<string> => ({
  value,
  place,
  quality: 'stated',
  label: `driver socket (${SOURCE})`,
});

function names(sheet: MachineSheet, profile: BoardProfile | undefined): Record<string, Names> {
  const where = 'on this machine sheet';
  const shipped = { where: 'among the data that ship', ignoreCase: true };
  const own = [...sheet.drivers.values()].flatMap((driver) =>
    driver.familyFacts && driver.family ? [driver.family.value] : [],
  );
  return {
    motors: { noun: 'motor', where, names: [...sheet.motors.keys()] },
    devices: { noun: 'device', where, names: devices(sheet) },
    driverFamilies: {
      ...shipped,
      noun: 'driver',
      names: [...driverFamilyIds, ...own],
      open: 'State its facts in "familyFacts".',
    },
    curves: {
      ...shipped,
      noun: 'curve',
      names: curveIds,
      open: 'State its resistance and β, or its table.',
    },
    materials: {
      ...shipped,
      noun: 'material',
      names: materialIds,
      open: 'State the metal factor, or the specific heat.',
    },
    insulations: {
      ...shipped,
      noun: 'insulation',
      names: insulationIds,
      open: 'To have the capacity of the wire checked, name one that ships.',
    },
    connectorClasses: {
      ...shipped,
      noun: 'kind of connector',
      names: connectorClassIds,
      open: 'State its rating.',
    },
    ...(profile && {
      rails: { noun: 'rail', where: 'on the board', names: ['supply', ...profile.rails.keys()] },
    }),
  };
}

/** Everything that a wire can serve: 'supply', 'heaters.bed', 'motors of x' as 'axes.x' … */
export function devices(sheet: MachineSheet): string[] {
  const groups = ['links', 'axes', 'sensors', 'temperatureSensors', 'heaters', 'fans', 'loads'] as const;
  return ['supply', ...groups.flatMap((group) => [...sheet[group].keys()].map((name) => `${group}.${name}`))];
}
