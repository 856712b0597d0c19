import type { Place } from '../../model/place';
import type { SyntaxProblem } from '../entry';
import { checkNow } from './checks';
import { createEvaluator, TOTAL_EXPANSION } from './evaluate';
import type { Files } from './lineEntry';
import { type LineMoves, NOT_MOVED } from './lineMoves';
import type { ParsedLine } from './lines';
import { lexerOptions, type ReadOptions } from './options';
import { finish, type Reading } from './reading';
import { isReplaced, redefine, standsAlone } from './replace';
import type { Settled } from './settled';
import { canonical, type Source, startOfLine, type TextStore } from './sources';
import { namesIn, type ParsedText, reparseText, type TextEdit } from './text';
import type { Check, Draft } from './translation';
import { firstVersion, nextVersion } from './version';

/** A change that gives single lines another text and nothing else in the translation another meaning. */
interface Change {
  readonly source: Source;
  readonly before: Source;
  /** UTF-16 units by which the file grew. */
  readonly shift: number;
  /** Offset, in the text before, behind the last line that changed. */
  readonly end: number;
  /** Indices of the lines that changed, where as many came as went. */
  readonly lines: readonly number[];
  /** Names that are defined somewhere and are looked at in more or fewer places now. */
  readonly uses: ReadonlySet<string>;
}

/**
 * Carries a reading over an edit that changes bodies of definitions, a name that nothing else looks at, comments or plain text in one
 * file. Gives nothing when the edit may change more than that; the texts are then read anew. The answer is the one that reading anew
 * would give.
 */
export function patch(last: Reading, options: ReadOptions, store: TextStore): Reading | undefined {
  const change = findChange(last, options, store);
  if (change === 'none') return last;
  if (!change) return undefined;
  const { run } = last.translation;
  if (last.context.budget.left < TOTAL_EXPANSION / 2) return undefined;
  if (run.counter > 0 || run.saved.size > 0) return undefined;
  if (run.visits.get(change.source.uri) !== 1) return undefined;
  // What the lines themselves tell comes first: to find what stands on them may take long.
  if (!change.lines.every((line) => looksLocal(change, line))) return undefined;
  const drafts = draftsOn(last, change.before, new Set(change.lines));
  if (!drafts || !change.lines.every((line) => isLocal(last, change, line, drafts.get(line))))
    return undefined;
  return carryOver(last, options, change, drafts);
}

/** The one file whose text is another now; 'none' when all are as they were, nothing when several changed or one came or went. */
function findChange(last: Reading, options: ReadOptions, store: TextStore): Change | 'none' | undefined {
  const known = new Map([
    ...last.files,
    ...last.consulted.files.map((source) => [source.uri, source] as const),
  ]);
  let found: { before: Source; text: string } | undefined;
  for (const source of known.values()) {
    const text = options.read(source.uri);
    if (text === undefined) return undefined;
    if (text === source.text) continue;
    if (found) return undefined;
    found = { before: source, text };
  }
  const absent = [...last.consulted.absent, ...last.missing.flatMap(({ candidates }) => candidates)];
  if (absent.some((uri) => options.read(uri) !== undefined)) return undefined;
  // A file that was only asked for must still be there.
  for (const { found: asked } of last.translation.run.searches.values())
    if (asked && !known.has(asked.source.uri) && options.read(asked.source.uri) === undefined)
      return undefined;
  if (!found) return 'none';
  const { before, text } = found;
  // Another spelling of the same file may have been asked for.
  if (options.resolve || !last.files.has(before.uri) || !store.has(before.uri)) return undefined;
  if (store.get(before.uri) !== before.parsed) return undefined;
  const parsed = reparseText(before.parsed, text, lexerOptions(options));
  store.set(before.uri, parsed);
  const { edit } = parsed;
  if (!edit || edit.base !== before.parsed.serial || edit.added > 64) return undefined;
  const moves = movesBy(last, before, parsed, edit);
  if (!moves) return undefined;
  const after = edit.first + edit.removed;
  const sameCount = edit.added === edit.removed;
  return {
    source: { uri: before.uri, text, parsed, ...(moves !== NOT_MOVED && { moves }) },
    before,
    shift: text.length - before.text.length,
    end: after < before.parsed.starts.length ? (before.parsed.starts[after] ?? 0) : before.text.length,
    lines: sameCount ? Array.from({ length: edit.added }, (_, index) => edit.first + index) : [],
    uses: sameCount ? usesChanged(last, before.parsed, parsed, edit) : NO_NAMES,
  };
}

const NO_NAMES: ReadonlySet<string> = new Set();

/** Where the lines stand behind an edit; nothing when lines came or went that are more than blanks and comments. */
function movesBy(
  last: Reading,
  { parsed: before, moves = NOT_MOVED }: Source,
  parsed: ParsedText,
  { first, removed, added }: TextEdit,
): LineMoves | undefined {
  if (added === removed) return moves;
  for (let at = first; at < first + removed; at++) if (!isBlank(before, at)) return undefined;
  for (let at = first; at < first + added; at++) if (!isBlank(parsed, at)) return undefined;
  // Numbers of lines are part of what such a text says.
  for (const { parsed: text } of last.files.values())
    if (text.usedNames().has('__LINE__') || text.mentionedNames().has('__LINE__')) return undefined;
  return parsed.lines.length > last.context.limits.lines / 2 ? undefined : moves.with(first, removed, added);
}

const isBlank = (text: ParsedText, index: number): boolean => {
  const line = text.lines[index] as ParsedLine;
  return line.tokens.length === 0 && !line.disabled && line.faults.length === 0 && !hasTrouble(text, index);
};

/** Names that the lines of an edit look at more or less often than before. */
function usesChanged(
  { consulted }: Reading,
  before: ParsedText,
  after: ParsedText,
  { first, added }: TextEdit,
): ReadonlySet<string> {
  const count = new Map<string, number>();
  for (const [text, by] of [
    [before, -1],
    [after, 1],
  ] as const) {
    for (const line of text.lines.slice(first, first + added))
      for (const name of namesIn(line)) count.set(name, (count.get(name) ?? 0) + by);
  }
  return new Set(
    [...count].flatMap(([name, more]) => (more !== 0 && consulted.isDefined(name) ? [name] : [])),
  );
}

/** Entry of each changed line that has one, by the line's index in the text before; nothing when a line has several. */
function draftsOn(
  { index }: Reading,
  { uri, moves = NOT_MOVED }: Source,
  lines: ReadonlySet<number>,
): Map<number, number> | undefined {
  const found = new Map<number, number>();
  for (const line of lines) {
    const known = moves.before(line);
    const [first, ...others] = known === undefined ? [] : index.onLine(uri, known);
    if (others.length > 0) return undefined;
    if (first !== undefined) found.set(line, first);
  }
  return found;
}

/** Whether a changed line still says as much of the translation as before, as far as the line alone tells. */
function looksLocal({ before, source }: Change, index: number): boolean {
  const one = before.parsed.lines[index] as ParsedLine;
  const other = source.parsed.lines[index] as ParsedLine;
  if (one.directive !== other.directive || one.faults.length > 0 || other.faults.length > 0) return false;
  if (breaksOf(before.parsed, index) !== breaksOf(source.parsed, index)) return false;
  if (hasTrouble(before.parsed, index) || hasTrouble(source.parsed, index)) return false;
  if (Boolean(one.disabled) !== Boolean(other.disabled)) return false;
  const [macro, now] = [one, other].map((line) => (line.definition ?? line.disabled?.definition)?.macro);
  if (Boolean(macro?.parameters) !== Boolean(now?.parameters)) return false;
  if (macro?.name !== now?.name && !isReplaced(one, other)) return false;
  // What the file defines and whether its last line is one may decide over its include guard.
  if ((one.tokens.length === 0) !== (other.tokens.length === 0)) return false;
  return one.directive === undefined || one.directive === 'define';
}

/** Whether the line's new text changes nothing but its own entry and the values that use it; it `looksLocal`. */
function isLocal(last: Reading, change: Change, index: number, settled: number | undefined): boolean {
  const one = change.before.parsed.lines[index] as ParsedLine;
  const other = change.source.parsed.lines[index] as ParsedLine;
  if (one.directive === undefined) return one.disabled === undefined || settled !== undefined;
  const before = one.definition?.macro;
  const after = other.definition?.macro;
  if (!before || !after || settled === undefined) return false;
  if (isReplaced(one, other))
    return change.lines.length === 1 && standsAlone(last, last.settled[settled] as Settled, before, after);
  // Others point at the name.
  if (one.definition?.nameToken.start !== other.definition?.nameToken.start) return false;
  if (before.parameters || after.parameters) return false;
  const { run } = last.translation;
  const { draft, state } = last.settled[settled] as Settled;
  if (!draft.live) return state === 'inactive' && !draft.isGuard;
  return !draft.isGuard && !run.structural.has(before.name) && run.definitions.get(before.name) === 1;
}

const hasTrouble = (text: ParsedText, index: number): boolean =>
  text.joins.has(index) || (text.openComment !== undefined && text.openComment <= index);

/** Physical lines of one logical line. */
function breaksOf({ text, lines, starts }: ParsedText, index: number): number {
  const start = starts[index] ?? 0;
  return text.slice(start, start + (lines[index]?.length ?? 0)).match(/\r\n|\r|\n/g)?.length ?? 0;
}

function carryOver(
  last: Reading,
  options: ReadOptions,
  change: Change,
  drafts: ReadonlyMap<number, number>,
): Reading | undefined {
  const { source, shift } = change;
  // What others were given of the reading before would keep all readings alive, each the one before it.
  const { text: _, ...kept } = last;
  const { translation } = last;
  const uris = [...last.files.keys()];
  const files = new Map(
    uris.map((uri) => [uri, uri === source.uri ? source : (last.files.get(uri) as Source)]),
  );
  const consulted = {
    ...last.consulted,
    files: last.consulted.files.map((file) =>
      canonical(file.uri) === canonical(source.uri) ? source : file,
    ),
  };
  translation.run.sources.set(source.uri, source);
  const settled = last.settled.slice();
  const touched = new Set<string>();
  const fresh = new Set<number>();
  let isAnother = false;
  for (const [line, index] of drafts) {
    const parsed = source.parsed.lines[line] as ParsedLine;
    const { draft } = last.settled[index] as Settled;
    const definition = parsed.definition ?? parsed.disabled?.definition ?? draft.definition;
    let { live } = draft;
    if (isReplaced(draft.line, parsed)) {
      isAnother = true;
      if (live) live = redefine(translation.run, live, definition);
    } else {
      if (live) live.macro = definition.macro;
      if (live && !isSameBody(draft, definition.macro.body)) touched.add(definition.macro.name);
    }
    settled[index] = {
      ...(last.settled[index] as Settled),
      draft: { ...draft, live, line: parsed, definition, disabled: parsed.disabled },
    };
    fresh.add(index);
  }
  for (const name of touched) {
    for (const index of last.index.lookingAt(name)) {
      if ((settled[index] as Settled).looked.has(name)) fresh.add(index);
    }
  }
  if (isAnother) consulted.replace(source);
  const evaluator = createEvaluator(last.context);
  for (const index of fresh) {
    const { draft, state, endedBy, undefinedBefore } = settled[index] as Settled;
    const { uri, line } = draft.home;
    const home = files.get(uri);
    const start = home ? startOfLine(home, line) : 0;
    const made = evaluator.settle(
      { ...draft, home: { uri, line, start } },
      { state, endedBy, undefinedBefore },
    );
    settled[index] = made;
    last.index.update(index, made);
  }
  const move = (place: Place): Place =>
    place.uri === source.uri && place.start >= change.end && place.end > 0
      ? { uri: place.uri, start: place.start + shift, end: place.end + shift }
      : place;
  const checks = checksNow(last, files, touched, move);
  if (!checks) return undefined;
  return finish(
    {
      ...kept,
      checks,
      options,
      consulted,
      settled,
      files,
      problems: shift === 0 ? last.problems : last.problems.map((problem) => movedProblem(problem, move)),
      missing:
        shift === 0
          ? last.missing
          : last.missing.map(({ place, candidates }) => ({ place: move(place), candidates })),
      ...(isAnother && { names: {} }),
    },
    isAnother ? firstVersion() : nextVersion(last.version, { entries: fresh, uses: change.uses }),
  );
}

/** Checks with their problems where they stand now; nothing when that cannot be told without reading anew. */
function checksNow(
  { checks, translation: { run } }: Reading,
  files: Files,
  touched: ReadonlySet<string>,
  move: (place: Place) => Place,
): Check[] | undefined {
  const now: Check[] = [];
  for (const check of checks) {
    const source = files.get(check.uri);
    if (source && [...touched].some((name) => check.looked.has(name))) {
      const fresh = run.visits.get(check.uri) === 1 ? checkNow(run, check, source) : undefined;
      if (!fresh) return undefined;
      now.push({ ...check, ...fresh });
    } else if (check.problems.length === 0) now.push(check);
    else now.push({ ...check, problems: check.problems.map((problem) => movedProblem(problem, move)) });
  }
  return now;
}

const isSameBody = ({ definition }: Draft, body: Draft['definition']['macro']['body']): boolean => {
  const { body: own } = definition.macro;
  return own.length === body.length && own.every((token, index) => token.text === body[index]?.text);
};

const movedProblem = (problem: SyntaxProblem, move: (place: Place) => Place): SyntaxProblem => ({
  ...problem,
  place: move(problem.place),
  ...(problem.related && {
    related: problem.related.map(({ place, message }) => ({ place: move(place), message })),
  }),
});
