import type { Fact, NumberFact } from '../model/fact';
import type { Place, TextEdit } from '../model/place';
import type { Entry } from '../syntax/entry';
import type { Concept } from './concept';
import type { Look } from './look';
import type { Rename } from './nameMap';

/** Why a text is no value of its concept. The message is ready to be shown. */
export interface BadValue {
  readonly kind: 'wrongType' | 'unknownChoice' | 'listLength' | 'notFinite';
  readonly message: string;
  /** Values that would be legal, nearest first, spelled as this settings file spells them. */
  readonly candidates: readonly string[];
  /** For a list that is too short: the concepts that get nothing, in the order of the list. */
  readonly missing?: readonly string[];
}

export type ReadingValue =
  | {
      readonly kind: 'number' /** SI, temperatures in °C */;
      readonly si: number /** in the concept's unit */;
      readonly inUnit: number;
    }
  | { readonly kind: 'switch'; readonly on: boolean }
  | { readonly kind: 'pin'; readonly pin: string }
  | { readonly kind: 'choice'; readonly choice: string }
  | { readonly kind: 'text'; readonly text: string }
  /** A sentinel of the name map: the setting is present and says "nothing here". */
  | { readonly kind: 'unassigned' }
  /** The value hangs on a definition that only the build decides. */
  | { readonly kind: 'undecided' }
  | { readonly kind: 'bad'; readonly problem: BadValue };

/** A concept with the value that one entry of the settings gives it. */
export interface Reading {
  readonly concept: Concept;
  readonly entry: Entry;
  readonly value: ReadingValue;
  /** The value's own text: the item of a list, or the whole value, or the name when there is no value. */
  readonly place: Place;
  readonly listIndex?: number;
  /** Unit in which this settings file writes it, when it has one. */
  readonly writtenUnit?: string;
  /** Whether this firmware needs a power of two here; absent when that is not known. */
  readonly powerOfTwo?: boolean;
}

/** What tells a reading from another, apart from where it stands. It keeps no text alive. */
export interface ReadingSign {
  readonly id: string;
  readonly core: object | undefined;
  readonly listIndex: number | undefined;
  readonly value: ReadingValue;
}

export const signOf = ({ concept, entry, listIndex, value }: Reading): ReadingSign => ({
  id: concept.id,
  core: entry.core,
  listIndex,
  value,
});

/**
 * All readings of one project. `reading(id)` and the typed getters give the single live value, and nothing when the setting is
 * absent, undecided, or set twice with different values: rules then stay silent.
 */
export interface Settings {
  readonly concepts: ReadonlyMap<string, Concept>;
  /** Every reading in every state, in the order of the files. */
  readonly all: readonly Reading[];
  /** The same for a computation that looks at no more of it than `look` says. */
  allFor(look: Look): readonly Reading[];
  /** How many readings there are, and one of them, without making all: for who keeps track of what was looked at by himself. */
  readonly size: number;
  at(index: number): Reading;
  /** The same object in two settings says that their readings are of the same concepts, in the same entries. */
  readonly shape: object;
  /** Readings of the entry with this index, in the order of its list. */
  ofEntry(index: number): readonly Reading[];
  /** Readings that share their name or their concept with another one, in the order of the files. */
  readonly repeated: readonly Reading[];
  /** Concepts that an active line speaks of, in the order of the files. */
  readonly liveIds: readonly string[];
  reading(id: string): Reading | undefined;
  /** Every reading of one concept, in every state. */
  readingsOf(id: string): readonly Reading[];
  number(id: string): NumberFact | undefined;
  switch(id: string): Fact<boolean> | undefined;
  /** Pin name in capitals; absent when unassigned. */
  pin(id: string): Fact<string> | undefined;
  choice(id: string): Fact<string> | undefined;
  text(id: string): Fact<string> | undefined;
  /** True when some entry of this concept is undecided, or a live one's value is, so that only the build knows. */
  undecided(id: string): boolean;
  /** Active entries that use a name which the firmware has given up, with the text the new name needs, when it can be converted. */
  readonly renamed: readonly RenamedEntry[];
  /** Version of the firmware that the last loaded name map describes. */
  readonly firmwareVersion?: string;
  /**
   * Names of the entries that no name map knows; include guards are left out. The same array for as long as no name comes, goes or
   * changes its place.
   */
  readonly unmappedNames: readonly string[];
  /** The entry of one of them, by its index. */
  unmapped(index: number): Entry;
  /** True when a name list for the firmware is loaded and says that it is complete. */
  readonly namesComplete: boolean;
  /** Every name that some map knows. */
  readonly knownNames: ReadonlySet<string>;
  /** The name under which the settings file in use would spell a concept; shipped naming unless a map says otherwise. */
  nameOf(conceptId: string): string | undefined;
  /**
   * Whether this firmware has such a setting, by the name maps: the project's own maps name it, or none of them does and one claims to
   * be complete. Unknown when a map leaves room for more; the shipped naming has everything.
   */
  speaksOf(conceptId: string): boolean | undefined;
  /** What the firmware does when no line sets a concept, by the name maps. */
  defaultOf(conceptId: string): ReadingValue | undefined;
  /** A value of a concept that stands elsewhere, as the settings would write it or with its unit. */
  parse(conceptId: string, text: string): ReadingValue | undefined;
  /** Edit that gives the reading another value, spelled in its file's unit, scale and tokens; none when its text comes out of a macro. */
  edit(reading: Reading, value: NewValue): TextEdit | undefined;
  /** The new value as the settings file would spell it; "defined" or "not defined" where that is how it is told. */
  spell(reading: Reading, value: NewValue): string | undefined;
  /** Name and value for a concept that no line of the settings sets yet; none when its name carries a list. */
  newLine(conceptId: string, value: NewValue): { readonly name: string; readonly value: string } | undefined;
}

export interface RenamedEntry {
  readonly entry: Entry;
  readonly rename: Rename;
  readonly value?: string;
}

/** `digits`: significant digits, 12 unless fewer are asked for. An empty pin unassigns. */
export type NewValue =
  | { readonly si: number; readonly digits?: number }
  | { readonly on: boolean }
  | { readonly pin: string }
  | { readonly choice: string }
  | { readonly text: string };
