import type { Place } from '../model/place';
import type { Analysis } from '../project/analysis';
import { lex } from '../syntax/c-header/lexer';
import type { BranchStretch, EntryState } from '../syntax/entry';
import { headerFile } from './headerFile';
import type { TokenModifier, TokenType } from './tokenKinds';

/** How a stretch looks: a few for all tokens. */
export interface Look {
  readonly type: TokenType;
  readonly modifiers: readonly TokenModifier[];
}

/** A stretch of one line. */
export interface HeaderToken {
  readonly start: number;
  readonly end: number;
  readonly look: Look;
}

/**
 * Names that carry a concept, and what does not count: definitions, and every other line of a branch that is not compiled or may not be. In
 * the order of the text and without overlap.
 * @param within only what touches this stretch is sure to be there
 */
export function headerTokens(
  analysis: Analysis,
  uri: string,
  within?: Pick<Place, 'start' | 'end'>,
): readonly HeaderToken[] {
  const file = headerFile(analysis, uri);
  if (!file) return [];
  const tokens: HeaderToken[] = [];
  let reached = 0;
  const add = (start: number, end: number, look: Look): void => {
    for (const token of lines(start, end, look, file.text)) {
      // Two definitions cannot share text; a broken one must not take its neighbour with it.
      if (token.start < reached) continue;
      tokens.push(token);
      reached = token.end;
    }
  };
  for (const entry of within ? file.entriesBetween(within.start, within.end) : file.entries) {
    const carries = file.isSetting(entry);
    const looks = LOOKS[entry.state];
    if (entry.state === 'active' && !carries) continue;
    const { start, end } = entry.namePlace;
    const name = carries ? looks.setting : looks.name;
    // A name that goes on in the next line is longer in the text.
    const isWhole = end - start === entry.name.length && start >= reached;
    if (entry.state === 'active' && isWhole) {
      tokens.push({ start, end, look: name });
      reached = end;
    } else if (entry.state === 'active') add(start, end, name);
    else {
      const { place } = entry;
      add(place.start, start, looks.rest);
      add(start, end, name);
      add(end, place.end, looks.rest);
    }
  }
  const all = analysis.machine.text.branches?.(uri) ?? [];
  const branches = within ? all.filter(({ start, end }) => start <= within.end && end >= within.start) : all;
  return branches.length === 0 ? tokens : withBranches(tokens, branches, file.text, within);
}

/** Fills what the definitions leave free in branches that do not count. Comments are dim by themselves. */
function withBranches(
  tokens: readonly HeaderToken[],
  branches: readonly BranchStretch[],
  text: string,
  within: Pick<Place, 'start' | 'end'> | undefined,
): HeaderToken[] {
  const filled: HeaderToken[] = [];
  let next = 0;
  const fill = (start: number, end: number, state: BranchStretch['state']): void => {
    if (start < end) filled.push(...codeOf(start, end, LOOKS[state].rest, text));
  };
  for (const { start, end, state } of leaves(branches)) {
    if (within && (start > within.end || end < within.start)) continue;
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
function codeOf(from: number, to: number, look: Look, text: string): HeaderToken[] {
  const { lines: logical } = lex(text.slice(from, to));
  const found: HeaderToken[] = [];
  for (const { start, tokens } of logical) {
    const code = tokens.filter(({ kind }) => kind !== 'comment');
    const [first, last] = [code[0], code.at(-1)];
    if (!first || !last) continue;
    const base = from + start;
    found.push(...lines(base + first.start, base + last.end, look, text));
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

const keyOf = ({ start, end, look: { type, modifiers } }: HeaderToken): string =>
  `${start}:${end}:${type}:${modifiers.join()}`;

/** Of a definition: its name, its name when a map knows it, and all else. */
interface Looks {
  readonly name: Look;
  readonly setting: Look;
  readonly rest: Look;
}

const looksOf = (type: TokenType, ...modifiers: TokenModifier[]): Looks => ({
  name: { type, modifiers: ['definition', ...modifiers] },
  setting: { type, modifiers: ['definition', 'setting', ...modifiers] },
  rest: { type, modifiers },
});

const LOOKS: Record<EntryState, Looks> = {
  active: looksOf('macro'),
  inactive: looksOf('comment', 'inactive'),
  undecided: looksOf('macro', 'undecided'),
  commentedOut: looksOf('comment', 'commentedOut'),
  overridden: looksOf('macro', 'deprecated', 'overridden'),
  undefined: looksOf('macro', 'deprecated', 'overridden'),
};

/** The stretch, line by line without the blanks at both ends: many editors know no token over several lines. */
function lines(from: number, to: number, look: Look, text: string): HeaderToken[] {
  const found: HeaderToken[] = [];
  for (const match of text.slice(from, to).matchAll(/[^\r\n]+/g)) {
    const line = match[0].trimEnd();
    const lead = line.length - line.trimStart().length;
    const start = from + match.index + lead;
    if (line.length > lead) found.push({ start, end: start + line.length - lead, look });
  }
  return found;
}
