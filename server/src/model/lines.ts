import { commonEnds } from './diff';
import type { Place } from './place';

/** Offsets at which the lines of a text begin. A line ends with LF, CR LF or CR, as in editors. */
export function lineStarts(text: string): readonly number[] {
  const starts = [0];
  if (!text.includes('\r')) {
    for (let at = text.indexOf('\n'); at >= 0; at = text.indexOf('\n', at + 1)) starts.push(at + 1);
    return starts;
  }
  for (let at = 0; at < text.length; at++) {
    const unit = text.charCodeAt(at);
    if (unit === 13 && text.charCodeAt(at + 1) === 10) continue;
    if (unit === 10 || unit === 13) starts.push(at + 1);
  }
  return starts;
}

/** The same for a text that comes out of `before` by an edit, from the lines of that. */
export function lineStartsAfter(before: string, starts: readonly number[], text: string): readonly number[] {
  if (text === before) return starts;
  const same = commonEnds(before, text);
  // A line end that the edit may have torn apart or put together is looked at again.
  const from = lastAtOrBefore(starts, Math.max(0, same.before - 1));
  const to = lastAtOrBefore(starts, Math.min(before.length, before.length - same.after + 1)) + 1;
  const start = starts[from] ?? 0;
  const shift = text.length - before.length;
  const end = to < starts.length ? (starts[to] ?? 0) + shift : text.length;
  const fresh = lineStarts(text.slice(start, end));
  // What begins behind the window is the first line of the rest.
  const closes = to < starts.length && start + (fresh[fresh.length - 1] ?? 0) === end;
  const count = closes ? fresh.length - 1 : fresh.length;
  const isSame = shift === 0 && count === to - from;
  if (isSame && fresh.every((at, index) => at + start === (starts[from + index] ?? end))) return starts;
  const made = starts.slice(0, from);
  for (let index = 0; index < count; index++) made.push((fresh[index] ?? 0) + start);
  const rest = starts.slice(to);
  if (shift !== 0) for (let index = 0; index < rest.length; index++) rest[index] = (rest[index] ?? 0) + shift;
  return made.concat(rest);
}

/** Index of the last of ascending `starts` that is not behind `offset`. */
export function lastAtOrBefore(starts: ArrayLike<number>, offset: number): number {
  let low = 0;
  let high = starts.length - 1;
  while (low < high) {
    const middle = Math.ceil((low + high) / 2);
    if ((starts[middle] ?? Number.POSITIVE_INFINITY) <= offset) low = middle;
    else high = middle - 1;
  }
  return low;
}

/** The line that a place begins in, from 1; undefined for a text that is not at hand. */
export type LineOf = (place: Place) => number | undefined;

/** Looks up lines in texts by URI; each text is scanned once, when first asked for. */
export function lineFinder(texts: ReadonlyMap<string, string>): LineOf {
  const known = new Map<string, readonly number[]>();
  return ({ uri, start }) => {
    const text = texts.get(uri);
    if (text === undefined) return undefined;
    const starts = known.get(uri) ?? lineStarts(text);
    known.set(uri, starts);
    return lastAtOrBefore(starts, start) + 1;
  };
}
