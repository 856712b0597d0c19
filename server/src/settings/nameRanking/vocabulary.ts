import trade from '../../../../schemas/words/trade.json';
import { once } from '../../model/once';

/** What a word of a name may stand for, and how surely (0 to 1). */
export type Senses = ReadonlyMap<string, number>;

export interface WordData {
  readonly senses: Readonly<Record<string, { readonly words: readonly string[] }>>;
  readonly parts: readonly { readonly ids: string; readonly senses: string }[];
  readonly settings: Readonly<Record<string, readonly string[]>>;
  readonly choices: Readonly<Record<string, readonly string[]>>;
  readonly units: Readonly<Record<string, readonly string[]>>;
  /** What a unit says of its setting. */
  readonly implied: Readonly<Record<string, string>>;
  /** Settings that one list may hold together. */
  readonly together: readonly { readonly ids: readonly string[]; readonly senses: string }[];
  /** Units that a value may be in when it is unusual in its own. */
  readonly otherUnits: Readonly<Record<string, readonly string[]>>;
}

/** Words and short forms that the trade uses: common practice. */
export const WORDS = trade as unknown as WordData;

/** "word:0.6" → the word and its weight. */
export function weighted(text: string): readonly [word: string, weight: number] {
  const [word = '', weight] = text.split(':');
  return [word, weight === undefined ? 1 : Number(weight)];
}

/** Made when first asked for: most sessions teach nothing. */
const known = once(() => {
  const all = new Map<string, Map<string, number>>();
  for (const [sense, { words }] of Object.entries(WORDS.senses)) {
    for (const text of words) {
      const [word, weight] = weighted(text);
      const senses = all.get(word) ?? new Map<string, number>();
      senses.set(sense, weight);
      all.set(word, senses);
    }
  }
  return all;
});

export const isKnown = (word: string): boolean => known().has(word);

/** Words that say nothing by themselves. */
export const NEUTRAL = 'neutral';

/** A number of letters below which a beginning or a skeleton of consonants fits too much. */
const SHORTEST = 3;
const LONGEST = 40;

/** Longer words by their beginnings and by their skeletons. */
const shortForms = once(() => {
  const beginnings = new Map<string, Set<string>>();
  const skeletons = new Map<string, Set<string>>();
  for (const word of known().keys()) {
    for (let length = SHORTEST; length < word.length; length++) add(beginnings, word.slice(0, length), word);
    const skeleton = skeletonOf(word);
    if (skeleton.length >= SHORTEST && word.length > skeleton.length) add(skeletons, skeleton, word);
  }
  return { beginnings, skeletons };
});

function add(lists: Map<string, Set<string>>, key: string, word: string): void {
  const list = lists.get(key);
  if (list) list.add(word);
  else lists.set(key, new Set([word]));
}

/** The first letter and all consonants behind it, doubled ones once: "heater" → "htr". */
function skeletonOf(word: string): string {
  return (word.charAt(0) + word.slice(1).replace(/[aeiou]/g, '')).replace(/(.)\1+/g, '$1');
}

const NOTHING: Senses = new Map();
const found = new Map<string, Senses>();
const MOST_KEPT = 20_000;

/** What a word in small letters may stand for: by itself, without its ending, or as a short form of a longer word. */
export function sensesOf(word: string): Senses {
  const direct = known().get(word);
  if (direct) return direct;
  let senses = found.get(word);
  if (senses === undefined) {
    senses = guess(word);
    if (found.size >= MOST_KEPT) found.clear();
    found.set(word, senses);
  }
  return senses;
}

const ENDINGS = ['s', 'es', 'd', 'ed', 'ing', 'er', 'ers'];

function guess(word: string): Senses {
  if (word.length < SHORTEST || word.length > LONGEST || !/^[a-z]+$/.test(word)) return NOTHING;
  for (const ending of ENDINGS) {
    const stem = word.endsWith(ending) ? word.slice(0, -ending.length) : '';
    const senses =
      stem.length >= SHORTEST
        ? (known().get(stem) ?? known().get(`${stem}e`) ?? known().get(undoubled(stem)))
        : undefined;
    if (senses) return senses;
  }
  return (
    shortFormOf([...(shortForms().beginnings.get(word) ?? [])], 0.85) ??
    shortFormOf([...(shortForms().skeletons.get(word) ?? [])], 0.8) ??
    NOTHING
  );
}

const undoubled = (stem: string): string => stem.replace(/(.)\1$/, '$1');

/** The senses of all words that a short form may stand for, a little less sure. */
function shortFormOf(words: readonly string[], share: number): Senses | undefined {
  if (words.length === 0) return undefined;
  const senses = new Map<string, number>();
  for (const word of words) {
    for (const [sense, weight] of known().get(word) ?? []) {
      senses.set(sense, Math.max(senses.get(sense) ?? 0, weight * share));
    }
  }
  return senses;
}
