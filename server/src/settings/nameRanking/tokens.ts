import { isKnown, sensesOf, WORDS } from './vocabulary';

/** The spelling of a unit in names and comments → the unit as Fettle writes it. */
const UNITS = new Map<string, string>();
for (const [unit, spellings] of Object.entries(WORDS.units)) {
  for (const spelling of [unit, ...spellings]) UNITS.set(spelling.toLowerCase(), unit);
}

export const unitSpelled = (text: string): string | undefined => UNITS.get(text.toLowerCase());

export interface NameWords {
  /** In small letters; letters of axes and numbers are words of their own. */
  readonly words: readonly string[];
  /** A unit at the end of the name. */
  readonly unit?: string;
}

/** Names longer than this are not looked into: nobody writes them. */
const LONGEST_NAME = 160;

/** Takes a name apart: snake_case, camelCase, digits, words that the trade writes as one, units at the end. */
export function nameWords(name: string, prefix: NamePrefix = NO_PREFIX): NameWords {
  if (name.length > LONGEST_NAME) return { words: [] };
  const parts = name.split(/[^\p{L}\p{N}]+/u).filter((part) => part !== '');
  const raw: string[] = [];
  for (const [index, part] of parts.entries()) {
    // "mA" and "mOhm" are units, no two words.
    if (index > 0 && unitSpelled(part)) raw.push(part.toLowerCase());
    else raw.push(...split(part));
  }
  const own = withoutPrefix(raw, prefix);
  const { unit, count } = unitAtEnd(own);
  const tail = own.slice(own.length - count);
  // A unit is understood as such; "hertz" and "amps" are words of the trade as well.
  const words = [...joined(own.slice(0, own.length - count)).flatMap(unglued), ...tail.filter(isKnown)];
  return { words, ...(unit !== undefined && { unit }) };
}

const split = (part: string): string[] =>
  part
    .replace(/(\p{Ll})(\p{Lu})/gu, '$1 $2')
    .replace(/(\p{Lu})(\p{Lu}\p{Ll})/gu, '$1 $2')
    .replace(/(\p{L})(\p{N})/gu, '$1 $2')
    .replace(/(\p{N})(\p{L})/gu, '$1 $2')
    .toLowerCase()
    .split(' ');

/** Words that belong together in the trade: "cold side", "pull up", "R25". */
function joined(words: readonly string[]): string[] {
  const result: string[] = [];
  for (let at = 0; at < words.length; ) {
    const length = [3, 2].find(
      (count) => at + count <= words.length && isCompound(words.slice(at, at + count)),
    );
    result.push(words.slice(at, at + (length ?? 1)).join(''));
    at += length ?? 1;
  }
  return result;
}

const isCompound = (words: readonly string[]): boolean =>
  words.some((word) => word.length > 1 || /\d/.test(word)) && isKnown(words.join(''));

/** Letters that stand before or behind a word without a sign between: "VMAX", "PINX". */
const GLUED = new Set(['x', 'y', 'z', 'e', 'v', 't', 'a', 'i', 'd', 'n', 'u']);

/** A word that nobody knows, as two that somebody does: "dirrev", "vmax". */
function unglued(word: string): readonly string[] {
  const known = pieces.get(word);
  if (known) return known;
  const made = piecesOf(word);
  if (pieces.size >= MOST_KEPT) pieces.clear();
  pieces.set(word, made);
  return made;
}

const pieces = new Map<string, readonly string[]>();
const MOST_KEPT = 20_000;

function piecesOf(word: string): readonly string[] {
  if (word.length < 4 || word.length > 24 || sensesOf(word).size > 0) return [word];
  for (let at = word.length - 1; at >= 1; at--) {
    const [left, right] = [word.slice(0, at), word.slice(at)];
    if (isPiece(left) && isPiece(right) && left.length + right.length > 3) return [left, right];
  }
  return [word];
}

const isPiece = (text: string): boolean => (text.length === 1 ? GLUED.has(text) : isKnown(text));

function unitAtEnd(words: readonly string[]): { readonly unit?: string; readonly count: number } {
  for (const count of [3, 2, 1]) {
    if (words.length <= count) continue;
    const unit = unitSpelled(words.slice(-count).join(''));
    if (unit !== undefined) return { unit, count };
  }
  return { count: 0 };
}

/** What most names of a file begin with and what says nothing: a word, or a letter for the type. */
export interface NamePrefix {
  readonly word?: string;
  readonly typeLetters: boolean;
}

export const NO_PREFIX: NamePrefix = { typeLetters: false };

/** Letters that some people put in front for the type: whole number, fraction, switch, text, choice. Common practice. */
const TYPE_LETTERS = /^(?:[bcdefilnpsu]|sz|ul|us|ui|str|u8|u16|u32|i16|i32)(?=[\p{Lu}_])/u;

/** Share of the names from which a prefix counts as one of the whole file. */
const MOST = 0.7;

const prefixes = new WeakMap<readonly string[], NamePrefix>();

/** Kept with the list of names, which must not change afterwards. */
export function prefixOf(names: readonly string[]): NamePrefix {
  const known = prefixes.get(names) ?? commonPrefix(names);
  prefixes.set(names, known);
  return known;
}

function commonPrefix(names: readonly string[]): NamePrefix {
  if (names.length < 8) return NO_PREFIX;
  const typed = names.filter((name) => TYPE_LETTERS.test(name)).length;
  const first = new Map<string, number>();
  for (const name of names) {
    const word = /^(?:\p{Lu}+|\p{L}\p{Ll}*)(?=[\p{Lu}_])/u.exec(name)?.[0].toLowerCase();
    if (word !== undefined) first.set(word, (first.get(word) ?? 0) + 1);
  }
  const [word, count] = [...first].sort((one, other) => other[1] - one[1])[0] ?? ['', 0];
  return {
    typeLetters: typed >= names.length * MOST && !names.some((name) => /^[xyz](?=\p{Lu})/u.test(name)),
    ...(count >= names.length * MOST && { word }),
  };
}

function withoutPrefix(words: readonly string[], { word, typeLetters }: NamePrefix): readonly string[] {
  if (
    words.length > 1 &&
    (words[0] === word || (typeLetters && (words[0]?.length ?? 9) <= 3 && !isKnownHead(words)))
  ) {
    return words.slice(1);
  }
  return words;
}

/** A short first word that is no type letter after all. */
const isKnownHead = ([head = '']: readonly string[]): boolean =>
  head.length > 1 && !/^(?:sz|ul|us|ui|str)$/.test(head);

/** The plain words of a comment, in small letters. */
export const commentWords = (text: string): string[] =>
  joined(
    text
      .slice(0, 300)
      .toLowerCase()
      .split(/[^\p{L}\p{N}]+/u)
      .filter((word) => word !== '')
      .slice(0, 40),
  );
