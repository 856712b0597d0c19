/** Fuses under a continuous load. A. Sources: UL/CSA 248-14 fuse handbooks, ISO 8820-3 blade fuses, IEC 60127. */

/** How a fuse is rated: by what it must open at (UL, blade) or by what it carries (IEC). */
export type FuseType = 'ul' | 'blade' | 'iec';

/** Share of the rating a long-life load may take at 25 °C. UL and blade: handbooks. IEC: 90 %, common practice, no source. */
export const CONTINUOUS_SHARE: Readonly<Record<FuseType, number>> = { ul: 0.75, blade: 0.75, iec: 0.9 };

export const continuousCurrent = (rating: number, type: FuseType = 'ul'): number =>
  rating * CONTINUOUS_SHARE[type];
export const smallestRating = (load: number, type: FuseType = 'ul'): number => load / CONTINUOUS_SHARE[type];

/** The next rating of a series that is at least as large; undefined above its end. */
export const nextRating = (least: number, series: readonly number[]): number | undefined =>
  [...series].sort((a, b) => a - b).find((rating) => rating >= least - 1e-9 * least);

/** How much larger a rating must be by the first practice than by one that loads a fuse fully. */
export const ratingFactor = (type: FuseType): number => 1 / CONTINUOUS_SHARE[type];
