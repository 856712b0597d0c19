import boardSchema from '../../../schemas/board.schema.json';
import type { NumberFact } from '../model/fact';
import {
  danglingReferences,
  type JsonProblem,
  loadBySchema,
  type Names,
  onlyMembers,
  type Schema,
  sortProblems,
} from '../syntax/json';
import { chipIds, shippedChip } from './chips';
import { connectorClassIds } from './connectorClasses';
import { driverFamily, driverFamilyIds } from './drivers';
import { boardPins } from './pins';
import type { BoardProfile, Chip, Connector, DriverSocket, FittedPart, Rail } from './profile';
import type { RawBoard, RawSocket } from './raw';
import { atSupply, type ChipFacts } from './supplyFacts';

export interface LoadedBoard {
  /** Absent when nothing could be read. */
  readonly profile?: BoardProfile;
  readonly problems: readonly JsonProblem[];
}

const SOURCE = 'board profile';

/**
 * Reads a board profile. Never throws for bad text: a broken part is reported and left out, the rest is loaded.
 * Facts of a shipped chip or driver are merged in; what the profile says wins.
 */
export function loadBoard(uri: string, text: string): LoadedBoard {
  const schema = boardSchema as Schema;
  const rails = loadBySchema<{ readonly rails: ReadonlyMap<string, Rail> }>(
    onlyMembers(schema, ['rails']),
    uri,
    text,
    {
      source: SOURCE,
    },
  ).value?.rails;
  const rail = (name: string): NumberFact | null | undefined =>
    name === 'supply' ? null : rails?.has(name) ? (rails.get(name)?.voltage ?? null) : undefined;
  const { value, problems, references } = loadBySchema<RawBoard>(schema, uri, text, { source: SOURCE, rail });
  if (!value) return { problems };
  const chip = mergedChip(value);
  const dangling = danglingReferences(references, names(value, chip));
  return { profile: profileOf(uri, value, chip), problems: sortProblems([...problems, ...dangling]) };
}

function names(raw: RawBoard, chip: Chip | undefined): Record<string, Names> {
  const where = 'in this board profile';
  const shipped = { where: 'among the data that ship', ignoreCase: true };
  const pins = [...raw.pins.keys(), ...(chip?.pins?.keys() ?? [])];
  return {
    connectors: { noun: 'connector', where, names: [...raw.connectors.keys()], ignoreCase: true },
    fuses: { noun: 'fuse', where, names: [...raw.fuses.keys()], ignoreCase: true },
    rails: { noun: 'rail', where, names: ['supply', ...raw.rails.keys()] },
    // Without the chip's own list every name may be a pin of it.
    ...(chip?.pins && {
      pins: {
        noun: 'pin',
        where: `in this board profile or on ${chip.title}`,
        names: pins,
        ignoreCase: true,
      },
    }),
    // A chip or driver whose facts the profile states itself may have any name.
    ...(!raw.chipFacts && {
      chips: { ...shipped, noun: 'chip', names: chipIds, open: 'State its facts in "chipFacts".' },
    }),
    driverFamilies: {
      ...shipped,
      noun: 'driver',
      names: [...driverFamilyIds, ...ownFamilies(raw)],
      open: 'State its facts in "familyFacts".',
    },
    connectorClasses: {
      ...shipped,
      noun: 'kind of connector',
      names: connectorClassIds,
      open: 'State its rating.',
    },
  };
}

const ownFamilies = (raw: RawBoard): string[] =>
  [...raw.drivers.values()].flatMap((socket) =>
    socket.familyFacts && socket.family ? [socket.family.value] : [],
  );

function mergedChip(raw: RawBoard): Chip | undefined {
  const shipped = raw.chip && shippedChip(raw.chip.value);
  if (!shipped && !raw.chipFacts && !raw.chip) return undefined;
  const id = shipped?.id ?? raw.chip?.value ?? 'own';
  const own = defined(raw.chipFacts ?? {});
  const facts: ChipFacts = { ...shipped, ...statedInstead(own), ...own };
  return {
    ...atSupply(facts, raw.logicVoltage),
    id,
    title: facts.title ?? raw.chip?.value ?? 'this chip',
    family: facts.family ?? id,
    sources: shipped?.sources ?? [],
  };
}

/** A share of the supply in the profile wins over volts that ship. */
function statedInstead(own: Partial<ChipFacts>): Partial<ChipFacts> {
  return {
    ...(own.vilOfSupply && { vil: undefined }),
    ...(own.vihOfSupply && { vih: undefined }),
    ...(own.vohBelowSupply && { voh: undefined }),
    ...(own.pinMaxOverSupply && { pinMax: undefined }),
  };
}

const defined = <T extends object>(value: T): Partial<T> =>
  Object.fromEntries(
    Object.entries(value).filter(([key, member]) => member !== undefined && key !== 'place'),
  ) as Partial<T>;

/** What profiles were read from, for those of the board's other forms. */
const raws = new WeakMap<BoardProfile, RawBoard>();

/** The profile of the same board with other facts in the text's place; nothing for a profile that was not read from a text. */
export function profileWith(
  profile: BoardProfile,
  change: (raw: RawBoard) => RawBoard,
): BoardProfile | undefined {
  const raw = raws.get(profile);
  if (!raw) return undefined;
  const changed = change(raw);
  return profileOf(profile.uri, changed, mergedChip(changed));
}

function profileOf(uri: string, raw: RawBoard, chip: Chip | undefined): BoardProfile {
  const profile = joined(uri, raw, chip);
  raws.set(profile, raw);
  return profile;
}

function joined(uri: string, raw: RawBoard, chip: Chip | undefined): BoardProfile {
  const { chip: _, chipFacts: __, drivers, connectors, ...rest } = raw;
  const name = raw.name ?? { value: 'board', quality: 'assumed', label: 'name (board profile)' };
  return {
    ...rest,
    uri,
    name,
    chip,
    connectors: new Map([...connectors].map(([key, connector]) => [key, withDefaults(connector, raw)])),
    drivers: new Map([...drivers].map(([key, socket]) => [key, socketOf(socket)])),
    pins: boardPins(raw, chip),
    // Keys of a JSON object are text.
    stepRates: new Map([...raw.stepRates].map(([axes, rate]) => [Number(axes), rate])),
    memory: raw.memory && {
      ...raw.memory,
      flash: raw.memory.flash ?? chip?.flash,
      ram: raw.memory.ram ?? chip?.ram,
      flashBase: raw.memory.flashBase ?? chip?.flashBase,
      loaderAt: raw.memory.loaderAt ?? chip?.loaderAt,
    },
  };
}

const socketOf = ({ familyFacts, family, ...socket }: RawSocket): DriverSocket => ({
  ...socket,
  family: driverFamily(family, familyFacts),
});

const PART_WORDS: Readonly<Record<FittedPart['part']['value'], string>> = {
  pullUp: 'pull-up',
  pullDown: 'pull-down',
  series: 'series resistor',
  filter: 'filter',
  divider: 'divider',
  optocoupler: 'optocoupler',
  diode: 'diode',
};

/** A pull-up leads to the logic supply unless the profile says otherwise. Labels say which part is meant. */
function withDefaults(connector: Connector, raw: RawBoard): Connector {
  const fitted = connector.fitted.map((part): FittedPart => {
    const label = `${PART_WORDS[part.part.value]} at ${connector.name} (${SOURCE})`;
    const to = part.to ?? (part.part.value === 'pullUp' ? raw.logicVoltage : undefined);
    return {
      ...part,
      resistance: part.resistance && { ...part.resistance, label },
      capacitance: part.capacitance && { ...part.capacitance, label },
      to,
    };
  });
  return { ...connector, fitted };
}
