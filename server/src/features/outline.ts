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

export interface OutlineItem {
  /** What it is, in plain words; the name itself when no map knows it. */
  readonly title: string;
  /** Value with its unit, and what keeps it from counting. */
  readonly detail: string;
  readonly kind: OutlineKind;
  readonly place: Place;
  readonly namePlace: Place;
}

export interface OutlineGroup {
  readonly title: string;
  /** From its first item to its last; others may stand between them. */
  readonly place: Place;
  readonly items: readonly OutlineItem[];
}

/** Title of the group of names that no map knows. */
export const OTHER_NAMES = 'Other names';

/** The settings of a header by what they belong to, groups in the order of their first line, names that no map knows last. */
export function outlineOf(analysis: Analysis, uri: string): readonly OutlineGroup[] {
  const file = headerFile(analysis, uri);
  if (!file) return [];
  const groups = new Map<string, OutlineItem[]>();
  const others: OutlineItem[] = [];
  for (const entry of file.entries) {
    const readings = file.readingsOf(entry);
    if (readings.length === 0) others.push(otherName(entry));
    for (const reading of readings) {
      const title = groupTitle(reading.concept);
      const items = groups.get(title);
      if (items) items.push(setting(reading));
      else groups.set(title, [setting(reading)]);
    }
  }
  if (others.length > 0) groups.set(OTHER_NAMES, others);
  return [...groups].map(([title, items]) => ({ title, items, place: hull(uri, items) }));
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

function setting(reading: Reading): OutlineItem {
  const { concept, entry, place, listIndex } = reading;
  const ownItem = listIndex !== undefined && inside(place, entry.place);
  return {
    title: concept.title,
    detail: withState(valueText(reading), entry.state),
    kind: KINDS[concept.type],
    place: entry.place,
    namePlace: ownItem ? place : entry.namePlace,
  };
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

function otherName(entry: Entry): OutlineItem {
  return {
    title: entry.name,
    detail: withState(short(entry.rawText), entry.state),
    kind: entry.functionLike ? 'macro' : 'name',
    place: entry.place,
    namePlace: entry.namePlace,
  };
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

const hull = (uri: string, items: readonly OutlineItem[]): Place => ({
  uri,
  start: items.reduce((least, { place }) => Math.min(least, place.start), Number.POSITIVE_INFINITY),
  end: items.reduce((most, { place }) => Math.max(most, place.end), 0),
});
