import { commonEnds } from '../../model/diff';
import { keptWith } from '../../model/kept';
import { lastAtOrBefore, lineStarts } from '../../model/lines';
import { finishSteps, type Steps } from '../../model/steps';
import { findBinary } from './binary';
import { findGuard } from './guard';
import { isOpenComment, type LexerOptions, lex } from './lexer';
import { type LineJoins, lineJoins } from './lineJoins';
import { type ParsedLine, parseLine } from './lines';
import { countNames, type NameCount, type Names, nameCounter } from './nameCount';
import type { Token } from './token';

/** A name where a condition, an include or a value looks at it, with absolute offsets. */
export interface Use {
  readonly name: string;
  readonly start: number;
  readonly end: number;
}

/** How a text came out of an earlier one: lines `first` to `first + added` stand for `removed` lines of the text `base`. */
export interface TextEdit {
  readonly base: number;
  readonly first: number;
  readonly removed: number;
  readonly added: number;
}

/** A settings header as lines. Nothing in it depends on other files or on conditions. */
export interface ParsedText {
  /** Tells one parsed text from another. */
  readonly serial: number;
  readonly text: string;
  readonly lines: readonly ParsedLine[];
  /** Offset of each line in the text. */
  readonly starts: Int32Array;
  readonly edit?: TextEdit;
  /** Offset of the first sign that this is no text. */
  readonly notText?: number;
  /** Index of the first line with a comment that never ends. */
  readonly openComment?: number;
  /** Line joins that may not be meant, by index of their line. */
  readonly joins: ReadonlyMap<number, LineJoins>;
  /** Every name that is defined somewhere in it, switched off or not. */
  defined(): Names;
  /** Name of its include guard. */
  guard(): string | undefined;
  /** Names of `#include` lines that need no expansion, in any branch. */
  includes(): readonly Token[];
  /** Names that conditions, includes and values look at. */
  uses(only?: string): readonly Use[];
  /** The same for lines that are no directives. */
  mentions(only?: string): readonly Use[];
  /** The names of `uses`, of `mentions`. */
  usedNames(): Names;
  mentionedNames(): Names;
  /** Indices, ascending, of all lines that may have a name in them. */
  linesNaming(name: string): Iterable<number>;
  /** Offsets of the physical lines. */
  lineStarts(): readonly number[];
  /** Indices of the lines with a comment that holds `word`, in capitals or not. */
  commented(word: string): readonly number[];
}

/** What later texts may take over as it is, as long as no edit touches it. */
interface Summary {
  defined?: NameCount;
  guard?: { readonly name: string | undefined };
  includes?: readonly Token[];
  usedNames?: NameCount;
  mentionedNames?: NameCount;
  commented?: { readonly word: string; readonly lines: readonly number[] };
}

interface Lines {
  readonly lines: readonly ParsedLine[];
  readonly starts: Int32Array;
  readonly joins: ReadonlyMap<number, LineJoins>;
  readonly openComment?: number;
  readonly closed: boolean;
}

const summaries = keptWith<ParsedText, Summary>('summary');
let lastSerial = 0;

export const parseText = (text: string, options: LexerOptions = {}): ParsedText =>
  finishSteps(parseInSteps(text, options));

/** UTF-16 units that are parsed in one step. */
const STEP = 4096;

export function* parseInSteps(text: string, options: LexerOptions = {}): Steps<ParsedText> {
  const binary = findBinary(text);
  if (binary || text.length <= STEP || marksBytes(text)) {
    return textOf(text, parseLines(binary?.hopeless ? '' : text, options), {}, binary?.at);
  }
  const lines: ParsedLine[] = [];
  const starts: number[] = [];
  // What is known of the text as a whole is gathered on the way: looking through all of it at once would take long.
  const names = nameCounter();
  const used = nameCounter();
  const mentioned = nameCounter();
  const includes: Token[] = [];
  const joins = new Map<number, LineJoins>();
  let openComment: number | undefined;
  for (let from = 0, size = STEP; from < text.length; ) {
    const lineEnd = text.indexOf('\n', from + size);
    const to = lineEnd < 0 ? text.length : lineEnd + 1;
    const made = parseLines(text.slice(from, to), options, from === 0);
    if (to < text.length && !isSettled(made, text, to)) {
      size *= 4;
      continue;
    }
    const before = lines.length;
    for (const [index, line] of made.lines.entries()) {
      lines.push(line);
      starts.push(from + (made.starts[index] ?? 0));
    }
    for (const line of made.lines) {
      names.add(namesDefinedIn(line));
      used.add(textsOf(usesOf(line)));
      mentioned.add(textsOf(mentionsOf(line)));
      const include = includeOf(line);
      if (include) includes.push(include);
    }
    for (const [index, join] of made.joins) joins.set(before + index, join);
    if (made.openComment !== undefined) openComment ??= before + made.openComment;
    from = to;
    size = STEP;
    yield;
  }
  const summary: Summary = {
    defined: names.count(),
    usedNames: used.count(),
    mentionedNames: mentioned.count(),
    includes,
  };
  return textOf(text, { lines, starts: Int32Array.from(starts), joins, openComment }, summary);
}

function parseLines(text: string, options: LexerOptions, atStart = true): Lines {
  const lexed = lex(text, options, atStart);
  const lines: ParsedLine[] = [];
  const starts = new Int32Array(lexed.lines.length);
  const joins = new Map<number, LineJoins>();
  let openComment: number | undefined;
  let loose = 0;
  for (const [index, logical] of lexed.lines.entries()) {
    const line = parseLine(logical, text, options);
    starts[index] = logical.start;
    lines.push(line);
    if (openComment === undefined && endsOpen(line)) openComment = index;
    if (!lexed.joined) continue;
    const own: number[] = [];
    for (; (lexed.looseSplices[loose] ?? Number.POSITIVE_INFINITY) < logical.end; loose++)
      own.push((lexed.looseSplices[loose] ?? 0) - logical.start);
    const found = lineJoins(line, text.slice(logical.start, logical.end), own);
    if (found) joins.set(index, found);
  }
  return { lines, starts, joins, openComment, closed: lexed.closed };
}

/** A byte order mark that is not where one belongs. */
const marksBytes = (text: string): boolean => text.indexOf('\ufeff', 1) >= 0;

const endsOpen = (line: ParsedLine): boolean => {
  const last = line.all[line.all.length - 1];
  return last !== undefined && isOpenComment(last);
};

/**
 * Parses `text`, taking every line that the edit since `previous` has not touched from there. Gives the same lines as
 * `parseText`.
 */
export function reparseText(previous: ParsedText, text: string, options: LexerOptions): ParsedText {
  if (text === previous.text) return previous;
  const same = commonEnds(previous.text, text);
  const fresh = text.slice(same.before, text.length - same.after);
  // What these mean hangs on where they stand, and on all of the text.
  if (isStrange(previous) || /[\0\ufffd\ufeff]/.test(fresh)) return parseText(text, options);
  if (text.startsWith('\ufeff') !== previous.text.startsWith('\ufeff')) return parseText(text, options);
  const { lines, starts, openComment } = previous;
  // A line end may belong to the line before, and what follows an open comment decides where it ends.
  let first = Math.max(0, lineAt(starts, same.before) - 1);
  if (openComment !== undefined) first = Math.min(first, openComment);
  const from = starts[first] ?? 0;
  const shift = text.length - previous.text.length;
  for (let reach = 1; ; reach *= 4) {
    const next = lineAt(starts, previous.text.length - same.after) + reach;
    const whole = next >= lines.length;
    const to = whole ? text.length : (starts[next] ?? 0) + shift;
    const window = ownCopy(text.slice(from, to));
    const made = parseLines(window, options, from === 0);
    if (!whole && !isSettled(made, text, to)) continue;
    return spliced(previous, text, made, first, whole ? lines.length : next, shift);
  }
}

/** Whether the lines behind a window, which ends at `to`, begin where they began before. */
const isSettled = ({ closed, openComment }: Lines, text: string, to: number): boolean =>
  closed && (openComment === undefined || text.indexOf('*/', to) < 0);

/** Whether a text holds what is no text, or a byte order mark that is not where one belongs. */
function isStrange({ text, notText, edit }: ParsedText): boolean {
  // What came out of an edit was looked through before.
  return notText !== undefined || (!edit && (text.includes('\ufffd') || marksBytes(text)));
}

/** Makes a text that does not keep the longer one alive from which it was cut. */
const ownCopy = (text: string): string => text.split('').join('');

function spliced(
  previous: ParsedText,
  text: string,
  made: Lines,
  first: number,
  next: number,
  shift: number,
): ParsedText {
  const { lines, starts } = previous;
  const added = [...made.lines];
  const base = starts[first] ?? 0;
  let removed = lines.slice(first, next);
  // Lines that came out as before keep their identity.
  const oldText = (index: number): string =>
    previous.text.slice(starts[index] ?? 0, (starts[index] ?? 0) + (lines[index]?.length ?? 0));
  let head = 0;
  for (let at = base; head < added.length && head < removed.length; head++) {
    const line = added[head] as ParsedLine;
    if (text.slice(at, at + line.length) !== oldText(first + head) || endsOpen(line)) break;
    at += line.length;
  }
  let tail = 0;
  for (let at = base + sum(added); tail < added.length - head && tail < removed.length - head; tail++) {
    const line = added[added.length - 1 - tail] as ParsedLine;
    at -= line.length;
    if (text.slice(at, at + line.length) !== oldText(next - 1 - tail) || endsOpen(line)) break;
  }
  const fresh = added.slice(head, added.length - tail);
  removed = removed.slice(head, removed.length - tail);
  const edit: TextEdit = {
    base: previous.serial,
    first: first + head,
    removed: removed.length,
    added: fresh.length,
  };
  const all = replaced(lines, edit, fresh);
  const from = edit.first + edit.removed;
  const moved = edit.added - edit.removed;
  const placed = placesAfter(starts, all, edit, previous.text.length, shift);
  const joins = new Map<number, LineJoins>();
  for (const [index, join] of previous.joins) {
    if (index < edit.first) joins.set(index, join);
    else if (index >= from) joins.set(index + moved, join);
  }
  for (const [index, join] of made.joins) {
    if (index >= head && index < head + fresh.length) joins.set(first + index, join);
  }
  const mayBeOpen = previous.openComment !== undefined || made.openComment !== undefined;
  const result: Omit<Lines, 'closed'> = {
    lines: all,
    starts: placed,
    joins: joins.size > 1 ? new Map([...joins].sort(([one], [other]) => one - other)) : joins,
    openComment: mayBeOpen ? found(all.findIndex(endsOpen)) : undefined,
  };
  const summary = summaries.get(previous) ?? {};
  const kept = {
    ...inherited(summary, removed, fresh, leavesGuard(lines, edit, removed, fresh)),
    commented: commentedAfter(summary, text, placed, fresh, edit),
  };
  return textOf(text, result, kept, undefined, edit);
}

function replaced(
  lines: readonly ParsedLine[],
  { first, removed, added }: TextEdit,
  fresh: readonly ParsedLine[],
): readonly ParsedLine[] {
  if (removed !== added) return lines.slice(0, first).concat(fresh, lines.slice(first + removed));
  const all = lines.slice();
  for (const [index, line] of fresh.entries()) all[first + index] = line;
  return all;
}

/** Where the lines begin; the very same list where none of them has moved. */
function placesAfter(
  starts: Int32Array,
  all: readonly ParsedLine[],
  { first, removed, added }: TextEdit,
  lengthBefore: number,
  shift: number,
): Int32Array {
  if (shift === 0 && removed === added && added <= 1) return starts;
  const placed = new Int32Array(all.length);
  placed.set(starts.subarray(0, Math.min(first, all.length)));
  let at = first < starts.length ? (starts[first] ?? 0) : lengthBefore;
  for (let index = first; index < first + added; index++) {
    placed[index] = at;
    at += all[index]?.length ?? 0;
  }
  const moved = added - removed;
  for (let index = first + removed; index < starts.length; index++)
    placed[index + moved] = (starts[index] ?? 0) + shift;
  return placed;
}

const found = (index: number): number | undefined => (index < 0 ? undefined : index);

const sum = (lines: readonly ParsedLine[]): number => lines.reduce((total, { length }) => total + length, 0);

/** What stays true of the text as a whole when `fresh` lines replace `removed` ones. */
function inherited(
  summary: Summary,
  removed: readonly ParsedLine[],
  fresh: readonly ParsedLine[],
  keepsGuard: boolean,
): Summary {
  if ([...removed, ...fresh].every(({ tokens, disabled }) => tokens.length === 0 && !disabled))
    return summary;
  const pairs = removed.map((line, index) => [line, fresh[index]] as const);
  const keeps = (same: (one: ParsedLine, other: ParsedLine) => boolean): boolean =>
    removed.length === fresh.length && pairs.every(([one, other]) => other !== undefined && same(one, other));
  const sameShape = keeps(
    (one, other) =>
      one.directive === other.directive &&
      definitionOf(one)?.macro.name === definitionOf(other)?.macro.name &&
      (one.tokens.length === 0) === (other.tokens.length === 0),
  );
  const namesBy = (of: NamesOf) => (line: ParsedLine) => of(line).map(({ text }) => text);
  const recount = (count: NameCount | undefined, of: NamesOf): NameCount | undefined =>
    keeps((one, other) => sameNames(one, other, of))
      ? count
      : count?.with(removed.flatMap(namesBy(of)), fresh.flatMap(namesBy(of)));
  const isInclude = ({ directive }: ParsedLine): boolean =>
    directive !== undefined && INCLUDES.has(directive);
  return {
    defined: sameShape
      ? summary.defined
      : summary.defined?.with(removed.flatMap(nameDefined), fresh.flatMap(nameDefined)),
    guard: keepsGuard ? summary.guard : undefined,
    includes: removed.some(isInclude) || fresh.some(isInclude) ? undefined : summary.includes,
    usedNames: recount(summary.usedNames, usesOf),
    mentionedNames: recount(summary.mentionedNames, mentionsOf),
  };
}

/** Whether the lines of an edit cannot decide over an include guard: they are behind its definition and before its end, and the same conditions open and close. */
function leavesGuard(
  lines: readonly ParsedLine[],
  { first, removed }: TextEdit,
  gone: readonly ParsedLine[],
  come: readonly ParsedLine[],
): boolean {
  const chain = (all: readonly ParsedLine[]): string =>
    all.flatMap(({ directive }) => (directive && CHAIN.test(directive) ? directive : [])).join(' ');
  if (chain(gone) !== chain(come)) return false;
  const isSolid = ({ tokens, directive }: ParsedLine): boolean => tokens.length > 0 && directive !== '';
  // A pragma, the question and the definition.
  let ahead = 3;
  for (let at = first - 1; at >= 0 && ahead > 0; at--) if (isSolid(lines[at] as ParsedLine)) ahead--;
  if (ahead > 0) return false;
  for (let at = first + removed; at < lines.length; at++) if (isSolid(lines[at] as ParsedLine)) return true;
  return false;
}

const CHAIN = /^(?:if|ifdef|ifndef|endif|el.*)$/;

function commentedAfter(
  { commented }: Summary,
  text: string,
  starts: Int32Array,
  fresh: readonly ParsedLine[],
  { first, removed, added }: TextEdit,
): Summary['commented'] {
  if (!commented) return undefined;
  const { word, lines } = commented;
  const here = fresh.flatMap((line, index) => {
    const start = starts[first + index] ?? 0;
    return speaksOf(line, text.slice(start, start + line.length), word) ? [first + index] : [];
  });
  const before = lines.filter((line) => line < first);
  const after = lines.filter((line) => line >= first + removed).map((line) => line + added - removed);
  return { word, lines: [...before, ...here, ...after] };
}

const patternOf = (word: string): RegExp => new RegExp(word.replace(/[.*+?^${}()|[\]\\]/g, '\\$&'), 'gi');

const speaksOf = ({ all }: ParsedLine, written: string, word: string): boolean =>
  written.search(patternOf(word)) >= 0 && commentsWith(all, word).length > 0;

/** The comments among the tokens that hold a word, in capitals or not. */
export function commentsWith(tokens: readonly Token[], word: string): readonly Token[] {
  const pattern = patternOf(word);
  return tokens.filter(({ kind, text }) => kind === 'comment' && text.search(pattern) >= 0);
}

type NamesOf = (line: ParsedLine, only?: string) => readonly Token[];

function sameNames(one: ParsedLine, other: ParsedLine, of: NamesOf): boolean {
  const names = (line: ParsedLine) => of(line).map(({ text }) => text);
  return names(one).sort().join(' ') === names(other).sort().join(' ');
}

const definitionOf = (line: ParsedLine) => line.definition ?? line.disabled?.definition;

const nameDefined = (line: ParsedLine): string | readonly [] => definitionOf(line)?.macro.name ?? NO_NAME;
const NO_NAME: readonly [] = [];
const namesDefinedIn = (line: ParsedLine): readonly string[] => {
  const name = nameDefined(line);
  return typeof name === 'string' ? [name] : NO_NAME;
};

const textsOf = (tokens: readonly Token[]): readonly string[] =>
  tokens.length === 0 ? NO_NAME : tokens.map(({ text }) => text);

const CONDITIONS = new Set(['if', 'ifdef', 'ifndef', 'elif', 'elifdef', 'elifndef']);
const INCLUDES = new Set(['include', 'include_next', 'import']);

/** Names that the line looks at as a directive, or would if it were switched on; `only` one of them where it is given. */
function usesOf(line: ParsedLine, only?: string): readonly Token[] {
  const definition = definitionOf(line);
  if (definition) {
    const { body, parameters } = definition.macro;
    return namesAmong(body, only, parameters);
  }
  const { directive } = line;
  if (directive === undefined || !(CONDITIONS.has(directive) || INCLUDES.has(directive))) return NO_TOKENS;
  return namesAmong(line.rest, only);
}

const mentionsOf = (line: ParsedLine, only?: string): readonly Token[] =>
  line.directive === undefined && !line.disabled ? namesAmong(line.tokens, only) : NO_TOKENS;

const NO_TOKENS: readonly Token[] = [];

function namesAmong(
  tokens: readonly Token[],
  only: string | undefined,
  except?: readonly string[],
): readonly Token[] {
  // Most lines have none: nothing is made for them.
  const isWanted = (token: Token): boolean =>
    isName(token) && (only === undefined || token.text === only) && !except?.includes(token.text);
  return tokens.some(isWanted) ? tokens.filter(isWanted) : NO_TOKENS;
}

/** Names that a line looks at. */
export const namesIn = (line: ParsedLine): string[] =>
  [...usesOf(line), ...mentionsOf(line)].map(({ text }) => text);

const isName = (token: Token): boolean => token.kind === 'identifier' && token.text !== 'defined';

const includeOf = (line: ParsedLine): Token | undefined => {
  if (line.directive === undefined || !INCLUDES.has(line.directive)) return undefined;
  const name = line.rest[0];
  return name?.kind === 'header' ? name : undefined;
};

function textOf(
  text: string,
  { lines, starts, joins, openComment }: Omit<Lines, 'closed'>,
  summary: Summary,
  notText?: number,
  edit?: TextEdit,
): ParsedText {
  const placed = (of: NamesOf, only: string | undefined): Use[] => {
    const uses: Use[] = [];
    for (const index of only === undefined ? lines.keys() : made.linesNaming(only)) {
      const base = starts[index] ?? 0;
      for (const { text: name, start, end } of of(lines[index] as ParsedLine, only)) {
        uses.push({ name, start: base + start, end: base + end });
      }
    }
    return uses;
  };
  const allNames = (of: NamesOf): NameCount => {
    const names = nameCounter();
    for (const line of lines) names.add(of(line).map((token) => token.text));
    return names.count();
  };
  let physical: readonly number[] | undefined;
  const made: ParsedText = {
    serial: ++lastSerial,
    text,
    lines,
    starts,
    joins,
    openComment,
    notText,
    edit,
    defined: () => {
      summary.defined ??= countNames(lines.flatMap(nameDefined));
      return summary.defined;
    },
    guard: () => {
      summary.guard ??= { name: findGuard(lines) };
      return summary.guard.name;
    },
    includes: () => {
      summary.includes ??= lines.flatMap((line) => includeOf(line) ?? []);
      return summary.includes;
    },
    uses: (only) => placed(usesOf, only),
    mentions: (only) => placed(mentionsOf, only),
    usedNames: () => {
      summary.usedNames ??= allNames(usesOf);
      return summary.usedNames;
    },
    mentionedNames: () => {
      summary.mentionedNames ??= allNames(mentionsOf);
      return summary.mentionedNames;
    },
    linesNaming: (name) => linesNaming(name, made),
    lineStarts: () => {
      physical ??= lineStarts(text);
      return physical;
    },
    commented: (word) => {
      if (summary.commented?.word !== word) {
        const found = new Set<number>();
        for (const { index } of text.matchAll(patternOf(word))) found.add(lineAt(starts, index));
        const holding = [...found].filter((line) => commentsWith(lines[line]?.all ?? [], word).length > 0);
        summary.commented = { word, lines: holding };
      }
      return summary.commented.lines;
    },
  };
  summaries.set(made, summary);
  return made;
}

/** A line end within a name keeps it from being found as it is. */
const SPLIT_NAME = /\\[ \t\f\v]*(?:\r\n?|\n)\w|\?\?\//;

function linesNaming(name: string, { text, lines, starts }: ParsedText): Iterable<number> {
  if (SPLIT_NAME.test(text)) return lines.keys();
  const found: number[] = [];
  for (let at = text.indexOf(name); at >= 0; ) {
    const line = lineAt(starts, at);
    found.push(line);
    const next = starts[line + 1];
    at = next === undefined ? -1 : text.indexOf(name, next);
  }
  return found;
}

/** Index of the line that holds `offset`. */
export const lineAt = (starts: Int32Array, offset: number): number => lastAtOrBefore(starts, offset);
