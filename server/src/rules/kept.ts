// What rules answered, as it is kept for the next analysis.
import type { Place } from '../model/place';
import type { Key } from '../settings/look';
import type { ReadingSign } from '../settings/reading';
import type { RuleResults } from './results';

/** What one rule answered, and the settings it looked at for it. */
export interface Run {
  readonly results: RuleResults;
  readonly keys: ReadonlySet<Key>;
  /** Of a rule that judges each reading by itself. */
  readonly parts?: Parts;
  /** Of a rule with several checks, what each of them answered. */
  readonly checks?: readonly Run[];
}

export type Runs = ReadonlyMap<string, Run>;

/** Answers to the same rules on an earlier machine with the same base, board profile, machine sheet and name maps. */
export interface Earlier {
  readonly runs: Runs;
  /** Whether anything under this key is another now. */
  changed(key: Key): boolean;
  /** Whether anything under one of these is. */
  touches(keys: ReadonlySet<Key>): boolean;
  /** Whether two readings, of then and now, are the same, apart from where they stand. */
  same(before: ReadingSign, now: ReadingSign): boolean;
  /** Positions and concepts of those that differ, where there are readings of the same concepts in the same order. */
  readonly readings?: { readonly indices: readonly number[]; readonly ids: ReadonlySet<string> };
  /** Where a place stands now; nothing when it lies in text that has changed. */
  move(place: Place): Place | undefined;
}

/** The answers about one reading. */
export interface Part {
  readonly of: ReadingSign;
  readonly results: RuleResults;
  readonly keys: ReadonlySet<Key>;
}

/** The answers about each reading, in the order of the readings. */
export interface Parts {
  readonly all: readonly Part[];
  /** Positions of those that say something, in order. */
  readonly speaking: readonly number[];
  /**
   * By what they hang on, the positions; made when first asked for, and shared from then on by all that follow while readings keep
   * their places. Positions are only ever added: one too many is judged once more for nothing.
   */
  readonly hanging: { byKey?: Map<Key, Set<number>> };
}
