/** Fuses under a continuous load. A. Sources: UL/CSA 248-14 fuse handbooks, ISO 8820-3 blade fuses, IEC 60127. */

/** A that a fuse carries all the time; `share` of its rating, by its kind. */
export const continuousCurrent = (rating: number, share: number): number => rating * share;

/** A that a fuse must be rated for at least. */
export const smallestRating = (load: number, share: number): number => load / share;

/** The next rating of a series that is at least as large; undefined above its end. */
export const nextRating = (least: number, series: readonly number[]): number | undefined =>
  [...series].sort((a, b) => a - b).find((rating) => rating >= least - 1e-9 * least);

/** How much larger a rating must be by a practice of this share than by one that loads a fuse fully. */
export const ratingFactor = (share: number): number => 1 / share;
