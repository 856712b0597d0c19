import distance from 'damerau-levenshtein';

export interface NearName {
  readonly name: string;
  /** Slips between the two: letters put in, left out, replaced, or two neighbours swapped. */
  readonly distance: number;
  /** True when both are made of the same words in another order. */
  readonly sameWords: boolean;
}

/** At most one slip for every five letters, and one at least. Common practice. */
const limitFor = (name: string): number => Math.max(1, Math.floor(name.length / 5));

/** Names longer than this are no slips of the pen, and would cost time. */
const LONGEST = 120;

/**
 * The candidates near enough to `name` to be what was meant, nearest first: Damerau–Levenshtein distance of at most one for
 * every five letters, or the same words in another order. Case counts only in so far as equal names are left out. A name that
 * differs from a candidate in its numbers alone is another setting of the same family, and no slip.
 */
export function nearestNames(name: string, candidates: Iterable<string>): NearName[] {
  if (name.length > LONGEST) return [];
  const limit = limitFor(name);
  const wanted = name.toUpperCase();
  const words = wordSet(name);
  const separators = wordsOf(name).length;
  const found: NearName[] = [];
  for (const candidate of candidates) {
    if (candidate === name) continue;
    const unlike = Math.abs(candidate.length - name.length);
    // The same words are of the same length, but for what stands between them.
    const sameWords = separators > 1 && unlike <= separators && wordSet(candidate) === words;
    const near = unlike <= limit;
    if (!sameWords && !near) continue;
    const other = candidate.toUpperCase();
    const steps = distance(wanted, other).steps;
    // A further member of a numbered family is no slip of any other name either.
    if (near && onlyNumbersDiffer(wanted, other)) return [];
    if (!sameWords && steps > limit) continue;
    found.push({ name: candidate, distance: steps, sameWords });
  }
  return found.sort(
    (a, b) =>
      Number(b.sameWords) - Number(a.sameWords) || a.distance - b.distance || (a.name < b.name ? -1 : 1),
  );
}

/** All candidates, nearest first, whatever their distance. Equal distances keep their order. */
export const nearestFirst = (name: string, candidates: readonly string[]): string[] =>
  candidates
    .map((candidate) => ({ candidate, steps: distance(fold(name), fold(candidate)).steps }))
    .sort((a, b) => a.steps - b.steps)
    .map(({ candidate }) => candidate);

const fold = (name: string): string => name.slice(0, LONGEST).toLowerCase();

const onlyNumbersDiffer = (a: string, b: string): boolean =>
  a !== b && a.replace(/\d+/g, '#') === b.replace(/\d+/g, '#');

/** The words of a name in small letters: "TEMP_MAX_BED" and "tempMaxBed" have the same. */
export const wordsOf = (name: string): string[] =>
  name
    .replace(/([a-z\d])([A-Z])/g, '$1 $2')
    .split(/[^\p{L}\p{N}]+/u)
    .filter((word) => word !== '')
    .map((word) => word.toLowerCase());

const wordSet = (name: string): string => wordsOf(name).sort().join(' ');
