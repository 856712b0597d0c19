import distance from 'damerau-levenshtein';

const LONGEST = 80;

/**
 * Candidates by nearness to `name`, equal names first. Case and separators do not count.
 * Distance: Damerau–Levenshtein (insertions, deletions, replacements, swaps of neighbours).
 */
export function byNearness(name: string, candidates: Iterable<string>): { name: string; steps: number }[] {
  const wanted = plain(name);
  return [...candidates]
    .map((candidate) => ({ name: candidate, steps: distance(wanted, plain(candidate)).steps }))
    .sort((a, b) => a.steps - b.steps || (a.name < b.name ? -1 : 1));
}

/** The names close enough to be meant: at most one slip for every five letters, and one at least. Common practice. */
export function nearest(name: string, candidates: Iterable<string>): string[] {
  const limit = Math.max(1, Math.floor(Math.min(name.length, LONGEST) / 5));
  return byNearness(name, candidates)
    .filter((candidate) => candidate.steps <= limit)
    .map((candidate) => candidate.name);
}

/** "Did you mean x?" with a leading space, or nothing. */
export const suggestion = (names: readonly string[]): string =>
  names[0] === undefined ? '' : ` Did you mean "${names[0]}"?`;

const plain = (name: string): string =>
  name
    .slice(0, LONGEST)
    .toLowerCase()
    .replace(/[\s_.-]+/g, '');
