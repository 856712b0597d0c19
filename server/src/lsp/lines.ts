import type { Position, Range } from 'vscode-languageserver';
import { TextDocument } from 'vscode-languageserver-textdocument';
import type { Place } from '../model/place';
import type { Analysis } from '../project/analysis';

const documents = new WeakMap<Analysis, Map<string, TextDocument>>();

/** The text that an analysis was computed from, with its lines. Positions in it are UTF-16, as the protocol's default has it. */
export function textOf(analysis: Analysis, uri: string): TextDocument | undefined {
  const text = analysis.texts.get(uri);
  if (text === undefined) return undefined;
  let known = documents.get(analysis);
  if (!known) {
    known = new Map();
    documents.set(analysis, known);
  }
  let document = known.get(uri);
  if (!document) {
    document = TextDocument.create(uri, '', 0, text);
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
