import type { Place } from '../model/place';
import type { Entry, SettingValue } from '../syntax/entry';
import type { Concept } from './concept';
import type { ConceptTable } from './concepts';
import { type NameSpec, opposite } from './nameMap';
import type { Reading, ReadingValue } from './reading';
import { readValue, type Written } from './values';
import { isWord } from './words';

/** A reading with what is needed to write it anew. */
export interface SourcedReading {
  readonly reading: Reading;
  readonly spec: NameSpec;
  /** The text at `reading.place`. */
  readonly text: string;
  /** False when the text stands for more than this reading, or comes out of a macro. */
  readonly editable: boolean;
  /** True for a fault of the whole list, which takes no value away from the concept it is reported at. */
  readonly ofList?: boolean;
}

/** The readings of one entry: one, or one for each item of a list. */
export function readEntry(entry: Entry, spec: NameSpec, concepts: ConceptTable): SourcedReading[] {
  if (spec.list) return readList(entry, spec, concepts);
  const concept = concepts.get(spec.concepts[0] ?? '');
  if (!concept) return [];
  const written: Written = { value: entry.value, text: entry.rawText, words: wordsOf(entry) };
  const value = readDefined(concept, spec, written);
  const place = entry.valuePlace ?? entry.namePlace;
  return [
    {
      reading: { concept, entry, value, place, ...mannerOf(concept, spec) },
      spec,
      text: entry.valuePlace ? entry.rawText : '',
      editable: isOwnText(entry, concept, spec, entry.rawText, value),
    },
  ];
}

/** What the name map says of the way this firmware takes the value. */
const mannerOf = (concept: Concept, spec: NameSpec): Pick<Reading, 'writtenUnit' | 'powerOfTwo'> => ({
  writtenUnit: spec.unit ?? concept.unit,
  powerOfTwo: spec.powerOfTwo,
});

/** The word in the text and those it leads to, in the order of expansion. */
function wordsOf(entry: Entry): string[] {
  if (entry.rawWord === undefined) return [];
  return [
    entry.rawWord,
    ...entry.usedDefinitions.map(({ name }) => name).filter((name) => name !== entry.rawWord),
  ];
}

function readDefined(concept: Concept, spec: NameSpec, written: Written): ReadingValue {
  if (spec.definedMeans === undefined) return readValue(concept, spec, written);
  if (spec.tokens && written.value.kind !== 'empty') {
    const read = readValue(concept, spec, written);
    if (read.kind !== 'bad') return read;
  }
  return definedValue(concept, spec.definedMeans);
}

const definedValue = (concept: Concept, meant: string): ReadingValue =>
  concept.type === 'switch' ? { kind: 'switch', on: meant === 'on' } : { kind: 'choice', choice: meant };

/** What the absence of a name says whose presence is the value. */
export function absentValue(concept: Concept, spec: NameSpec): ReadingValue | undefined {
  const value = spec.definedMeans === undefined ? undefined : opposite(concept, spec.definedMeans);
  return value === undefined ? undefined : definedValue(concept, value);
}

function readList(entry: Entry, spec: NameSpec, concepts: ConceptTable): SourcedReading[] {
  const given = itemsOf(entry);
  if (!given) return listFault(entry, spec, concepts, 0, notAList(entry, spec));
  const readings = spec.concepts.flatMap((id, index) => {
    const concept = concepts.get(id);
    const last = given.length - 1;
    const at = index > last && spec.short === 'repeatLast' ? last : index;
    const item = given[at];
    if (!concept || !item) return [];
    return [readItem(entry, concept, spec, item, index, repeats(spec, given.length, at))];
  });
  const faulty = given.length > spec.concepts.length || (given.length < spec.concepts.length && !spec.short);
  if (!faulty && given.length > 0) return readings;
  const fault = listFault(entry, spec, concepts, given.length, lengthMessage(spec, concepts, given.length));
  return [...readings, ...fault];
}

/** The last item of a short list stands for all further ones. */
const repeats = (spec: NameSpec, given: number, at: number): boolean =>
  spec.short === 'repeatLast' && at === given - 1 && spec.concepts.length > given;

interface Item {
  readonly value: SettingValue;
  readonly place?: Place;
}

function itemsOf(entry: Entry): readonly Item[] | undefined {
  const { value } = entry;
  if (value.kind === 'list') return value.items;
  if (value.kind === 'number' || value.kind === 'word' || value.kind === 'text') {
    return [{ value, place: entry.valuePlace }];
  }
  return undefined;
}

function readItem(
  entry: Entry,
  concept: Concept,
  spec: NameSpec,
  item: Item,
  listIndex: number,
  shared: boolean,
): SourcedReading {
  const text = textAt(entry, item.place);
  const words = text !== undefined && isWord(text) ? [text] : [];
  const written: Written = { value: item.value, text: text ?? plainText(item.value), words };
  const value = readValue(concept, spec, written);
  const place = item.place ?? entry.valuePlace ?? entry.namePlace;
  return {
    reading: { concept, entry, value, place, listIndex, ...mannerOf(concept, spec) },
    spec,
    text: text ?? '',
    editable: !shared && text !== undefined && isOwnText(entry, concept, spec, text, value),
  };
}

/** Text of a place inside the value; nothing when it lies elsewhere. */
function textAt(entry: Entry, place: Place | undefined): string | undefined {
  const whole = entry.valuePlace;
  if (!place || !whole || place.uri !== whole.uri || place.start < whole.start || place.end > whole.end)
    return undefined;
  return entry.rawText.slice(place.start - whole.start, place.end - whole.start);
}

function plainText(value: SettingValue): string {
  if (value.kind === 'number') return String(value.value);
  if (value.kind === 'word') return value.word;
  return value.kind === 'text' || value.kind === 'other' ? value.text : '';
}

/** True when the value stands in this text itself, not behind another definition. */
function isOwnText(
  entry: Entry,
  concept: Concept,
  spec: NameSpec,
  text: string,
  value: ReadingValue,
): boolean {
  const used = new Set(entry.usedDefinitions.map(({ name }) => name));
  const borrowed = (text.match(/[\p{L}_$][\p{L}\p{N}_$]*/gu) ?? []).some((word) => used.has(word));
  if (!borrowed) return true;
  if (!isWord(text)) return false;
  const alone = readValue(concept, spec, { value: { kind: 'word', word: text }, text, words: [text] });
  return concept.type !== 'text' && alone.kind !== 'bad' && sameValue(alone, value);
}

export function sameValue(a: ReadingValue, b: ReadingValue): boolean {
  if (a === b) return true;
  if (a.kind === 'number' && b.kind === 'number') {
    return a.si === b.si || Math.abs(a.si - b.si) <= 1e-9 * Math.max(Math.abs(a.si), Math.abs(b.si));
  }
  return JSON.stringify(a) === JSON.stringify(b);
}

function lengthMessage(spec: NameSpec, concepts: ConceptTable, given: number): string {
  const expected = spec.concepts.length;
  const titles = spec.concepts.map((id) => concepts.get(id)?.title);
  const count = `This list has ${given} ${given === 1 ? 'value' : 'values'}, ${expected} ${expected === 1 ? 'is' : 'are'} expected`;
  if (given > expected) return `${count}; nothing reads the rest.`;
  const without = titles.slice(given).filter((title) => title !== undefined);
  return `${count}. Nothing is left for: ${without.join(', ')}.`;
}

const notAList = (entry: Entry, spec: NameSpec): string =>
  entry.value.kind === 'empty'
    ? `There is no value; a list of ${spec.concepts.length} is expected.`
    : `'${entry.rawText}' is no list; ${spec.concepts.length} values are expected.`;

/** One fault for the whole list, at the first concept that gets nothing, else at the last one. */
function listFault(
  entry: Entry,
  spec: NameSpec,
  concepts: ConceptTable,
  given: number,
  message: string,
): SourcedReading[] {
  const ids = [...spec.concepts.slice(given), ...spec.concepts.toReversed()];
  const concept = ids.map((id) => concepts.get(id)).find((found) => found !== undefined);
  if (!concept) return [];
  const missing = spec.concepts.slice(given).filter((id) => concepts.has(id));
  const value: ReadingValue = {
    kind: 'bad',
    problem: { kind: 'listLength', message, candidates: [], missing },
  };
  const place = entry.valuePlace ?? entry.namePlace;
  const reading: Reading = { concept, entry, value, place, ...mannerOf(concept, spec) };
  return [{ reading, spec, text: entry.rawText, editable: false, ofList: true }];
}
