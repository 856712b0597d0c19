import type { Mark } from './plot';

/** Rough width of a character of the legend, px; fonts differ, so it is taken wide. */
const CHARACTER = 6.2;
export const SWATCH = 20;
const BETWEEN = 14;
export const ROW = 15;

export interface LegendEntry {
  readonly mark: Mark;
  readonly name: string;
  readonly x: number;
  readonly row: number;
}

/** Named marks in rows of a width in px. */
export function layLegend(marks: readonly Mark[], width: number): { entries: LegendEntry[]; rows: number } {
  let [x, row] = [0, 0];
  const entries = marks.flatMap((mark): LegendEntry[] => {
    const { name } = mark;
    if (!name) return [];
    const wide = SWATCH + 5 + name.length * CHARACTER;
    if (x > 0 && x + wide > width) [x, row] = [0, row + 1];
    const entry = { mark, name, x, row };
    x += wide + BETWEEN;
    return [entry];
  });
  return { entries, rows: entries.length === 0 ? 0 : row + 1 };
}
