import type { Fact } from '../model/fact';
import { point } from '../model/interval';
import { keptWith } from '../model/kept';
import { withLazy } from '../model/lazy';
import { once } from '../model/once';
import type { Place, TextEdit } from '../model/place';
import { finishSteps, type Steps } from '../model/steps';
import type { Entry, SettingsText } from '../syntax/entry';
import { CONCEPTS, type ConceptTable } from './concepts';
import { type SourcedReading, sameValue } from './entryReadings';
import { type MergedMaps, mergedMaps } from './mergedMaps';
import type { NameMap, NameSpec } from './nameMap';
import { readPlainText } from './plainText';
import type { NewValue, Reading, ReadingValue, RenamedEntry, Settings } from './reading';
import { renamedValue } from './renamedValue';
import { spellValue } from './spell';
import {
  type EntryReadings,
  newReadingMemory,
  type ReadingMemory,
  type Row,
  type Shape,
  standingAt,
  type Table,
  tableOf,
} from './table';

/**
 * What the definitions of a settings text mean. The shipped naming is always understood; of `maps` and it, the later one wins
 * name by name. Never throws: what makes no sense becomes a reading with a bad value.
 */
export const interpret = (
  text: SettingsText,
  maps: readonly NameMap[] = [],
  concepts: ConceptTable = CONCEPTS,
  memory: ReadingMemory = newReadingMemory(),
): Settings => finishSteps(interpretInSteps(text, maps, concepts, memory));

export function* interpretInSteps(
  text: SettingsText,
  maps: readonly NameMap[],
  concepts: ConceptTable,
  memory: ReadingMemory,
): Steps<Settings> {
  const merged = mergedMaps(maps, concepts);
  const table = yield* tableOf(text, merged, concepts, memory);
  const settings = settingsOf(text, maps, concepts, table);
  tables.set(settings, table);
  return settings;
}

const tables = keptWith<Settings, Table>('table');

/** Readings that differ, apart from where they stand, where both settings have readings of the same concepts in the same order. */
export function changedReadings(
  before: Settings,
  now: Settings,
): { readonly ids: ReadonlySet<string>; readonly indices: readonly number[] } | undefined {
  const [one, other] = [tables.get(before), tables.get(now)];
  if (!one || one.shape !== other?.shape) return undefined;
  const { rows } = one.shape;
  const ids = new Set<string>();
  const indices: number[] = [];
  for (const [index, { id, at }] of rows.entries()) {
    if (one.found[at] === other.found[at]) continue;
    ids.add(id);
    indices.push(index);
  }
  return { ids, indices };
}

function settingsOf(
  text: SettingsText,
  maps: readonly NameMap[],
  concepts: ConceptTable,
  { merged, parts, shape, found }: Table,
): Settings {
  const sourced = new Map<Reading, SourcedReading>();
  const made: SourcedReading[] = [];
  const sourceAt = (index: number): SourcedReading => {
    const known = made[index];
    if (known) return known;
    const row = shape.rows[index] as Row;
    const source = standingAt(text.entry(row.entry), found[row.at] as EntryReadings, row.nth);
    made[index] = source;
    sourced.set(source.reading, source);
    return source;
  };
  const readingAt = (index: number): Reading => sourceAt(index).reading;
  const all = once(() => shape.rows.map((_, index) => readingAt(index)));
  const sourcesOf = (id: string): readonly SourcedReading[] => (shape.rowsOf.get(id) ?? []).map(sourceAt);
  /** Where defining a name is its value: the reading of a name that is only there commented out, in dead branches or undefined. */
  const absent = (id: string): Reading | undefined => {
    const row = shape.absent.get(id);
    if (!row) return undefined;
    const source = sourceAt(row.index);
    const reading: Reading = {
      ...source.reading,
      value: row.value,
      place: source.reading.entry.namePlace,
    };
    sourced.set(reading, { ...source, reading });
    return reading;
  };
  const undecided = memo((id: string) => sourcesOf(id).some(({ reading }) => isUndecided(reading)));
  const live = memo((id: string): Reading | undefined => {
    if (undecided(id)) return undefined;
    const rows = shape.rowsOf.get(id);
    if (rows?.length === 1) {
      const only = readingAt(rows[0] as number);
      if (only.entry.state === 'active') return only;
    }
    const active = sourcesOf(id).filter(({ reading }) => reading.entry.state === 'active');
    const own = active.filter(({ ofList }) => !ofList);
    const readings = (own.length > 0 ? own : active).map(({ reading }) => reading);
    const last = readings.at(-1) ?? absent(id);
    return last && readings.every(({ value }) => sameValue(value, last.value)) ? last : undefined;
  });
  const rowsOfEntry = once(() => rowsByEntry(shape));
  const ofEntry = (index: number): readonly Reading[] =>
    rowsOfEntry().get(index)?.map(readingAt) ?? NO_READINGS;
  const renamed = once(() => renamedEntries(parts.old.map(text.entry), merged, concepts));
  const repeated = once(() => shape.repeated.map(readingAt));
  const getter =
    <T>(pick: (value: ReadingValue) => T | undefined) =>
    (id: string): Fact<T> | undefined => {
      const reading = live(id);
      const value = reading && pick(reading.value);
      return value === undefined
        ? undefined
        : factOf(reading as Reading, value, sourced.get(reading as Reading)?.text);
    };
  const nameFor = (id: string) => merged.specOf.get(id);
  const parse = (id: string, written: string): ReadingValue | undefined => {
    const concept = concepts.get(id);
    return concept && readPlainText(concept, nameFor(id), written);
  };
  const settings = {
    concepts,
    allFor: all,
    size: shape.rows.length,
    at: readingAt,
    shape,
    ofEntry,
    liveIds: shape.liveIds,
    reading: live,
    readingsOf: (id) => sourcesOf(id).map(({ reading }) => reading),
    number: getter((value) => (value.kind === 'number' ? point(value.si) : undefined)),
    switch: getter((value) => (value.kind === 'switch' ? value.on : undefined)),
    pin: getter((value) => (value.kind === 'pin' ? value.pin : undefined)),
    choice: getter((value) => (value.kind === 'choice' ? value.choice : undefined)),
    text: getter((value) => (value.kind === 'text' ? value.text : undefined)),
    undecided,
    firmwareVersion: merged.version,
    unmappedNames: parts.unmappedNames,
    unmapped: (index) => text.entry(parts.unmapped[index] as number),
    namesComplete: merged.complete,
    knownNames: merged.known,
    nameOf: (id) => nameFor(id)?.name,
    speaksOf: (id) => {
      if (maps.length === 0 || merged.own.has(id)) return concepts.has(id);
      return merged.complete ? false : undefined;
    },
    defaultOf: (id) => {
      const written = nameFor(id)?.default;
      return written === undefined ? undefined : parse(id, written);
    },
    parse,
    spell: (reading, value) => {
      const source = sourced.get(reading);
      if (source?.spec.definedMeans === undefined)
        return source && spellValue(reading.concept, source.spec, source.text, value);
      const defined = isDefinedFor(source.spec, value);
      return defined === undefined ? undefined : defined ? 'defined' : 'not defined';
    },
    edit: (reading, value) => {
      const source = sourced.get(reading);
      return source && editOf(source, value);
    },
    newLine: (id, value) => {
      const spec = nameFor(id);
      const concept = concepts.get(id);
      if (!spec || !concept || spec.list) return undefined;
      if (spec.definedMeans !== undefined) {
        return isDefinedFor(spec, value) ? { name: spec.name, value: '' } : undefined;
      }
      const spelled = spellValue(concept, spec, '', value);
      return spelled === undefined ? undefined : { name: spec.name, value: spelled };
    },
  } satisfies Partial<Settings>;
  return lazySettings(settings, { all, repeated, renamed });
}

const factOf = <T>({ place, concept }: Reading, value: T, text: string | undefined): Fact<T> => ({
  value,
  place,
  quality: 'stated',
  label: concept.title,
  ...(text ? { text } : {}),
});

function editOf({ reading, spec, text, editable }: SourcedReading, value: NewValue): TextEdit | undefined {
  const { entry, concept } = reading;
  if (spec.definedMeans !== undefined) return definitionEdit(reading, isDefinedFor(spec, value));
  const newText = editable ? spellValue(concept, spec, text, value) : undefined;
  if (newText === undefined) return undefined;
  if (entry.valuePlace) return { place: reading.place, newText };
  const end: Place = { ...entry.namePlace, start: entry.namePlace.end };
  return { place: end, newText: ` ${newText}` };
}

/** Whether a name whose presence is its value is there for `value`; undefined when the value is of another type. */
function isDefinedFor(spec: NameSpec, value: NewValue): boolean | undefined {
  const wanted = 'on' in value ? (value.on ? 'on' : 'off') : 'choice' in value ? value.choice : undefined;
  return wanted === undefined ? undefined : wanted === spec.definedMeans;
}

/** Switches a definition on or off as a whole, by taking its comment mark away or putting one in front. */
function definitionEdit({ entry }: Reading, defined: boolean | undefined): TextEdit | undefined {
  const marks = entry.commentMarks ?? [];
  if (defined === true && entry.state === 'commentedOut' && marks.length === 1) {
    return { place: marks[0] as Place, newText: '' };
  }
  // A comment that goes on in the next line would be cut in two.
  if (defined !== false || entry.state !== 'active' || entry.trailingComment?.includes('\n'))
    return undefined;
  return { place: { ...entry.place, end: entry.place.start }, newText: '// ' };
}

/** An undecided branch, or a value in a live one that only the build knows. */
const isUndecided = ({ entry, value }: Reading): boolean =>
  entry.state === 'undecided' || (entry.state === 'active' && value.kind === 'undecided');

const renamedEntries = (
  entries: readonly Entry[],
  merged: MergedMaps,
  concepts: ConceptTable,
): RenamedEntry[] =>
  entries.flatMap((entry) => {
    if (entry.state !== 'active') return [];
    const rename = merged.renamed.find(({ from }) => from === entry.name);
    if (!rename) return [];
    const spec = merged.specs.get(rename.to);
    return [{ entry, rename, value: spec && renamedValue(entry, rename, spec, concepts) }];
  });

const lazySettings = withLazy<Settings>()('all', 'repeated', 'renamed');

const NO_READINGS: readonly Reading[] = [];

const byEntry = new WeakMap<Shape, ReadonlyMap<number, readonly number[]>>();

/** Indices of rows by the entry that they read. */
function rowsByEntry(shape: Shape): ReadonlyMap<number, readonly number[]> {
  const known = byEntry.get(shape);
  if (known) return known;
  const made = new Map<number, number[]>();
  for (const [index, { entry }] of shape.rows.entries()) {
    const others = made.get(entry);
    if (others) others.push(index);
    else made.set(entry, [index]);
  }
  byEntry.set(shape, made);
  return made;
}

function memo<T>(compute: (id: string) => T): (id: string) => T {
  const cache = new Map<string, T>();
  return (id) => {
    if (cache.has(id)) return cache.get(id) as T;
    const value = compute(id);
    cache.set(id, value);
    return value;
  };
}
