import type { Place } from '../model/place';
import type { LineTable } from './lines';
import { crop, printable } from './text';

export interface Excerpt {
  readonly number: string;
  readonly source: string;
  /** Carets under the place, with the blanks before them. */
  readonly marks: string;
}

const tab = '    ';
/** A line longer than this is cut around the mark: minified or generated text must not flood the report. */
const longest = 160;

/** The line a place begins in, with carets under the part of the place that lies in that line. */
export function excerpt(place: Place, lines: LineTable, width: number): Excerpt | undefined {
  const begin = lines.at(place.uri, place.start);
  const end = lines.at(place.uri, place.end);
  const raw = lines.line(place.uri, begin.line);
  if (raw === undefined || raw.trim() === '') return undefined;

  const from = Math.min(begin.column - 1, raw.length);
  const to = end.line === begin.line ? Math.min(end.column - 1, raw.length) : raw.length;
  const before = shown(raw.slice(0, from));
  const marked = shown(raw.slice(from, Math.max(from, to)));
  const after = shown(raw.slice(Math.max(from, to)));

  const room = Math.max(20, Math.min(longest, width));
  const lead =
    before.length + Math.min(marked.length, room >> 1) > room ? crop.tail(before, room >> 1) : before;
  const source = crop.head([...lead, ...marked, ...after].join(''), room);
  const carets = Math.max(1, Math.min(marked.length, room - lead.length));
  return { number: String(begin.line), source, marks: ' '.repeat(lead.length) + '^'.repeat(carets) };
}

/** One element a column, so that a caret stands under its character. */
function shown(text: string): string[] {
  return [...printable(text.replaceAll('\t', tab))];
}
