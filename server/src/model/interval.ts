/**
 * A physical value as far as it is known: its nominal value and the corners it may lie between.
 * Always `lo ≤ nom ≤ hi`; a point has all three equal. SI units, temperatures in °C.
 */
export interface Interval {
  readonly lo: number;
  readonly nom: number;
  readonly hi: number;
}

export const point = (value: number): Interval => ({ lo: value, nom: value, hi: value });

export const interval = (lo: number, hi: number, nom = (lo + hi) / 2): Interval => ({ lo, nom, hi });

export const isPoint = (value: Interval): boolean => value.lo === value.hi;

/** `±fraction` of the nominal value, for instance 0.05 for a 5 % part. */
export const within = (nom: number, fraction: number): Interval => {
  const spread = Math.abs(nom * fraction);
  return { lo: nom - spread, nom, hi: nom + spread };
};

export const scale = (value: Interval, factor: number): Interval =>
  factor >= 0
    ? { lo: value.lo * factor, nom: value.nom * factor, hi: value.hi * factor }
    : { lo: value.hi * factor, nom: value.nom * factor, hi: value.lo * factor };

/** Both ends, or the single value of a point. */
export const ends = (value: Interval): readonly number[] =>
  isPoint(value) ? [value.lo] : [value.lo, value.hi];

/** Every combination of the ends of `values`; for laws that are monotone in each argument these bound the result. */
export function corners(values: readonly Interval[]): number[][] {
  return values.reduce<number[][]>(
    (rows, value) => rows.flatMap((row) => ends(value).map((end) => [...row, end])),
    [[]],
  );
}

/** The interval that a law spans over the corners of its arguments, with its nominal value. */
export function over(values: readonly Interval[], law: (...args: number[]) => number): Interval {
  const nom = law(...values.map((value) => value.nom));
  const results = corners(values).map((row) => law(...row));
  return { lo: Math.min(nom, ...results), nom, hi: Math.max(nom, ...results) };
}
