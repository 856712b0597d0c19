import type { ParsedLine } from '../syntax/c-header/lines';
import type { ParsedText } from '../syntax/c-header/text';

/** Lines from 0, both shown and hidden ends included: `start` stays visible. */
export interface Fold {
  readonly start: number;
  readonly end: number;
  readonly kind?: 'comment';
}

/** What a line of a header is to its folds. */
type Role = 'blank' | 'comment' | 'definition' | 'open' | 'middle' | 'close' | 'other';

interface Stretch {
  readonly role: Role;
  readonly first: number;
  readonly last: number;
}

/**
 * What can be folded in a header: arms of conditions, comments over several lines, and definitions under a heading comment. A heading
 * right on top of its definitions reaches to the next blank line; one with a blank line below it to the next of its like.
 */
export function foldsOf(header: ParsedText): readonly Fold[] {
  const stretches = joined(stretchesOf(header));
  return [...arms(stretches), ...comments(stretches), ...groups(stretches), ...sections(stretches)]
    .filter(({ start, end }) => end > start)
    .sort((one, other) => one.start - other.start || other.end - one.end);
}

function stretchesOf({ lines, starts, lineStarts }: ParsedText): Stretch[] {
  const physical = lineStarts();
  let at = 0;
  /** Of ascending offsets. */
  const lineOf = (offset: number): number => {
    while ((physical[at + 1] ?? Number.POSITIVE_INFINITY) <= offset) at++;
    return at;
  };
  return lines.map((line, index) => {
    const start = starts[index] ?? 0;
    const first = lineOf(start);
    return { role: roleOf(line), first, last: lineOf(Math.max(start, start + line.length - 1)) };
  });
}

function roleOf({ all, tokens, directive, disabled }: ParsedLine): Role {
  if (disabled || directive === 'define') return 'definition';
  if (all.length === 0) return 'blank';
  if (tokens.length === 0) return 'comment';
  if (directive === undefined) return 'other';
  if (/^if(n?def)?$/.test(directive)) return 'open';
  if (/^(?:else|elif(?:n?def)?)$/.test(directive)) return 'middle';
  return directive === 'endif' ? 'close' : 'other';
}

/** Comments that follow each other line by line as one. */
function joined(stretches: readonly Stretch[]): Stretch[] {
  const found: Stretch[] = [];
  for (const stretch of stretches) {
    const last = found.at(-1);
    if (stretch.role === 'comment' && last?.role === 'comment')
      found[found.length - 1] = { ...last, last: stretch.last };
    else found.push(stretch);
  }
  return found;
}

/** From each `#if`, `#elif` and `#else` to the line before the next of them. An arm that never ends reaches to the end of the text. */
function arms(stretches: readonly Stretch[]): Fold[] {
  const folds: Fold[] = [];
  const open: number[] = [];
  for (const { role, first, last } of stretches) {
    if (role === 'middle' || role === 'close') {
      const start = open.pop();
      if (start !== undefined) folds.push({ start, end: first - 1 });
      if (role === 'middle' && start !== undefined) open.push(last);
    } else if (role === 'open') open.push(last);
  }
  const end = lastFilled(stretches, stretches.length - 1);
  return [...folds, ...open.map((start) => ({ start, end }))];
}

/** A comment that heads definitions leaves its last line to their fold, since folds may not share a line in the middle. */
function comments(stretches: readonly Stretch[]): Fold[] {
  return stretches.flatMap(({ role, first, last }, index): Fold[] => {
    if (role !== 'comment') return [];
    return [{ start: first, end: isHeading(stretches, index) ? last - 1 : last, kind: 'comment' }];
  });
}

const isHeading = (stretches: readonly Stretch[], index: number): boolean =>
  headsGroup(stretches, index) || headsSection(stretches, index);

const headsGroup = (stretches: readonly Stretch[], index: number): boolean =>
  stretches[index]?.role === 'comment' && stretches[index + 1]?.role === 'definition';

/** With a blank line below it, definitions behind that. */
function headsSection(stretches: readonly Stretch[], index: number): boolean {
  if (stretches[index]?.role !== 'comment' || stretches[index + 1]?.role !== 'blank') return false;
  let next = index + 1;
  while (stretches[next]?.role === 'blank') next++;
  const role = stretches[next]?.role;
  return role === 'definition' || headsGroup(stretches, next);
}

const groups = (stretches: readonly Stretch[]): Fold[] =>
  headed(stretches, headsGroup, ({ role }) => role === 'blank' || role === 'comment');

const sections = (stretches: readonly Stretch[]): Fold[] =>
  headed(stretches, headsSection, (_, index) => headsSection(stretches, index));

/** Folds from headings to where they end at their own depth of conditions, in one walk. */
function headed(
  stretches: readonly Stretch[],
  heads: (stretches: readonly Stretch[], index: number) => boolean,
  ends: (stretch: Stretch, index: number) => boolean,
): Fold[] {
  const folds: Fold[] = [];
  /** The open heading of each depth, the outermost first. */
  const open: (number | undefined)[] = [undefined];
  const close = (index: number): void => {
    const start = open.at(-1);
    if (start !== undefined) folds.push({ start, end: lastFilled(stretches, index - 1) });
    open[open.length - 1] = undefined;
  };
  stretches.forEach((stretch, index) => {
    const { role, last } = stretch;
    if (role === 'close' || role === 'middle') {
      close(index);
      if (role === 'close' && open.length > 1) open.pop();
      return;
    }
    if (role === 'open') {
      open.push(undefined);
      return;
    }
    if (ends(stretch, index)) close(index);
    if (heads(stretches, index)) {
      close(index);
      open[open.length - 1] = last;
    }
  });
  while (open.length > 0) {
    close(stretches.length);
    open.pop();
  }
  return folds;
}

/** The last line of the stretches up to `index` that is not blank. */
function lastFilled(stretches: readonly Stretch[], index: number): number {
  let at = index;
  while (at > 0 && stretches[at]?.role === 'blank') at--;
  return stretches[at]?.last ?? 0;
}
