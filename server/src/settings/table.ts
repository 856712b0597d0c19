import type { Place } from '../model/place';
import type { Steps } from '../model/steps';
import type { Entry, SettingsText } from '../syntax/entry';
import type { ConceptTable } from './concepts';
import { absentValue, readEntry, type SourcedReading } from './entryReadings';
import { type MergedMaps, NO_CONCEPT } from './mergedMaps';
import type { NameSpec } from './nameMap';
import type { Reading, ReadingValue } from './reading';

/** Which readings a settings text has, before anybody asks for one of them. It keeps no text alive. */
export interface Table {
  readonly version: object;
  readonly structure: object;
  readonly merged: MergedMaps;
  readonly parts: Parts;
  /** The same object as long as the readings are of the same concepts, in the same entries. */
  readonly shape: Shape;
  /** What was read of each entry of `parts.mapped`; the same object says the same. */
  readonly found: readonly EntryReadings[];
}

/** Indices of entries, and what they are. */
export interface Parts {
  readonly mapped: readonly number[];
  /** Position of an entry in `mapped`. */
  readonly position: ReadonlyMap<number, number>;
  readonly unmapped: readonly number[];
  readonly unmappedNames: readonly string[];
  /** Those whose name the firmware has given up. */
  readonly old: readonly number[];
}

/** One reading: the `nth` of an entry, whose position in `mapped` is `at`. */
export interface Row {
  readonly id: string;
  readonly entry: number;
  readonly at: number;
  readonly nth: number;
}

export interface Shape {
  readonly rows: readonly Row[];
  readonly rowsOf: ReadonlyMap<string, readonly number[]>;
  readonly liveIds: readonly string[];
  /** Rows that share their name or their concept with another. */
  readonly repeated: readonly number[];
  /** By concept, the row and the value of a name whose absence is a value. */
  readonly absent: ReadonlyMap<string, { readonly index: number; readonly value: ReadingValue }>;
}

/** Readings of one entry without the entry, which would keep its text alive. */
export interface EntryReadings {
  readonly spec?: NameSpec;
  /** Where the name stood. */
  readonly at: number;
  readonly found: readonly (Omit<SourcedReading, 'reading'> & { readonly reading: Omit<Reading, 'entry'> })[];
}

/** What the readings of one project's texts can take over from one to the next. */
export interface ReadingMemory {
  /** What was read of entries that may come again, by their `core`. */
  readonly entries: WeakMap<object, EntryReadings>;
  last?: Table;
}

export const newReadingMemory = (): ReadingMemory => ({ entries: new WeakMap() });

const ENTRIES_A_STEP = 100;

export function* tableOf(
  text: SettingsText,
  merged: MergedMaps,
  concepts: ConceptTable,
  memory: ReadingMemory,
): Steps<Table> {
  const { last } = memory;
  const same = last !== undefined && last.merged === merged && last.structure === text.structure;
  const changes = same ? text.since(last.version) : undefined;
  const parts = same ? last.parts : yield* sortOut(text, merged);
  const read = (at: number): EntryReadings => {
    const entry = text.entry(parts.mapped[at] as number);
    const spec = merged.specs.get(entry.name);
    return spec && !entry.functionLike ? readAgain(entry, spec, concepts, memory) : NOTHING;
  };
  let found: EntryReadings[];
  let shape = same ? last.shape : undefined;
  if (same && changes) {
    found = last.found.slice();
    for (const index of changes.entries) {
      const at = parts.position.get(index);
      if (at === undefined) continue;
      const now = read(at);
      if (!isAlike(found[at] as EntryReadings, now)) shape = undefined;
      found[at] = now;
    }
  } else {
    found = [];
    shape = undefined;
    for (let at = 0; at < parts.mapped.length; at++) {
      found.push(read(at));
      if (at % ENTRIES_A_STEP === ENTRIES_A_STEP - 1) yield;
    }
  }
  shape ??= shapeOf(text, parts, found, merged);
  memory.last = { version: text.version, structure: text.structure, merged, parts, shape, found };
  return memory.last;
}

const NOTHING: EntryReadings = { at: 0, found: [] };

const isAlike = (one: EntryReadings, other: EntryReadings): boolean =>
  one.spec === other.spec &&
  one.found.length === other.found.length &&
  one.found.every(
    ({ reading, ofList }, index) =>
      reading.concept.id === other.found[index]?.reading.concept.id && ofList === other.found[index].ofList,
  );

function* sortOut(text: SettingsText, { meaning, oldNames }: MergedMaps): Steps<Parts> {
  const mapped: number[] = [];
  const position = new Map<number, number>();
  const unmapped: number[] = [];
  const unmappedNames: string[] = [];
  const old: number[] = [];
  for (let index = 0; index < text.size; index++) {
    if (index % ENTRIES_A_STEP === ENTRIES_A_STEP - 1) yield;
    const entry = text.entry(index);
    const { name } = entry;
    const known = meaning.get(name);
    if (oldNames.has(name)) old.push(index);
    if (known === NO_CONCEPT || (known === undefined && entry.includeGuard)) continue;
    if (known !== undefined) {
      position.set(index, mapped.length);
      mapped.push(index);
    } else {
      unmapped.push(index);
      unmappedNames.push(name);
    }
  }
  return { mapped, position, unmapped, unmappedNames, old };
}

/** The readings of an entry, taken over from an earlier text where the entry is the same. */
function readAgain(
  entry: Entry,
  spec: NameSpec,
  concepts: ConceptTable,
  { entries }: ReadingMemory,
): EntryReadings {
  const known = entry.core && entries.get(entry.core);
  if (known?.spec === spec) return known;
  const found = readEntry(entry, spec, concepts).map((one) => {
    const { entry: _, ...reading } = one.reading;
    return { ...one, reading };
  });
  const made: EntryReadings = { spec, at: entry.namePlace.start, found };
  if (entry.core) entries.set(entry.core, made);
  return made;
}

/** One of an entry's readings where the entry stands now. */
export function standingAt(entry: Entry, { at, found }: EntryReadings, nth: number): SourcedReading {
  const source = found[nth] as EntryReadings['found'][number];
  const shift = entry.namePlace.start - at;
  const { uri, start, end } = source.reading.place;
  const place: Place = shift === 0 ? source.reading.place : { uri, start: start + shift, end: end + shift };
  return { ...source, reading: { ...source.reading, entry, place } };
}

function shapeOf(
  text: SettingsText,
  { mapped }: Parts,
  found: readonly EntryReadings[],
  merged: MergedMaps,
): Shape {
  const rows: Row[] = [];
  const rowsOf = new Map<string, number[]>();
  const liveIds = new Set<string>();
  const absent = new Map<string, { index: number; value: ReadingValue }>();
  const entriesOf = new Map<string, Set<number>>();
  for (const [at, { found: own }] of found.entries()) {
    const index = mapped[at] as number;
    const entry = text.entry(index);
    for (const [nth, { reading }] of own.entries()) {
      const { id } = reading.concept;
      const others = rowsOf.get(id);
      if (others) others.push(rows.length);
      else rowsOf.set(id, [rows.length]);
      if (entry.state === 'active') liveIds.add(id);
      rows.push({ id, entry: index, at, nth });
    }
    if (own.length > 0) entriesOf.set(entry.name, (entriesOf.get(entry.name) ?? new Set()).add(index));
    const spec = merged.specs.get(entry.name);
    const first = own.findIndex(({ reading }) => reading.concept.id === spec?.concepts[0]);
    const concept = own[first]?.reading.concept;
    const value = spec && concept && absentValue(concept, spec);
    if (concept && value) absent.set(concept.id, { index: rows.length - own.length + first, value });
  }
  const isRepeated = ({ id, entry }: Row): boolean =>
    (rowsOf.get(id)?.length ?? 0) > 1 || (entriesOf.get(text.entry(entry).name)?.size ?? 0) > 1;
  return {
    rows,
    rowsOf,
    liveIds: [...liveIds],
    repeated: rows.flatMap((row, index) => (isRepeated(row) ? [index] : [])),
    absent,
  };
}
