import type { Analysis } from '../../project/analysis';
import type { Reading } from '../../settings/reading';
import type { Entry } from '../../syntax/entry';
import { type HeaderFile, headerFile } from '../headerFile';
import { holds, type Spot } from '../places';
import type { Occurrence, Thing } from './thing';

/** Parts of the machine by the prefix of their settings, the longest first. */
function partPrefixes({ machine }: Analysis): readonly { readonly prefix: string; readonly part: string }[] {
  const { axes, inputs, zones, fans, links } = machine;
  const own = [...axes, ...inputs, ...zones, ...fans, ...links].map(({ id }) => ({ prefix: id, part: id }));
  const guards = zones.map(({ guard, id }) => ({ prefix: guard.id, part: id }));
  return [...own, ...guards].sort((a, b) => b.prefix.length - a.prefix.length);
}

/** Pins, and parts of the machine, that the definitions of a settings header name. Macros are found by `macroAt`. */
export function headerThings(analysis: Analysis, uri: string): Occurrence[] {
  const file = headerFile(analysis, uri);
  if (!file) return [];
  const prefixes = partPrefixes(analysis);
  return file.readings.flatMap((reading) => [...pinOf(reading, file.text), ...partOf(reading, prefixes)]);
}

function pinOf({ value, place }: Reading, text: string): Occurrence[] {
  if (value.kind !== 'pin') return [];
  const literal = text.slice(place.start, place.end).toUpperCase() === value.pin.toUpperCase();
  return [{ thing: { kind: 'pin', name: value.pin }, place, defines: false, literal }];
}

function partOf({ concept, entry }: Reading, prefixes: ReturnType<typeof partPrefixes>): Occurrence[] {
  const found = prefixes.find(({ prefix }) => concept.id.startsWith(`${prefix}.`));
  if (!found || entry.state === 'commentedOut') return [];
  const thing: Thing = { kind: 'part', name: found.part };
  return [{ thing, place: entry.namePlace, whole: entry.place, defines: true, literal: false }];
}

/** The macro whose name stands at a spot of a settings header. */
export function macroAt(analysis: Analysis, spot: Spot): Occurrence | undefined {
  const file = headerFile(analysis, spot.uri);
  if (!file) return undefined;
  const name = wordAt(file.text, spot.offset);
  if (name === undefined || !analysis.machine.text.definedNames().has(name)) return undefined;
  return macroOccurrences(analysis, name, spot.uri).find(({ place }) => holds(place, spot));
}

function wordAt(text: string, offset: number): string | undefined {
  const before = /[A-Za-z_]\w*$/.exec(text.slice(Math.max(0, offset - 256), offset))?.[0] ?? '';
  const after = /^\w*/.exec(text.slice(offset, offset + 256))?.[0] ?? '';
  const word = before + after;
  return /^[A-Za-z_]\w*$/.test(word) ? word : undefined;
}

/**
 * Every spot that names a macro: its definitions, switched-off ones included, and whatever looks at it.
 * @param only one file, for what is asked at every move of the cursor
 */
export function macroOccurrences(analysis: Analysis, name: string, only?: string): Occurrence[] {
  const uris = only === undefined ? headersOf(analysis) : [only];
  return uris.flatMap((uri) => occurrencesIn(analysis, name, uri));
}

/** Settings headers that an analysis has looked into. */
export const headersOf = ({ machine: { text } }: Analysis): readonly string[] => [
  ...new Set([...text.files, ...(text.consulted ?? [])]),
];

function occurrencesIn(analysis: Analysis, name: string, uri: string): Occurrence[] {
  const file = headerFile(analysis, uri);
  if (!file) return [];
  const thing: Thing = { kind: 'macro', name };
  const words = new Map(analysis.machine.text.wordsOf(uri, name).map((place) => [place.start, place]));
  // A definition that is commented out is no word of the language.
  for (let at = file.text.indexOf(name); at >= 0; at = file.text.indexOf(name, at + name.length)) {
    const place = words.get(at) ?? definitionAt(file, name, at)?.namePlace;
    if (place) words.set(at, place);
  }
  return [...words.values()]
    .sort((one, other) => one.start - other.start)
    .map((place) => {
      const entry = definitionAt(file, name, place.start);
      return { thing, place, whole: entry?.place, defines: entry !== undefined, literal: true };
    });
}

const definitionAt = ({ entriesBetween }: HeaderFile, name: string, at: number): Entry | undefined =>
  entriesBetween(at, at).find((entry) => entry.name === name && entry.namePlace.start === at);
