/** Length of what two texts have in common at the start and, without overlap, at the end. */
export function commonEnds(one: string, other: string): { readonly before: number; readonly after: number } {
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
