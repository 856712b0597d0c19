import { lastAtOrBefore, lineStarts } from '../model/lines';
import type { Place } from '../model/place';
import type { Analysis } from '../project';

export interface LineColumn {
  /** From 1. */
  readonly line: number;
  /** From 1, in UTF-16 units, a tab counting as one: what editors call the column. */
  readonly column: number;
}

/** The texts of an analysis, and of what it was compared with. */
export const textsOf = ({ texts, base }: Pick<Analysis, 'texts' | 'base'>): ReadonlyMap<string, string> =>
  base ? new Map([...base.texts, ...texts]) : texts;

/** Looks up lines in the texts of one analysis; each text is scanned once. */
export class LineTable {
  private readonly starts = new Map<string, readonly number[]>();

  constructor(private readonly texts: ReadonlyMap<string, string>) {}

  /** A place beyond the text, or in a file without text, is taken to the nearest place there is. */
  at(uri: string, offset: number): LineColumn {
    const text = this.texts.get(uri) ?? '';
    const starts = this.startsOf(uri, text);
    const inside = Math.min(Math.max(offset, 0), text.length);
    const line = lastAtOrBefore(starts, inside);
    return { line: line + 1, column: inside - starts[line]! + 1 };
  }

  /** The text of a line without its end; undefined when there is no such line. */
  line(uri: string, line: number): string | undefined {
    const text = this.texts.get(uri);
    if (text === undefined) return undefined;
    const starts = this.startsOf(uri, text);
    const start = starts[line - 1];
    if (start === undefined) return undefined;
    return text.slice(start, starts[line] ?? text.length).replace(/[\r\n]+$/, '');
  }

  textAt(place: Place): string {
    return (this.texts.get(place.uri) ?? '').slice(place.start, place.end);
  }

  private startsOf(uri: string, text: string): readonly number[] {
    const known = this.starts.get(uri);
    if (known) return known;
    const starts = lineStarts(text);
    this.starts.set(uri, starts);
    return starts;
  }
}
