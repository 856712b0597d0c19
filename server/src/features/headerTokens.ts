import type { Analysis } from '../project/analysis';
import { lex } from '../syntax/c-header/lexer';
import type { BranchStretch, Entry, EntryState } from '../syntax/entry';
import { headerFile } from './headerFile';
import type { TokenModifier, TokenType } from './tokenKinds';

/** A stretch of one line. */
export interface HeaderToken {
  readonly start: number;
  readonly end: number;
  readonly type: TokenType;
  readonly modifiers: readonly TokenModifier[];
}

/**
 * Names that carry a concept, and what does not count: definitions, and every other line of a branch that is not compiled or may not be. In
 * the order of the text and without overlap.
 */
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
  const branches = analysis.machine.text.branches?.(uri) ?? [];
  return branches.length === 0 ? tokens : withBranches(tokens, branches, file.text);
}

/** Fills what the definitions leave free in branches that do not count. Comments are dim by themselves. */
function withBranches(
  tokens: readonly HeaderToken[],
  branches: readonly BranchStretch[],
  text: string,
): HeaderToken[] {
  const filled: HeaderToken[] = [];
  let next = 0;
  const fill = (start: number, end: number, state: BranchStretch['state']): void => {
    if (start < end) filled.push(...codeOf({ start, end, ...LOOKS[state] }, text));
  };
  for (const { start, end, state } of leaves(branches)) {
    while ((tokens[next]?.end ?? Number.POSITIVE_INFINITY) <= start) next++;
    let at = start;
    for (let index = next; (tokens[index]?.start ?? Number.POSITIVE_INFINITY) < end; index++) {
      const token = tokens[index] as HeaderToken;
      fill(at, token.start, state);
      at = Math.max(at, token.end);
    }
    fill(at, end, state);
  }
  return [...tokens, ...filled].sort((one, other) => one.start - other.start);
}

/** Stretches without overlap, in the order of the text: what lies within another is taken out of it. */
function leaves(branches: readonly BranchStretch[]): BranchStretch[] {
  const found: BranchStretch[] = [];
  const open: BranchStretch[] = [];
  let at = 0;
  const upTo = (offset: number): void => {
    const around = open.at(-1);
    if (around && at < offset) found.push({ start: at, end: offset, state: around.state });
    at = Math.max(at, offset);
  };
  const closeUpTo = (offset: number): void => {
    for (let last = open.at(-1); last && last.end <= offset; last = open.at(-1)) {
      upTo(last.end);
      open.pop();
    }
  };
  for (const branch of [...branches].sort((one, other) => one.start - other.start || other.end - one.end)) {
    closeUpTo(branch.start);
    upTo(branch.start);
    at = branch.start;
    open.push(branch);
  }
  closeUpTo(Number.POSITIVE_INFINITY);
  return found;
}

/** Line by line, without what is a comment: from its mark on it is dim by itself. */
function codeOf(token: HeaderToken, text: string): HeaderToken[] {
  const own = text.slice(token.start, token.end);
  const { lines: logical } = lex(own);
  const found: HeaderToken[] = [];
  for (const { start, tokens } of logical) {
    const code = tokens.filter(({ kind }) => kind !== 'comment');
    const [first, last] = [code[0], code.at(-1)];
    if (!first || !last) continue;
    const base = token.start + start;
    found.push(...lines({ ...token, start: base + first.start, end: base + last.end }, text));
  }
  return found;
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
