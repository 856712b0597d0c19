import type {
  Position,
  Range,
  SemanticTokens,
  SemanticTokensDelta,
  SemanticTokensDeltaParams,
  SemanticTokensParams,
} from 'vscode-languageserver';
import { commonTokens, headerTokens, type Look } from '../features/headerTokens';
import { tokenModifiers, tokenTypes } from '../features/tokenKinds';
import type { Analysis } from '../project/analysis';
import { headersIn } from './headers';
import { lineStartsOf, offsetIn } from './lines';
import type { KeyOf } from './uri';

/** What clients were told last, so that they can be told the difference, and whether it still holds. */
export interface Tokens {
  full(params: SemanticTokensParams, analyses: readonly Analysis[]): SemanticTokens;
  delta(
    params: SemanticTokensDeltaParams,
    analyses: readonly Analysis[],
  ): SemanticTokens | SemanticTokensDelta;
  range(uri: string, range: Range, analyses: readonly Analysis[]): SemanticTokens;
  closed(uri: string): void;
  /** Whether an open header, whose own text is as it was, would now be told something else: another file has changed. */
  outdated(analysesOf: (uri: string) => readonly Analysis[]): boolean;
}

interface Told {
  readonly uri: string;
  readonly resultId: string;
  readonly text: string;
  readonly data: readonly number[];
}

export function createTokens(keyOf: KeyOf): Tokens {
  const told = new Map<string, Told>();
  let lastId = 0;

  const tell = (uri: string, analyses: readonly Analysis[]): { resultId: string; data: number[] } => {
    const made = encoded(uri, analyses, keyOf);
    const resultId = `${++lastId}`;
    if (made) told.set(keyOf(uri), { uri, resultId, ...made });
    return { resultId, data: [...(made?.data ?? [])] };
  };

  return {
    full: ({ textDocument: { uri } }, analyses) => tell(uri, analyses),
    delta({ textDocument: { uri }, previousResultId }, analyses) {
      const before = told.get(keyOf(uri));
      const { resultId, data } = tell(uri, analyses);
      if (before?.resultId !== previousResultId) return { resultId, data };
      const edit = difference(before.data, data);
      return { resultId, edits: edit ? [edit] : [] };
    },
    range: (uri, range, analyses) => ({ data: encoded(uri, analyses, keyOf, range)?.data ?? [] }),
    closed: (uri) => void told.delete(keyOf(uri)),
    outdated(analysesOf) {
      const old = [...told].filter(([, { uri, text, data }]) => {
        const analyses = analysesOf(uri);
        // The client asks by itself about what it edits.
        if (headersIn(analyses, uri, keyOf)[0]?.file.text !== text) return false;
        const now = encoded(uri, analyses, keyOf);
        return now !== undefined && difference(data, now.data) !== undefined;
      });
      // Who does not ask again, because the document is out of sight, is not asked again either.
      for (const [key] of old) told.delete(key);
      return old.length > 0;
    },
  };
}

/** Five numbers a token, as the protocol has it: line and column as steps from the token before, length, type, modifiers. */
function encoded(
  uri: string,
  analyses: readonly Analysis[],
  keyOf: KeyOf,
  range?: Range,
): { readonly text: string; readonly data: number[] } | undefined {
  const headers = headersIn(analyses, uri, keyOf);
  const [first] = headers;
  if (!first) return undefined;
  const offset = (position: Position): number => offsetIn(first.analysis, first.uri, position) ?? 0;
  const within = range && { start: offset(range.start), end: offset(range.end) };
  const tokens = commonTokens(headers.map((header) => headerTokens(header.analysis, header.uri, within)));
  const lineStartOf = lineStartsOf(first.analysis, first.uri);
  if (!lineStartOf) return undefined;
  const data: number[] = [];
  let [line, column] = [0, 0];
  for (const { start, end, look } of tokens) {
    if (within && (end <= within.start || start >= within.end)) continue;
    const at = lineStartOf(start);
    const right = start - at.start;
    const [type, bits] = numbersOf(look);
    data.push(at.line - line, at.line === line ? right - column : right, end - start, type, bits);
    line = at.line;
    column = right;
  }
  return { text: first.file.text, data };
}

const numbers = new Map<Look, readonly [type: number, modifiers: number]>();

function numbersOf(look: Look): readonly [type: number, modifiers: number] {
  const known = numbers.get(look);
  if (known) return known;
  const bits = look.modifiers.reduce((all, modifier) => all | (1 << tokenModifiers.indexOf(modifier)), 0);
  const made = [tokenTypes.indexOf(look.type), bits] as const;
  numbers.set(look, made);
  return made;
}

/** The one stretch in which two lists differ. */
function difference(
  before: readonly number[],
  after: readonly number[],
): { start: number; deleteCount: number; data: number[] } | undefined {
  const most = Math.min(before.length, after.length);
  let start = 0;
  while (start < most && before[start] === after[start]) start++;
  if (start === before.length && start === after.length) return undefined;
  let tail = 0;
  while (tail < most - start && before[before.length - 1 - tail] === after[after.length - 1 - tail]) tail++;
  return {
    start,
    deleteCount: before.length - start - tail,
    data: after.slice(start, after.length - tail),
  };
}
