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
 *
 * What is found is kept with the set of candidates, which must not change afterwards.
 */
export function nearestNames(name: string, candidates: ReadonlySet<string>): readonly NearName[] {
  if (name.length > LONGEST) return [];
  const index = indexOf(candidates);
  let found = index.found.get(name);
  if (!found) {
    found = search(name, index);
    if (index.found.size >= MOST_KEPT) index.found.clear();
    index.found.set(name, found);
  }
  return found;
}

/** Answers kept for one set of candidates. */
const MOST_KEPT = 200_000;

/** A name that may be meant, with what tells at once that it is too far away. */
interface Candidate {
  readonly name: string;
  readonly upper: string;
  readonly letters: Letters;
  /** The same without its numbers. */
  readonly wordLetters: Letters;
}

interface NameIndex {
  /** By their length without numbers. */
  readonly byLength: readonly (readonly Candidate[] | undefined)[];
  /** By their words in alphabetical order. */
  readonly byWords: ReadonlyMap<string, readonly string[]>;
  /** By what is left when all numbers are alike. */
  readonly families: ReadonlyMap<string, readonly string[]>;
  /** Those that a name of a family may be a slip of, by limit and family. */
  readonly ofFamily: Map<string, readonly Candidate[]>;
  readonly found: Map<string, readonly NearName[]>;
}

const indexes = new WeakMap<ReadonlySet<string>, NameIndex>();

function indexOf(candidates: ReadonlySet<string>): NameIndex {
  const known = indexes.get(candidates);
  if (known) return known;
  const byLength: Candidate[][] = [];
  const byWords = new Map<string, string[]>();
  const families = new Map<string, string[]>();
  for (const name of candidates) {
    const family = familyOf(name);
    const words = withoutNumbers(family);
    const upper = name.toUpperCase();
    const candidate = { name, upper, letters: lettersOf(upper), wordLetters: lettersOf(words) };
    const sameLength = byLength[words.length];
    if (sameLength) sameLength.push(candidate);
    else byLength[words.length] = [candidate];
    add(byWords, wordSet(name), name);
    add(families, family, name);
  }
  const index: NameIndex = { byLength, byWords, families, ofFamily: new Map(), found: new Map() };
  indexes.set(candidates, index);
  return index;
}

function add(lists: Map<string, string[]>, key: string, name: string): void {
  const list = lists.get(key);
  if (list) list.push(name);
  else lists.set(key, [name]);
}

const NO_NAMES: readonly string[] = [];

function search(name: string, index: NameIndex): readonly NearName[] {
  const limit = limitFor(name);
  const wanted = name.toUpperCase();
  const family = familyOf(name);
  const isNear = (other: string): boolean => Math.abs(other.length - name.length) <= limit;
  // A further member of a numbered family is no slip of any other name either.
  if (index.families.get(family)?.some((other) => other.toUpperCase() !== wanted && isNear(other))) return [];
  const words = wordsOf(name);
  // The same words are of the same length, but for what stands between them.
  const sameWords =
    words.length > 1
      ? (index.byWords
          .get(words.sort().join(' '))
          ?.filter((other) => other !== name && Math.abs(other.length - name.length) <= words.length) ??
        NO_NAMES)
      : NO_NAMES;
  const candidates = mayBeMeant(family, limit, index);
  if (sameWords.length === 0 && candidates.length === 0) return [];
  const found = sameWords.map(
    (other): NearName => ({
      name: other,
      distance: distance(wanted, other.toUpperCase()).steps,
      sameWords: true,
    }),
  );
  let letters: Letters | undefined;
  for (const candidate of candidates) {
    if (!isNear(candidate.name) || candidate.name === name || sameWords.includes(candidate.name)) continue;
    letters ??= lettersOf(wanted);
    if (!mayBeNear(letters, candidate.letters, limit)) continue;
    const { steps } = distance(wanted, candidate.upper);
    if (steps <= limit) found.push({ name: candidate.name, distance: steps, sameWords: false });
  }
  return found.sort(
    (a, b) =>
      Number(b.sameWords) - Number(a.sameWords) || a.distance - b.distance || (a.name < b.name ? -1 : 1),
  );
}

/**
 * The candidates that are near enough when all numbers are left out, which brings no two names further apart. A settings file may have
 * hundreds of names that differ in numbers alone.
 */
function mayBeMeant(family: string, limit: number, { byLength, ofFamily }: NameIndex): readonly Candidate[] {
  const key = `${limit} ${family}`;
  const known = ofFamily.get(key);
  if (known) return known;
  const words = withoutNumbers(family);
  const letters = lettersOf(words);
  const found: Candidate[] = [];
  for (let length = Math.max(0, words.length - limit); length <= words.length + limit; length++) {
    for (const candidate of byLength[length] ?? []) {
      if (mayBeNear(letters, candidate.wordLetters, limit)) found.push(candidate);
    }
  }
  if (ofFamily.size >= MOST_KEPT) ofFamily.clear();
  ofFamily.set(key, found);
  return found;
}

const SLOTS = 32;

/** How often each letter is there, and, to compare at once, which are. Letters of other alphabets share their places. */
interface Letters {
  readonly present: number;
  readonly counts: Uint8Array;
}

function lettersOf(name: string): Letters {
  const counts = new Uint8Array(SLOTS);
  let present = 0;
  for (let index = 0; index < name.length; index++) {
    const slot = name.charCodeAt(index) & (SLOTS - 1);
    counts[slot] = (counts[slot] ?? 0) + 1;
    present |= 1 << slot;
  }
  return { present, counts };
}

/** Each slip adds at most one letter and takes at most one away, so names with more letters of their own are too far apart. */
function mayBeNear(one: Letters, other: Letters, limit: number): boolean {
  if (bits(one.present ^ other.present) > 2 * limit) return false;
  let added = 0;
  let taken = 0;
  for (let slot = 0; slot < SLOTS; slot++) {
    const more = (one.counts[slot] ?? 0) - (other.counts[slot] ?? 0);
    if (more > 0) added += more;
    else taken -= more;
  }
  return added <= limit && taken <= limit;
}

/** Number of bits that are set. */
function bits(mask: number): number {
  let rest = mask - ((mask >>> 1) & 0x55555555);
  rest = (rest & 0x33333333) + ((rest >>> 2) & 0x33333333);
  return (((rest + (rest >>> 4)) & 0x0f0f0f0f) * 0x01010101) >>> 24;
}

const familyOf = (name: string): string => name.toUpperCase().replace(/\d+/g, '#');
const withoutNumbers = (family: string): string => family.replaceAll('#', '');

/** All candidates, nearest first, whatever their distance. Equal distances keep their order. */
export const nearestFirst = (name: string, candidates: readonly string[]): string[] =>
  candidates
    .map((candidate) => ({ candidate, steps: distance(fold(name), fold(candidate)).steps }))
    .sort((a, b) => a.steps - b.steps)
    .map(({ candidate }) => candidate);

const fold = (name: string): string => name.slice(0, LONGEST).toLowerCase();

/** The words of a name in small letters: "TEMP_MAX_BED" and "tempMaxBed" have the same. */
export const wordsOf = (name: string): string[] =>
  name
    .replace(/([a-z\d])([A-Z])/g, '$1 $2')
    .split(/[^\p{L}\p{N}]+/u)
    .filter((word) => word !== '')
    .map((word) => word.toLowerCase());

const wordSet = (name: string): string => wordsOf(name).sort().join(' ');
