/** Length of what two texts have in common at the start and, without overlap, at the end. */
export function commonEnds(one: string, other: string): CommonEnds {
  if (last?.one === one && last.other === other) return last.ends;
  const ends = compare(one, other);
  last = { one, other, ends };
  return ends;
}

export interface CommonEnds {
  /** UTF-16 units. */
  readonly before: number;
  readonly after: number;
}

/** One edit is looked at from several sides. */
let last: { readonly one: string; readonly other: string; readonly ends: CommonEnds } | undefined;

function compare(one: string, other: string): CommonEnds {
  const most = Math.min(one.length, other.length);
  let before = 0;
  // Whole stretches first: comparing them is much faster than going unit by unit.
  for (let step = 65536; step >= 1; step >>= 4) {
    while (before + step <= most && one.slice(before, before + step) === other.slice(before, before + step))
      before += step;
  }
  let after = 0;
  for (let step = 65536; step >= 1; step >>= 4) {
    while (
      after + step <= most - before &&
      one.slice(one.length - after - step, one.length - after) ===
        other.slice(other.length - after - step, other.length - after)
    )
      after += step;
  }
  return { before, after };
}
