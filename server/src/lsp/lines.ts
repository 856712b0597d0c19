import type { Position, Range } from 'vscode-languageserver';
import { keptWith } from '../model/kept';
import { lastAtOrBefore, lineStarts, lineStartsAfter } from '../model/lines';
import type { Place } from '../model/place';
import type { Analysis } from '../project/analysis';

/** A text with its lines. Positions in it are UTF-16, as the protocol's default has it. */
interface Lines {
  /** Number of the line, from 0, that holds an offset. */
  lineAt(offset: number): number;
  startOf(line: number): number;
  positionAt(offset: number): Position;
  offsetAt(position: Position): number;
}

const documents = keptWith<Analysis, Map<string, Lines>>('lines');

/** The last lines of each file, from which those of its next text follow. */
const last = new Map<string, { readonly text: string; readonly starts: readonly number[] }>();
const MOST_KNOWN = 50;

function startsOf(uri: string, text: string): readonly number[] {
  const before = last.get(uri);
  const starts = before ? lineStartsAfter(before.text, before.starts, text) : lineStarts(text);
  // Not taken out and put in again: a table that V8 makes anew for it leads from each to the next, so that old ones keep the new alive.
  last.set(uri, { text, starts });
  for (const first of last.keys()) {
    if (last.size <= MOST_KNOWN) break;
    if (first !== uri) last.delete(first);
  }
  return starts;
}

/** Lines that are tried one after the other before all are searched. */
const MOST_STEPS = 8;

function linesOf(uri: string, text: string): Lines {
  const starts = startsOf(uri, text);
  /** Offset of the first line end behind the start of a line. */
  const contentEnd = (line: number): number => {
    let end = starts[line + 1] ?? text.length;
    const start = starts[line] ?? 0;
    while (end > start && (text.charCodeAt(end - 1) === 10 || text.charCodeAt(end - 1) === 13)) end--;
    return end;
  };
  /** The line asked for last: the next is often the same, or one of the next few. */
  let near = 0;
  const lineAt = (offset: number): number => {
    for (let line = near; line < near + MOST_STEPS; line++) {
      const start = starts[line];
      if (start === undefined || start > offset) break;
      if (offset < (starts[line + 1] ?? Number.POSITIVE_INFINITY)) {
        near = line;
        return line;
      }
    }
    near = lastAtOrBefore(starts, offset);
    return near;
  };
  return {
    lineAt,
    startOf: (line) => starts[line] ?? text.length,
    positionAt(offset) {
      const within = Math.max(0, Math.min(offset, text.length));
      const line = lineAt(within);
      return { line, character: Math.min(within, contentEnd(line)) - (starts[line] ?? 0) };
    },
    offsetAt({ line, character }) {
      if (line >= starts.length) return text.length;
      if (line < 0) return 0;
      const start = starts[line] ?? 0;
      return Math.max(start, Math.min(start + character, contentEnd(line)));
    },
  };
}

/** The lines of a text that an analysis was computed from. */
function textOf(analysis: Analysis, uri: string): Lines | undefined {
  // Causes may lie in the state that was compared with.
  const text = analysis.texts.get(uri) ?? analysis.base?.texts.get(uri);
  if (text === undefined) return undefined;
  let known = documents.get(analysis);
  if (!known) {
    known = new Map();
    documents.set(analysis, known);
  }
  let document = known.get(uri);
  if (!document) {
    document = linesOf(uri, text);
    known.set(uri, document);
  }
  return document;
}

/** The place as lines and columns; undefined when the file is none that the analysis has read. */
export function rangeOf(analysis: Analysis, place: Place): Range | undefined {
  const document = textOf(analysis, place.uri);
  return document && { start: document.positionAt(place.start), end: document.positionAt(place.end) };
}

/** UTF-16 offset of a position; undefined when the file is none that the analysis has read. */
export const offsetIn = (analysis: Analysis, uri: string, position: Position): number | undefined =>
  textOf(analysis, uri)?.offsetAt(position);

/** For offsets of one file: the line, from 0, that holds it, and where that starts; undefined when the analysis has not read the file. */
export function lineStartsOf(
  analysis: Analysis,
  uri: string,
): ((offset: number) => { readonly line: number; readonly start: number }) | undefined {
  const lines = textOf(analysis, uri);
  return (
    lines &&
    ((offset) => {
      const line = lines.lineAt(offset);
      return { line, start: lines.startOf(line) };
    })
  );
}

/** Number of the line, from 0, that holds an offset; undefined when the file is none that the analysis has read. */
export const lineOf = (analysis: Analysis, uri: string, offset: number): number | undefined =>
  textOf(analysis, uri)?.lineAt(offset);
