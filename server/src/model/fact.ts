import type { Interval } from './interval';
import type { Place } from './place';

/** How good a fact is. `stated` is a fact written down without saying how it is known. */
export type Quality = 'measured' | 'datasheet' | 'stated' | 'estimated' | 'assumed';

/**
 * A value together with where it came from. Rules see facts only, so that every finding can point at all its causes.
 * Numbers are intervals in SI units, temperatures in °C.
 */
export interface Fact<T> {
  readonly value: T;
  /** Where it is written; absent for data that ships with Fettle and for defaults. */
  readonly place?: Place;
  readonly quality: Quality;
  /** What it is, in words that fit into "…: 4.7 kΩ", for instance "pull-up fitted at J3 (board profile)". */
  readonly label: string;
  /** Publication that a shipped value was taken from. */
  readonly source?: string;
  /** The value as the author wrote it, for instance "4.7 kΩ ±5 %". */
  readonly text?: string;
}

export type NumberFact = Fact<Interval>;

/** A fact that follows from another one keeps its place, quality and label. */
export const derive = <T, U>(fact: Fact<T>, value: U, label = fact.label): Fact<U> => ({
  value,
  place: fact.place,
  quality: fact.quality,
  label,
  source: fact.source,
});
