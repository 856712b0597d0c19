/**
 * A plot as data: what is drawn and what it says, in the units of its axes. Drawing (`draw.ts`) knows nothing of machines, and what
 * computes a plot knows nothing of pixels.
 */
export interface Plot {
  readonly title: string;
  readonly x: PlotAxis;
  readonly y: PlotAxis;
  /** From the lowest layer up. */
  readonly marks: readonly Mark[];
  /** All that the plot tells, in words, each in one line: for hovers without pictures, and for those who cannot see them. */
  readonly facts: readonly string[];
}

export interface PlotAxis {
  /** With its unit: "temperature, °C". */
  readonly label: string;
  readonly from: number;
  readonly to: number;
  readonly scale?: 'linear' | 'log';
  /** Marks of its own instead of round numbers, for rates and states. */
  readonly ticks?: readonly { readonly at: number; readonly text: string }[];
}

/** What a mark stands for; colours follow from it. No mark is told apart by its colour alone. */
export type Ink = 'set' | 'real' | 'need' | 'limit' | 'quiet';

export type Mark = Curve | Band | Dot | Line | Zone | Bar | Gap;

interface Named {
  /** In the legend; marks without a name are explained by another one. */
  readonly name?: string;
  readonly ink: Ink;
}

export type Point = readonly [x: number, y: number];

export interface Curve extends Named {
  readonly kind: 'curve';
  readonly points: readonly Point[];
  readonly dashed?: boolean;
}

/** Between a lower and an upper curve. */
export interface Band extends Named {
  readonly kind: 'band';
  readonly points: readonly (readonly [x: number, lo: number, hi: number])[];
}

export interface Dot extends Named {
  readonly kind: 'dot';
  readonly at: Point;
  readonly shape: 'circle' | 'diamond';
  readonly label?: string;
  /** Where its label keeps clear of the curve; right of it and above when not said. */
  readonly side?: 'left' | 'below' | 'belowLeft';
}

/** Straight through the whole plot at one value of one axis. */
export interface Line extends Named {
  readonly kind: 'line';
  readonly axis: 'x' | 'y';
  readonly at: number;
  readonly dashed?: boolean;
}

/** A part of the plane; to the plot's edge where it has no end of its own. */
export interface Zone extends Named {
  readonly kind: 'zone';
  readonly x?: readonly [from: number, to: number];
  readonly y?: readonly [from: number, to: number];
  readonly hatched?: boolean;
}

/** From one value to another over one place of the x axis. */
export interface Bar extends Named {
  readonly kind: 'bar';
  readonly at: number;
  readonly from: number;
  readonly to: number;
  /** Share of the place that it fills. */
  readonly width?: number;
  readonly hatched?: boolean;
  readonly label?: string;
  /** The label goes under it, not beyond its end. */
  readonly labelBelow?: boolean;
}

/** The distance between two points, with an arrow at its end. */
export interface Gap extends Named {
  readonly kind: 'gap';
  readonly from: Point;
  readonly to: Point;
}

/** Whether its axes span anything. What lies at no finite place is left out by the drawing. */
export const isDrawable = ({ x, y }: Plot): boolean =>
  [x, y].every(
    ({ from, to, scale }) =>
      Number.isFinite(from) && Number.isFinite(to) && from < to && (scale !== 'log' || from > 0),
  );

/** Values from `from` to `to`, both included. */
export const steps = (from: number, to: number, count = 48): number[] =>
  Array.from({ length: count + 1 }, (_, index) => from + ((to - from) * index) / count);
