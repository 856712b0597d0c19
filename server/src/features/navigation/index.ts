import boardSchema from '../../../../schemas/board.schema.json';
import machineSchema from '../../../../schemas/machine.schema.json';
import { keptWith } from '../../model/kept';
import type { Place } from '../../model/place';
import type { Analysis } from '../../project/analysis';
import type { Schema } from '../../syntax/json';
import { holds, type Spot, samePlace } from '../places';
import { headersOf, headerThings, macroAt, macroOccurrences } from './headerThings';
import { jsonThings } from './jsonThings';
import { keyOf, type Occurrence, type Thing } from './thing';

interface Index {
  /** Of pins, connectors and all that board profile, machine sheet and settings share; macros are found in the texts. */
  readonly all: readonly Occurrence[];
  readonly byThing: ReadonlyMap<string, readonly Occurrence[]>;
}

const indexes = keptWith<Analysis, Index>('occurrences');

function indexOf(analysis: Analysis): Index {
  const known = indexes.get(analysis);
  if (known) return known;
  const all = [...fromJson(analysis), ...fromHeaders(analysis)];
  const byThing = new Map<string, Occurrence[]>();
  for (const occurrence of all) {
    const key = keyOf(occurrence.thing);
    const others = byThing.get(key);
    if (others) others.push(occurrence);
    else byThing.set(key, [occurrence]);
  }
  const index = { all, byThing };
  indexes.set(analysis, index);
  return index;
}

/** What board profile and sheet name, for as long as their texts and the board are the same. */
const inFiles = new WeakMap<
  object,
  Map<string, { readonly text: string; readonly things: readonly Occurrence[] }>
>();
const NO_BOARD = {};

function fromJson({ files, texts, machine }: Analysis): Occurrence[] {
  const capitals = (names: Iterable<string> = []) => new Set([...names].map((name) => name.toUpperCase()));
  const known = {
    connectors: capitals(machine.board?.connectors.keys()),
    outputs: capitals(machine.board?.outputs.keys()),
  };
  const kept = machine.board ?? NO_BOARD;
  const read = (uri: string | undefined, schema: unknown, onSheet: boolean): readonly Occurrence[] => {
    const text = uri === undefined ? undefined : texts.get(uri);
    if (uri === undefined || text === undefined) return [];
    const before = inFiles.get(kept)?.get(uri);
    if (before?.text === text) return before.things;
    const things = jsonThings(uri, text, schema as Schema, onSheet, known);
    inFiles.set(kept, (inFiles.get(kept) ?? new Map()).set(uri, { text, things }));
    return things;
  };
  return [...read(files.board, boardSchema, false), ...read(files.machine, machineSchema, true)];
}

const fromHeaders = (analysis: Analysis): Occurrence[] =>
  headersOf(analysis).flatMap((uri) => headerThings(analysis, uri));

/** Every occurrence of one thing, in the order of the files. */
export const occurrencesOf = (analysis: Analysis, thing: Thing): readonly Occurrence[] =>
  thing.kind === 'macro'
    ? macroOccurrences(analysis, thing.name)
    : (indexOf(analysis).byThing.get(keyOf(thing)) ?? []);

/** All things that board, sheet and settings name, macros apart. */
export const allOccurrences = (analysis: Analysis): readonly Occurrence[] => indexOf(analysis).all;

/** What stands at a spot: what the text itself names first, then what it means. */
export function occurrencesAt(analysis: Analysis, spot: Spot): readonly Occurrence[] {
  const macro = macroAt(analysis, spot);
  const others = indexOf(analysis).all.filter(({ place }) => holds(place, spot));
  return macro ? [macro, ...others] : others;
}

/**
 * Where the thing at a spot is described: a macro at its definition, a pin or a connector in the board profile, a part of the machine in
 * the settings and, from there, the device on the machine sheet.
 */
export function definitionsAt(analysis: Analysis, spot: Spot): readonly Occurrence[] {
  const here = occurrencesAt(analysis, spot);
  const [first] = here;
  if (!first) return [];
  const described = here.flatMap((occurrence) => describedBy(analysis, occurrence));
  const elsewhere = described.filter(({ place }) => !holds(place, spot));
  return unique(elsewhere.length > 0 ? elsewhere : described.length > 0 ? described : [first]);
}

function describedBy(analysis: Analysis, { thing, defines }: Occurrence): readonly Occurrence[] {
  const all = occurrencesOf(analysis, thing);
  // From a setting to the device, and back.
  if (thing.kind === 'part') return all.filter((other) => other.defines !== defines);
  const described = all.filter((other) => other.defines);
  // A pin that the profile does not list by itself is described by the parts that it leads to.
  if (thing.kind === 'pin' && described.length === 0)
    return all.filter(({ place }) => place.uri === analysis.files.board);
  return described;
}

/** Every spot that names what stands here; a macro's own name for the part of the machine it belongs to does not count. */
export function referencesAt(analysis: Analysis, spot: Spot): readonly Occurrence[] {
  const here = occurrencesAt(analysis, spot);
  const named = here.filter(({ literal }) => literal);
  return unique((named.length > 0 ? named : here).flatMap(({ thing }) => occurrencesOf(analysis, thing)));
}

/** The same in one file only. */
export const highlightsAt = (analysis: Analysis, spot: Spot): readonly Occurrence[] =>
  referencesAt(analysis, spot).filter(({ place }) => place.uri === spot.uri);

function unique(occurrences: readonly Occurrence[]): Occurrence[] {
  const seen: Place[] = [];
  return occurrences.filter(({ place }) => {
    if (seen.some((other) => samePlace(other, place))) return false;
    seen.push(place);
    return true;
  });
}
