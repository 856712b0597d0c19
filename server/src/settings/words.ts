/** Spellings that count as the same word: case, underscores, dashes and blanks do not matter. */
export const fold = (word: string): string => word.replace(/[_\-\s]+/g, '').toLowerCase();

/** What a token map gives for the first of `keys` that it knows; exact spelling before folded spelling. */
export function lookUp(
  map: ReadonlyMap<string, string> | undefined,
  keys: readonly string[],
): string | undefined {
  if (!map) return undefined;
  for (const key of keys) {
    const exact = map.get(key);
    if (exact !== undefined) return exact;
  }
  for (const key of keys) {
    for (const [token, value] of map) if (fold(token) === fold(key)) return value;
  }
  return undefined;
}

const ON = new Set(['1', 'true', 'yes', 'on']);
const OFF = new Set(['0', 'false', 'no', 'off']);

export function switchWord(word: string): boolean | undefined {
  const folded = fold(word);
  if (ON.has(folded)) return true;
  return OFF.has(folded) ? false : undefined;
}

/** Pairs of switch words, to answer a file in its own manner. */
export const SWITCH_PAIRS: readonly (readonly [on: string, off: string])[] = [
  ['1', '0'],
  ['true', 'false'],
  ['yes', 'no'],
  ['on', 'off'],
];

export const isWord = (text: string): boolean => /^[\p{L}_$][\p{L}\p{N}_$]*$/u.test(text);

/** Letters with a number behind, as control boards mark their pins: P14, PA3, PB_12. */
export const looksLikePin = (word: string): boolean => /^[A-Za-z]{1,3}_?\d{1,3}$/.test(word);

/** Text without the quotes around it, when it has any. */
export const unquote = (text: string): string =>
  /^"[^"]*"$|^'[^']*'$/.test(text) ? text.slice(1, -1) : text;
