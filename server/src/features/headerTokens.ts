import type { Analysis } from '../project/analysis';
import type { Entry, EntryState } from '../syntax/entry';
import { headerFile } from './headerFile';
import type { TokenModifier, TokenType } from './tokenKinds';

/** A stretch of one line. */
export interface HeaderToken {
  readonly start: number;
  readonly end: number;
  readonly type: TokenType;
  readonly modifiers: readonly TokenModifier[];
}

/** Names that carry a concept, and definitions that do not count, in the order of the text and without overlap. */
export function headerTokens(analysis: Analysis, uri: string): readonly HeaderToken[] {
  const file = headerFile(analysis, uri);
  if (!file) return [];
  const tokens: HeaderToken[] = [];
  let reached = 0;
  for (const entry of file.entries) {
    const carries = file.readingsOf(entry).length > 0;
    for (const token of tokensOf(entry, carries, file.text)) {
      // Two definitions cannot share text; a broken one must not take its neighbour with it.
      if (token.start < reached) continue;
      tokens.push(token);
      reached = token.end;
    }
  }
  return tokens;
}

/**
 * Tokens that every one of several projects agrees on, for a file that they share: what only some of them leave out is not dimmed.
 */
export function commonTokens(lists: readonly (readonly HeaderToken[])[]): readonly HeaderToken[] {
  const [first = [], ...others] = lists;
  if (others.length === 0) return first;
  const keys = others.map((tokens) => new Set(tokens.map(keyOf)));
  return first.filter((token) => keys.every((set) => set.has(keyOf(token))));
}

const keyOf = ({ start, end, type, modifiers }: HeaderToken): string =>
  `${start}:${end}:${type}:${modifiers.join()}`;

const LOOKS: Record<EntryState, { readonly type: TokenType; readonly modifiers: readonly TokenModifier[] }> =
  {
    active: { type: 'macro', modifiers: [] },
    inactive: { type: 'comment', modifiers: ['inactive'] },
    undecided: { type: 'macro', modifiers: ['undecided'] },
    commentedOut: { type: 'comment', modifiers: ['commentedOut'] },
    overridden: { type: 'macro', modifiers: ['deprecated', 'overridden'] },
    undefined: { type: 'macro', modifiers: ['deprecated', 'overridden'] },
  };

function tokensOf(entry: Entry, carries: boolean, text: string): HeaderToken[] {
  const { type, modifiers } = LOOKS[entry.state];
  const { start, end } = entry.namePlace;
  const name: HeaderToken = {
    start,
    end,
    type,
    modifiers: ['definition', ...(carries ? (['setting'] as const) : []), ...modifiers],
  };
  if (entry.state === 'active') return carries ? lines(name, text) : [];
  const rest = { type, modifiers };
  return [
    ...lines({ ...rest, start: entry.place.start, end: start }, text),
    ...lines(name, text),
    ...lines({ ...rest, start: end, end: entry.place.end }, text),
  ];
}

/** The stretch, line by line without the blanks at both ends: many editors know no token over several lines. */
function lines(token: HeaderToken, text: string): HeaderToken[] {
  const found: HeaderToken[] = [];
  for (const match of text.slice(token.start, token.end).matchAll(/[^\r\n]+/g)) {
    const line = match[0].trimEnd();
    const lead = line.length - line.trimStart().length;
    const start = token.start + match.index + lead;
    if (line.length > lead) found.push({ ...token, start, end: start + line.length - lead });
  }
  return found;
}
