import type { Pattern } from './patterns';
import { type Senses, sensesOf } from './vocabulary';

/** Something of a name with a known meaning. */
export interface KnownName {
  readonly words: readonly string[];
  readonly pattern: Pattern;
}

/** A word means what all known names with it have in common, a little less surely than a word of the trade does. */
const SURE = 0.8;
/** Features that a setting is hardly told by teach nothing. */
const TELLING = 0.5;

/**
 * Words of nobody's trade that the names of known meaning explain: where "jetPin" and "jetTop" are of the tool, "jet" is a tool.
 * What other words of a name say already is not what the strange one says.
 */
export function learnedWords(names: Iterable<KnownName>): ReadonlyMap<string, Senses> {
  const common = new Map<string, ReadonlySet<string>>();
  for (const { words, pattern } of names) {
    const strange = words.filter(
      (word) => word.length > 1 && /^\p{L}+$/u.test(word) && sensesOf(word).size === 0,
    );
    if (strange.length === 0) continue;
    const said = (sense: string) => words.some((word) => (sensesOf(word).get(sense) ?? 0) >= TELLING);
    const features = pattern.ways.flatMap((way) => way.filter(({ weight }) => weight >= TELLING));
    const left = new Set(features.map(({ sense }) => sense).filter((sense) => !said(sense)));
    for (const word of strange) {
      const before = common.get(word);
      common.set(word, before ? new Set([...before].filter((sense) => left.has(sense))) : left);
    }
  }
  return new Map(
    [...common].map(([word, senses]) => [word, new Map([...senses].map((sense) => [sense, SURE]))] as const),
  );
}
