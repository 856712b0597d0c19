import type { Place } from '../model/place';
import type { Analysis } from '../project/analysis';
import { capitalised } from '../rules/kit';
import type { Concept } from '../settings/concept';
import { CONCEPT_GROUPS } from '../settings/concepts';
import { axisWords } from '../settings/placeholders';
import type { Reading } from '../settings/reading';
import type { Entry, EntryState } from '../syntax/entry';
import { withUnit } from './explainValue';
import { headerFile } from './headerFile';

export type OutlineKind = 'number' | 'switch' | 'choice' | 'pin' | 'text' | 'name' | 'macro';

/** The same object says the same, wherever it stands. */
export interface OutlineWords {
  /** What it is, in plain words; the name itself when no map knows it. */
  readonly title: string;
  /** Value with its unit, and what keeps it from counting. */
  readonly detail: string;
  readonly kind: OutlineKind;
  /** What whoever shows the outline made of them last. */
  shown?: unknown;
  /** What a search looks at, once somebody has searched. */
  sought?: string;
}

/** One setting, or one name. Places are worked out when somebody asks: most never are. */
export class OutlineItem {
  constructor(
    readonly words: OutlineWords,
    readonly entry: Entry,
    private readonly own?: Place,
  ) {}

  get place(): Place {
    return this.entry.place;
  }

  get namePlace(): Place {
    return this.own ?? this.entry.namePlace;
  }
}

export interface OutlineGroup {
  readonly title: string;
  /** From its first item to its last; others may stand between them. */
  readonly place: Place;
  readonly items: readonly OutlineItem[];
}

/** Title of the group of names that no map knows. */
const OTHER_NAMES = 'Other names';

/** The settings of a header by what they belong to, groups in the order of their first line, names that no map knows last. */
export function outlineOf(analysis: Analysis, uri: string): readonly OutlineGroup[] {
  const { others } = layoutOf(analysis, uri);
  const parts = partsOf(analysis, uri);
  if (others.length === 0) return parts;
  const { entry } = analysis.machine.text;
  return [
    ...parts,
    groupOf(
      uri,
      OTHER_NAMES,
      others.map((index) => otherName(entry(index))),
    ),
  ];
}

/** The same without the names that no map knows. */
export function partsOf(analysis: Analysis, uri: string): readonly OutlineGroup[] {
  const { settings } = analysis.machine;
  return layoutOf(analysis, uri).parts.map(({ title, members }) => {
    const items = members.map(({ row, nth }) => setting(settings.at(row), nth));
    return groupOf(uri, title, items);
  });
}

const groupOf = (uri: string, title: string, items: readonly OutlineItem[]): OutlineGroup => ({
  title,
  items,
  place: hull(uri, items),
});

/** What stands where in an outline. */
interface Layout {
  readonly parts: readonly {
    readonly title: string;
    /** Readings by their index, each the `nth` of its entry. */
    readonly members: readonly { readonly row: number; readonly nth: number }[];
  }[];
  /** Entries by their index. */
  readonly others: readonly number[];
}

/** By file, for all settings of one shape: an edit of a value changes none of it. */
const layouts = new WeakMap<object, Map<string, Layout>>();

function layoutOf(analysis: Analysis, uri: string): Layout {
  const { shape } = analysis.machine.settings;
  const known = layouts.get(shape) ?? new Map<string, Layout>();
  layouts.set(shape, known);
  const layout = known.get(uri) ?? newLayout(analysis, uri);
  known.set(uri, layout);
  return layout;
}

function newLayout(analysis: Analysis, uri: string): Layout {
  const file = headerFile(analysis, uri);
  const { settings } = analysis.machine;
  const rows = new Map<Reading, number>();
  for (let row = 0; row < settings.size; row++) rows.set(settings.at(row), row);
  const groups = new Map<string, { row: number; nth: number }[]>();
  const others: number[] = [];
  for (const entry of file?.entries ?? []) {
    const readings = file?.readingsOf(entry) ?? [];
    if (readings.length === 0) others.push(entry.index);
    for (const [nth, reading] of readings.entries()) {
      const title = groupTitle(reading.concept);
      const member = { row: rows.get(reading) as number, nth };
      const members = groups.get(title);
      if (members) members.push(member);
      else groups.set(title, [member]);
    }
  }
  return { parts: [...groups].map(([title, members]) => ({ title, members })), others };
}

/** "Axis X", "Tool 0", "Bed", "Fans"; else the title of the concept's group. */
function groupTitle({ id, group }: Concept): string {
  const [head = '', part = ''] = id.split('.');
  if (head === 'axis') return part.startsWith('e') ? capitalised(axisWords(part)) : `Axis ${axisWords(part)}`;
  if (head === 'tool') return /^\d/.test(part) ? `Tool ${part}` : 'Tools';
  return OWN_TITLES[head] ?? GROUP_TITLES.get(group) ?? OTHER_NAMES;
}

const OWN_TITLES: Readonly<Record<string, string>> = {
  bed: 'Bed',
  fan: 'Fans',
  guard: 'Guards',
  link: 'Links',
};
const GROUP_TITLES = new Map(CONCEPT_GROUPS.map(({ group, title }) => [group, title]));

/** @param nth of the readings of its entry */
function setting(reading: Reading, nth: number): OutlineItem {
  const { concept, entry, place, value, listIndex } = reading;
  const ownItem = listIndex !== undefined && inside(place, entry.place);
  const words = wordsFor(entry, nth, [concept, value], () => ({
    title: concept.title,
    detail: withState(valueText(reading), entry.state),
    kind: KINDS[concept.type],
  }));
  return new OutlineItem(words, entry, ownItem ? place : undefined);
}

interface Said {
  /** What the words hang on, beside the definition. */
  readonly by: readonly object[];
  readonly words: OutlineWords;
}

/** Words are kept with the definition: an edit changes those of a few. */
function wordsFor(
  { core }: Entry,
  nth: number,
  by: readonly object[],
  make: () => OutlineWords,
): OutlineWords {
  if (!core) return make();
  const before = core.said?.[nth] as Said | undefined;
  if (before?.by.length === by.length && before.by.every((one, at) => one === by[at])) return before.words;
  const words = make();
  // An empty list that something is put into gets room for 17.
  core.said ??= new Array(nth + 1);
  core.said[nth] = { by, words } satisfies Said;
  return words;
}

const KINDS: Record<Concept['type'], OutlineKind> = {
  number: 'number',
  integer: 'number',
  switch: 'switch',
  choice: 'choice',
  pin: 'pin',
  text: 'text',
  curve: 'text',
};

const NOTHING_ELSE: readonly object[] = [];

function otherName(entry: Entry): OutlineItem {
  const words = wordsFor(entry, 0, NOTHING_ELSE, () => ({
    title: entry.name,
    detail: withState(short(entry.rawText), entry.state),
    kind: entry.functionLike ? 'macro' : 'name',
  }));
  return new OutlineItem(words, entry);
}

function valueText({ concept, entry, value }: Reading): string {
  switch (value.kind) {
    case 'number':
      return withUnit(value.inUnit, concept.unit);
    case 'switch':
      return value.on ? 'on' : 'off';
    case 'pin':
      return value.pin;
    case 'choice':
      return concept.choices?.find(({ id }) => id === value.choice)?.title ?? value.choice;
    case 'text':
      return short(value.text);
    case 'unassigned':
      return 'nothing assigned';
    case 'undecided':
      return 'only the build knows';
    case 'bad':
      return entry.rawText === '' ? 'no value' : `${short(entry.rawText)} (no value for it)`;
  }
}

const STATES: Record<EntryState, string | undefined> = {
  active: undefined,
  inactive: 'not compiled',
  undecided: 'only the build knows whether it counts',
  commentedOut: 'commented out',
  overridden: 'replaced later',
  undefined: 'taken away later',
};

const withState = (value: string, state: EntryState): string =>
  [value, STATES[state]].filter(Boolean).join(', ');

/** Characters of a value that a line of an outline has room for. */
const LONGEST = 60;

function short(text: string): string {
  const flat = text.replace(/\\?\s+/g, ' ').trim();
  return flat.length > LONGEST ? `${flat.slice(0, LONGEST - 1)}…` : flat;
}

const inside = (one: Place, other: Place): boolean =>
  one.uri === other.uri && one.start >= other.start && one.end <= other.end;

/** Items are in the order of the text and share none of it. */
const hull = (uri: string, items: readonly OutlineItem[]): Place => ({
  uri,
  start: items[0]?.place.start ?? 0,
  end: items.at(-1)?.place.end ?? 0,
});
