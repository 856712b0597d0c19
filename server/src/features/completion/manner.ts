import { keptWith } from '../../model/kept';
import type { Analysis } from '../../project/analysis';
import type { NewValue } from '../../settings/reading';
import { fold, SWITCH_PAIRS } from '../../settings/words';

/** How the settings of a project write switches: pairs of words as they are spelled, the most used first. */
export type Manner = readonly (readonly [on: string, off: string])[];

const manners = keptWith<Analysis, Manner>('manner');

export function mannerOf(analysis: Analysis): Manner {
  let known = manners.get(analysis);
  if (!known) {
    known = count(analysis);
    manners.set(analysis, known);
  }
  return known;
}

function count({ machine }: Analysis): Manner {
  const used = new Map<string, { readonly pair: readonly [string, string]; times: number }>();
  for (const { concept, entry } of machine.settings.all) {
    const word = entry.rawText;
    if (concept.type !== 'switch' || word === '') continue;
    const plain = SWITCH_PAIRS.find((pair) => pair.includes(fold(word)));
    if (!plain) continue;
    const pair = [like(plain[0], word), like(plain[1], word)] as const;
    const known = used.get(pair[0]);
    if (known) known.times++;
    else used.set(pair[0], { pair, times: 1 });
  }
  return [...used.values()].sort((one, other) => other.times - one.times).map(({ pair }) => pair);
}

/** A word in the capitals of another. */
function like(word: string, model: string): string {
  if (model === model.toUpperCase()) return word.toUpperCase();
  return model === model.toLowerCase() ? word : word.charAt(0).toUpperCase() + word.slice(1);
}

/**
 * Spellings of on and off, in this order: those of the name map where it has its own, else those that the settings use.
 * @param spelled how the settings would spell a value where nothing stands yet
 */
export function switchWords(
  manner: Manner,
  spelled: (value: NewValue) => string | undefined,
): readonly string[] {
  const plain = [spelled({ on: true }), spelled({ on: false })];
  const own = plain[0] !== 'ON' || plain[1] !== 'OFF';
  const pairs = own || manner.length === 0 ? [plain] : manner;
  return pairs.flat().filter((word): word is string => word !== undefined && word !== '');
}

/** Whether such a word means on; undefined for words of a name map's own. */
export function meansOn(word: string): boolean | undefined {
  const pair = SWITCH_PAIRS.find((words) => words.includes(fold(word)));
  return pair && fold(word) === pair[0];
}
