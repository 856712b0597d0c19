import type { Place } from '../../model/place';
import type { SyntaxProblem } from '../entry';
import { problemsNow } from './checks';
import { createEvaluator, TOTAL_EXPANSION } from './evaluate';
import type { Files } from './lineEntry';
import type { ParsedLine } from './lines';
import { lexerOptions, type ReadOptions } from './options';
import { finish, type Reading } from './reading';
import type { Settled } from './settled';
import { canonical, type Source, type TextStore } from './sources';
import { type ParsedText, reparseText } from './text';
import type { Check, Draft } from './translation';

/** A change that gives single lines another text and nothing else in the translation another meaning. */
interface Change {
  readonly source: Source;
  readonly before: Source;
  /** UTF-16 units by which the file grew. */
  readonly shift: number;
  /** Offset, in the text before, behind the last line that changed. */
  readonly end: number;
  /** Indices of the lines that changed. */
  readonly lines: readonly number[];
}

/**
 * Carries a reading over an edit that changes bodies of definitions, comments or plain text in one file. Gives nothing when
 * the edit may change more than that; the texts are then read anew. The answer is the one that reading anew would give.
 */
export function patch(last: Reading, options: ReadOptions, store: TextStore): Reading | undefined {
  const change = findChange(last, options, store);
  if (change === 'none') return last;
  if (!change) return undefined;
  const { run } = last.translation;
  if (last.context.budget.left < TOTAL_EXPANSION / 2) return undefined;
  if (run.counter > 0 || run.saved.size > 0) return undefined;
  if (run.visits.get(change.source.uri) !== 1) return undefined;
  const changed = new Set(change.lines);
  const drafts = draftsOn(last, change.source.uri, changed);
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
  if (!found) return 'none';
  const { before, text } = found;
  // Another spelling of the same file may have been asked for.
  if (options.resolve || !last.files.has(before.uri) || !store.has(before.uri)) return undefined;
  if (store.get(before.uri) !== before.parsed) return undefined;
  const parsed = reparseText(before.parsed, text, lexerOptions(options));
  store.set(before.uri, parsed);
  const { edit } = parsed;
  if (!edit || edit.base !== before.parsed.serial || edit.added !== edit.removed || edit.added > 64)
    return undefined;
  const after = edit.first + edit.removed;
  return {
    source: { uri: before.uri, text, parsed },
    before,
    shift: text.length - before.text.length,
    end: after < before.parsed.starts.length ? (before.parsed.starts[after] ?? 0) : before.text.length,
    lines: Array.from({ length: edit.added }, (_, index) => edit.first + index),
  };
}

/** Entry of each changed line that has one; nothing when a line has several. */
function draftsOn(
  { index }: Reading,
  uri: string,
  lines: ReadonlySet<number>,
): Map<number, number> | undefined {
  const found = new Map<number, number>();
  for (const line of lines) {
    const [first, ...others] = index.onLine(uri, line);
    if (others.length > 0) return undefined;
    if (first !== undefined) found.set(line, first);
  }
  return found;
}

/** Whether the line's new text changes nothing but its own entry and the values that use it. */
function isLocal(last: Reading, change: Change, index: number, settled: number | undefined): boolean {
  const one = change.before.parsed.lines[index] as ParsedLine;
  const other = change.source.parsed.lines[index] as ParsedLine;
  if (one.directive !== other.directive || one.faults.length > 0 || other.faults.length > 0) return false;
  if (breaksOf(change.before.parsed, index) !== breaksOf(change.source.parsed, index)) return false;
  if (hasTrouble(change.before.parsed, index) || hasTrouble(change.source.parsed, index)) return false;
  const names = [one, other].map((line) => (line.definition ?? line.disabled?.definition)?.macro.name);
  if (names[0] !== names[1] || Boolean(one.disabled) !== Boolean(other.disabled)) return false;
  // What the file defines and whether its last line is one may decide over its include guard.
  if ((one.tokens.length === 0) !== (other.tokens.length === 0)) return false;
  if (one.directive === undefined) return one.disabled === undefined || settled !== undefined;
  if (one.directive !== 'define') return false;
  const before = one.definition?.macro;
  const after = other.definition?.macro;
  if (!before || !after || settled === undefined) return false;
  if (before.parameters || after.parameters || (before.body.length === 0) !== (after.body.length === 0))
    return false;
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
  for (const [line, index] of drafts) {
    const parsed = source.parsed.lines[line] as ParsedLine;
    const { draft } = last.settled[index] as Settled;
    const definition = parsed.definition ?? parsed.disabled?.definition ?? draft.definition;
    if (draft.live) draft.live.macro = definition.macro;
    if (draft.live && !isSameBody(draft, definition.macro.body)) touched.add(definition.macro.name);
    settled[index] = {
      ...(last.settled[index] as Settled),
      draft: { ...draft, line: parsed, definition, disabled: parsed.disabled },
    };
    fresh.add(index);
  }
  for (const name of touched) {
    for (const index of last.index.lookingAt(name)) {
      if ((settled[index] as Settled).looked.has(name)) fresh.add(index);
    }
  }
  const evaluator = createEvaluator(last.context);
  for (const index of fresh) {
    const { draft, state, endedBy, undefinedBefore } = settled[index] as Settled;
    const { uri, line } = draft.home;
    const start = files.get(uri)?.parsed.starts[line] ?? 0;
    const made = evaluator.settle(
      { ...draft, home: { uri, line, start } },
      { state, endedBy, undefinedBefore },
    );
    settled[index] = made;
    last.index.update(index, made);
  }
  const move = (place: Place): Place =>
    place.uri === source.uri && place.start >= change.end
      ? { uri: place.uri, start: place.start + shift, end: place.end + shift }
      : place;
  const checks = checksNow(last, files, touched, move);
  if (!checks) return undefined;
  return finish(
    {
      ...last,
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
    },
    { base: last.text.version, changed: [...fresh] },
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
      const problems = run.visits.get(check.uri) === 1 ? problemsNow(run, check, source) : undefined;
      if (!problems) return undefined;
      now.push({ ...check, problems });
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
