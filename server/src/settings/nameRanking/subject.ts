import type { PatternTable } from './patterns';
import type { NamedEntry } from './surroundings';
import { commentWords, type NameWords } from './tokens';
import { itemsOf, lookOf, unitsIn, type WrittenValue, writtenValueOf } from './valueFit';
import { NEUTRAL, type Senses, sensesOf, WORDS, weighted } from './vocabulary';

export interface Word {
  readonly word: string;
  readonly senses: Senses;
  /** How much it says: rare words more than common ones. */
  readonly weight: number;
}

/** What tells the parts of one kind from each other. */
export interface Slots {
  readonly axis?: string;
  readonly end?: string;
  readonly tool?: string;
}

/** What a name says of them. */
export interface Told {
  readonly slots: Slots;
  readonly open: readonly (keyof Slots)[];
}

/** All that is known of one name before it is compared with concepts. */
export interface Subject {
  readonly named: NamedEntry;
  readonly words: readonly Word[];
  readonly axis?: string;
  readonly digit?: number;
  /** Senses of the name's words. */
  readonly said: ReadonlyMap<string, number>;
  /** Senses of what stands around it: comment, section, value. */
  readonly hinted: ReadonlyMap<string, number>;
  /** Axis that comment or section speak of. */
  readonly hintedAxis?: string;
  readonly nameUnit?: string;
  readonly units: readonly string[];
  readonly value: WrittenValue;
  readonly items?: readonly WrittenValue[];
  /** What the value alone says. */
  readonly looks?: 'pin' | 'switch';
  /** Axes in the order in which a comment names them. */
  readonly order?: readonly string[];
  readonly negative: boolean;
  /** Filled as it is asked for. */
  readonly told: Told[];
}

const COMMENT = 0.7;
const SECTION = 0.5;

export function subjectOf(
  named: NamedEntry,
  { words, unit }: NameWords,
  table: PatternTable,
  look: (word: string) => Senses = sensesOf,
): Subject {
  const said = new Map<string, number>();
  let axis: string | undefined;
  let digit: number | undefined;
  const own: Word[] = [];
  for (const word of words) {
    if (/^\d+$/.test(word)) digit ??= Number(word);
    else if (/^[xyze]$/.test(word)) axis ??= word;
    else {
      const senses = look(word);
      for (const [sense, weight] of senses) raise(said, sense, weight);
      own.push({ word, senses, weight: weightOf(word, senses, table) });
    }
  }
  const comment = commentWords(named.comment);
  const section = commentWords(named.section);
  const hinted = new Map<string, number>();
  for (const word of comment)
    for (const [sense, weight] of sensesOf(word)) raise(hinted, sense, weight * COMMENT);
  for (const word of section)
    for (const [sense, weight] of sensesOf(word)) raise(hinted, sense, weight * SECTION);
  const value = writtenValueOf(named.entry);
  const ownUnits = [...(unit !== undefined ? [unitOfName(unit, said)] : []), ...unitsIn(named.comment)];
  const units = ownUnits.length > 0 ? ownUnits : unitsIn(named.section).filter((each) => each.length > 1);
  for (const each of units) {
    for (const text of (WORDS.implied[each] ?? '').split(' ')) {
      const [sense, weight] = weighted(text);
      if (sense !== '') raise(hinted, sense, weight);
    }
  }
  const hintedAxis = axisIn(comment) ?? axisIn(section);
  const items = itemsOf(value);
  const order = items && (orderIn(comment, items.length) ?? orderIn(section, items.length));
  const looks = lookOf(items?.[0] ?? value);
  return {
    named,
    words: own,
    told: [],
    said,
    hinted,
    units,
    value,
    negative: (said.get('disabled') ?? 0) >= 1 || isTurned(words),
    ...(axis !== undefined && { axis }),
    ...(digit !== undefined && { digit }),
    ...(hintedAxis !== undefined && { hintedAxis }),
    ...(unit !== undefined && { nameUnit: unit }),
    ...(items && { items }),
    ...(looks && { looks }),
    ...(order && { order }),
  };
}

const raise = (map: Map<string, number>, key: string, weight: number): void => {
  if (weight > (map.get(key) ?? 0)) map.set(key, weight);
};

/** Steps before millimetres are steps per millimetre. */
const unitOfName = (unit: string, said: ReadonlyMap<string, number>): string =>
  unit === 'mm' && (said.get('step') ?? 0) >= 0.9 ? 'steps/mm' : unit;

function weightOf(word: string, senses: Senses, table: PatternTable): number {
  if (senses.size === 0) return 0.7;
  let most = 0;
  for (const [sense, weight] of senses) {
    most = Math.max(most, sense === NEUTRAL ? 0 : weight * table.rarity(sense));
  }
  const neutral = senses.get(NEUTRAL) ?? 0;
  const short = word.length === 1 ? 0.6 : 1;
  return Math.max(0.1, most * short * (1 - 0.8 * neutral));
}

/** "inverted", "active low": the written value says the opposite of the level. */
const isTurned = (words: readonly string[]): boolean =>
  words.some((word, index) => /^inv/.test(word) || (word === 'low' && /^act/.test(words[index - 1] ?? '')));

const axisIn = (words: readonly string[]): string | undefined => {
  const axes = new Set(words.filter((word) => /^[xyz]$/.test(word)));
  return axes.size === 1 ? [...axes][0] : undefined;
};

function orderIn(words: readonly string[], length: number): readonly string[] | undefined {
  const axes = words.flatMap((word) => {
    const index = /^e(\d)$/.exec(word)?.[1];
    if (index !== undefined) return [`e${index}`];
    if (/^[xyz]$/.test(word)) return [word];
    return word === 'e' || (sensesOf(word).get('feed') ?? 0) >= 0.9 ? ['e0'] : [];
  });
  return axes.length === length && new Set(axes).size === length ? axes : undefined;
}
