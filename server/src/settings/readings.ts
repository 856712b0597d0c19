import type { Fact } from '../model/fact';
import { point } from '../model/interval';
import type { Place, TextEdit } from '../model/place';
import type { Entry, SettingsText } from '../syntax/entry';
import { CONCEPTS, type ConceptTable } from './concepts';
import { absentValue, readEntry, type SourcedReading, sameValue } from './entryReadings';
import type { NameMap, NameSpec, Rename } from './nameMap';
import { neutralMap } from './neutralNames';
import { readPlainText } from './plainText';
import type { NewValue, Reading, ReadingValue, RenamedEntry, Settings } from './reading';
import { renamedValue } from './renamedValue';
import { spellValue } from './spell';

/**
 * What the definitions of a settings text mean. The shipped naming is always understood; of `maps` and it, the later one wins
 * name by name. Never throws: what makes no sense becomes a reading with a bad value.
 */
export function interpret(
  text: SettingsText,
  maps: readonly NameMap[] = [],
  concepts: ConceptTable = CONCEPTS,
  memory: ReadingMemory = { entries: new WeakMap() },
): Settings {
  const neutral = neutralMap(concepts);
  const merged = mergedMaps([neutral, ...maps], neutral);
  const sourced = new Map<Reading, SourcedReading>();
  const byConcept = new Map<string, SourcedReading[]>();
  const all: Reading[] = [];
  const parts = partsOf(text, merged, memory);
  const mapped = parts.mapped.map((index) => text.entry(index));
  for (const entry of mapped) {
    const spec = merged.specs.get(entry.name);
    for (const found of !spec || entry.functionLike ? [] : readAgain(entry, spec, concepts, memory.entries)) {
      all.push(found.reading);
      sourced.set(found.reading, found);
      const { id } = found.reading.concept;
      const others = byConcept.get(id);
      if (others) others.push(found);
      else byConcept.set(id, [found]);
    }
  }
  const absent = absentReadings(mapped, merged.specs, byConcept, sourced);
  const undecided = (id: string) => byConcept.get(id)?.some(({ reading }) => isUndecided(reading)) ?? false;
  const live = memo((id: string): Reading | undefined => {
    if (undecided(id)) return undefined;
    const active = byConcept.get(id)?.filter(({ reading }) => reading.entry.state === 'active') ?? [];
    const own = active.filter(({ ofList }) => !ofList);
    const readings = (own.length > 0 ? own : active).map(({ reading }) => reading);
    const last = readings.at(-1) ?? absent.get(id);
    return last && readings.every(({ value }) => sameValue(value, last.value)) ? last : undefined;
  });
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
  const liveIds = [
    ...new Set(all.flatMap(({ entry, concept }) => (entry.state === 'active' ? [concept.id] : []))),
  ];
  return {
    concepts,
    all,
    allFor: () => all,
    repeated: repeatedOf(all, byConcept),
    liveIds,
    reading: live,
    readingsOf: (id) => byConcept.get(id)?.map(({ reading }) => reading) ?? [],
    number: getter((value) => (value.kind === 'number' ? point(value.si) : undefined)),
    switch: getter((value) => (value.kind === 'switch' ? value.on : undefined)),
    pin: getter((value) => (value.kind === 'pin' ? value.pin : undefined)),
    choice: getter((value) => (value.kind === 'choice' ? value.choice : undefined)),
    text: getter((value) => (value.kind === 'text' ? value.text : undefined)),
    undecided,
    renamed: merged.renamed.length > 0 ? renamedEntries(text.entries, merged, concepts) : [],
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
  };
}

function repeatedOf(
  all: readonly Reading[],
  byConcept: ReadonlyMap<string, readonly SourcedReading[]>,
): Reading[] {
  const entries = new Map<string, Entry>();
  const names = new Set<string>();
  for (const { entry } of all) {
    const known = entries.get(entry.name);
    if (known === undefined) entries.set(entry.name, entry);
    else if (known !== entry) names.add(entry.name);
  }
  return all.filter(
    ({ entry, concept }) => names.has(entry.name) || (byConcept.get(concept.id)?.length ?? 0) > 1,
  );
}

/** What the readings of one project's texts can take over from one to the next. */
export interface ReadingMemory {
  readonly entries: EntryMemory;
  last?: { readonly structure: object; readonly merged: MergedMaps; readonly parts: Parts };
}

/** Indices of entries, and what they are. */
interface Parts {
  readonly mapped: readonly number[];
  readonly unmapped: readonly number[];
  readonly unmappedNames: readonly string[];
}

function partsOf(text: SettingsText, merged: MergedMaps, memory: ReadingMemory): Parts {
  const { last } = memory;
  const same = last !== undefined && last.merged === merged && last.structure === text.structure;
  const parts = same ? last.parts : sortOut(text, merged);
  memory.last = { structure: text.structure, merged, parts };
  return parts;
}

function sortOut(text: SettingsText, { meaning }: MergedMaps): Parts {
  const mapped: number[] = [];
  const unmapped: number[] = [];
  const unmappedNames: string[] = [];
  for (const [index, entry] of text.entries.entries()) {
    const known = meaning.get(entry.name);
    if (known === NO_CONCEPT || (known === undefined && entry.includeGuard)) continue;
    if (known !== undefined) mapped.push(index);
    else {
      unmapped.push(index);
      unmappedNames.push(entry.name);
    }
  }
  return { mapped, unmapped, unmappedNames };
}

/** What was read of entries that may come again, by their `core`. */
export type EntryMemory = WeakMap<object, EntryReadings>;

interface EntryReadings {
  readonly spec: NameSpec;
  readonly found: readonly SourcedReading[];
}

/** The readings of an entry, taken over from an earlier text where the entry is the same. */
function readAgain(
  entry: Entry,
  spec: NameSpec,
  concepts: ConceptTable,
  memory: EntryMemory,
): readonly SourcedReading[] {
  const known = entry.core && memory.get(entry.core);
  if (known?.spec === spec) return known.found.map((found) => standingAt(entry, found));
  const found = readEntry(entry, spec, concepts);
  if (entry.core) memory.set(entry.core, { spec, found });
  return found;
}

function standingAt(entry: Entry, found: SourcedReading): SourcedReading {
  const { reading } = found;
  const shift = entry.namePlace.start - reading.entry.namePlace.start;
  const { uri, start, end } = reading.place;
  const place: Place = { uri, start: start + shift, end: end + shift };
  return { ...found, reading: { ...reading, entry, place } };
}

let lastMerged: { readonly maps: readonly NameMap[]; readonly merged: MergedMaps } | undefined;

/** Maps change seldom, and merging them costs more than reading a value. */
function mergedMaps(maps: readonly NameMap[], neutral: NameMap): MergedMaps {
  const same =
    lastMerged?.maps.length === maps.length && maps.every((map, index) => map === lastMerged?.maps[index]);
  if (lastMerged && same) return lastMerged.merged;
  lastMerged = { maps, merged: mergeMaps(maps, neutral) };
  return lastMerged.merged;
}

/** Stands for names that are known to carry no concept. */
const NO_CONCEPT = 'no concept';

interface MergedMaps {
  readonly specs: ReadonlyMap<string, NameSpec>;
  /** The spec under which a concept is written: the last map's that has one. */
  readonly specOf: ReadonlyMap<string, NameSpec>;
  /** Concepts that the project's own maps name. */
  readonly own: ReadonlySet<string>;
  readonly known: ReadonlySet<string>;
  /** Every name that a map knows, with its spec if it has one. */
  readonly meaning: ReadonlyMap<string, NameSpec | typeof NO_CONCEPT>;
  readonly oldNames: ReadonlySet<string>;
  readonly renamed: readonly Rename[];
  readonly complete: boolean;
  readonly version?: string;
}

function mergeMaps(maps: readonly NameMap[], neutral: NameMap): MergedMaps {
  const own = new Set<string>();
  const specs = new Map<string, NameSpec>();
  const specOf = new Map<string, NameSpec>();
  const known = new Set<string>();
  for (const map of maps) {
    for (const name of map.known) known.add(name);
    const ownConcepts = new Set<string>();
    for (const [name, spec] of map.specs) {
      specs.set(name, spec);
      for (const id of spec.concepts) {
        // Within one map a name of its own is better to write than a place in a list, and the first name better than an alias.
        if (id === '' || (ownConcepts.has(id) && (spec.list || !specOf.get(id)?.list))) continue;
        ownConcepts.add(id);
        if (map !== neutral) own.add(id);
        specOf.set(id, spec);
      }
    }
  }
  const renamed = maps.flatMap((map) => map.renamed);
  const oldNames = new Set(renamed.map(({ from }) => from));
  const silent = [...known, ...oldNames].map((name) => [name, NO_CONCEPT] as const);
  return {
    specs,
    specOf,
    known,
    meaning: new Map<string, NameSpec | typeof NO_CONCEPT>([...silent, ...specs]),
    own,
    oldNames,
    renamed,
    complete: maps.some((map) => map.complete),
    version: maps.findLast((map) => map.version !== undefined)?.version,
  };
}

/** Where defining a name is its value: readings for names that are only there commented out, in dead branches or undefined. */
function absentReadings(
  entries: readonly Entry[],
  specs: ReadonlyMap<string, NameSpec>,
  byConcept: ReadonlyMap<string, readonly SourcedReading[]>,
  sourced: Map<Reading, SourcedReading>,
): Map<string, Reading> {
  const found = new Map<string, Reading>();
  for (const entry of entries) {
    const spec = specs.get(entry.name);
    const source = byConcept.get(spec?.concepts[0] ?? '')?.find(({ reading }) => reading.entry === entry);
    const value = spec && source && absentValue(source.reading.concept, spec);
    if (!source || !value) continue;
    const reading: Reading = { ...source.reading, value, place: entry.namePlace };
    sourced.set(reading, { ...source, reading });
    found.set(reading.concept.id, reading);
  }
  return found;
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

function memo<T>(compute: (id: string) => T): (id: string) => T {
  const cache = new Map<string, T>();
  return (id) => {
    if (cache.has(id)) return cache.get(id) as T;
    const value = compute(id);
    cache.set(id, value);
    return value;
  };
}
