import type { Entry, SettingValue } from '../../syntax/entry';
import { fromSi, toSi } from '../../units/convert';
import type { Concept, Span } from '../concept';
import { fold, looksLikePin, SWITCH_PAIRS, switchWord, unquote } from '../words';
import { unitSpelled } from './tokens';
import { WORDS } from './vocabulary';

/** How a value goes with a concept. */
export interface ValueFit {
  /** 0: cannot be, 1: just what it would be. */
  readonly factor: number;
  readonly unit?: string;
  readonly scale?: number;
  readonly tokens?: Readonly<Record<string, string>>;
  readonly definedMeans?: string;
  /** In words, behind a comma: "9000 is usual in mm/min". */
  readonly because?: string;
}

/** What the name itself says of how its value counts. */
export interface Manner {
  /** Units that name or comments speak of. */
  readonly units: readonly string[];
  /** The name says that its value turns the meaning round: "disable", "active low". */
  readonly negative: boolean;
}

export interface WrittenValue {
  readonly value: SettingValue;
  readonly text: string;
  readonly word?: string;
}

export const writtenValueOf = (entry: Entry): WrittenValue => ({
  value: entry.value,
  text: entry.rawText,
  ...(entry.rawWord !== undefined && { word: entry.rawWord }),
});

export function itemsOf({ value, text }: WrittenValue): readonly WrittenValue[] | undefined {
  if (value.kind !== 'list') return undefined;
  const texts = text
    .replace(/^\s*\{|\}\s*$/g, '')
    .split(',')
    .map((each) => each.trim());
  return value.items.map((item, index) => {
    const own = texts[index] ?? '';
    return { value: item.value, text: own, ...(/^[\p{L}_]\w*$/u.test(own) && { word: own }) };
  });
}

/** A value that speaks for itself: the name of a pin, a switch. */
export function lookOf(written: WrittenValue): 'pin' | 'switch' | undefined {
  if (fitSwitch(written, PLAIN).factor >= 1) return 'switch';
  return fitPin(written) >= 0.85 ? 'pin' : undefined;
}

const PLAIN: Manner = { units: [], negative: false };

export function fitValue(concept: Concept, written: WrittenValue, manner: Manner): ValueFit {
  if (written.value.kind === 'other' && written.value.undecided) return { factor: 0.8 };
  switch (concept.type) {
    case 'number':
    case 'integer':
      return fitNumber(concept, written, manner);
    case 'switch':
      return fitSwitch(written, manner);
    case 'pin':
      return { factor: fitPin(written) };
    case 'choice':
      return fitChoice(concept, written, manner);
    case 'curve':
      return { factor: CURVE[written.value.kind] ?? 0.2 };
    default:
      return { factor: TEXT[written.value.kind] ?? 0.2 };
  }
}

const TEXT: Partial<Record<SettingValue['kind'], number>> = { text: 1, word: 0.75, number: 0.75 };
const CURVE: Partial<Record<SettingValue['kind'], number>> = { text: 1, word: 0.85, number: 0.7, list: 0.5 };

function fitPin({ value, text, word }: WrittenValue): number {
  const written = word ?? unquote(text);
  if (looksLikePin(written) || /^none$/i.test(written)) return 1;
  if (value.kind === 'number') return value.integer && value.value >= -1 && value.value <= 255 ? 0.85 : 0.05;
  if (value.kind === 'word') return looksLikePin(value.word) ? 1 : /\d/.test(value.word) ? 0.7 : 0.35;
  return value.kind === 'text' ? 0.5 : 0.05;
}

function fitSwitch({ value, word }: WrittenValue, { negative }: Manner): ValueFit {
  if (value.kind === 'empty') return { factor: 1, definedMeans: negative ? 'off' : 'on' };
  if (value.kind === 'number' && value.value !== 0 && value.value !== 1) return { factor: 0.1 };
  const said =
    value.kind === 'number' ? String(value.value) : value.kind === 'word' ? value.word : (word ?? '');
  if (switchWord(said) === undefined) return { factor: 0.1 };
  return { factor: 1, ...(negative && { tokens: pairTokens(said, ['off', 'on']) }) };
}

/** The words of a switch in the file's own spelling, with what they mean. */
function pairTokens(said: string, [on, off]: readonly [string, string]): Record<string, string> {
  const pair = SWITCH_PAIRS.find((words) => words.includes(fold(said))) ?? ['1', '0'];
  const inCase = (text: string): string => (said === said.toUpperCase() ? text.toUpperCase() : text);
  return { [inCase(pair[0])]: on, [inCase(pair[1])]: off };
}

function fitChoice(concept: Concept, { value, text, word }: WrittenValue, { negative }: Manner): ValueFit {
  const choices = concept.choices ?? [];
  const two = choices.length === 2 && choices.every(({ id }) => id === 'low' || id === 'high');
  const said = [
    word,
    value.kind === 'word' ? value.word : undefined,
    value.kind === 'text' ? value.text : undefined,
  ];
  for (const each of said) {
    const choice = each === undefined ? undefined : choiceMeant(concept, each);
    if (choice === undefined) continue;
    const plain = fold(choice) === fold(each ?? '');
    return {
      factor: 1.1,
      because: `${each} is one of its values`,
      ...(!plain && { tokens: { [each as string]: choice } }),
    };
  }
  if (value.kind === 'empty')
    return two ? { factor: 0.75, definedMeans: negative ? 'low' : 'high' } : { factor: 0.1 };
  const bare = value.kind === 'number' ? String(value.value) : value.kind === 'word' ? value.word : '';
  if (two && switchWord(bare) !== undefined) {
    return { factor: 0.8, tokens: pairTokens(bare, negative ? ['low', 'high'] : ['high', 'low']) };
  }
  return { factor: value.kind === 'word' || value.kind === 'text' ? 0.5 : text === '' ? 0.1 : 0.3 };
}

/** The choice that a word of the file stands for, by its id or by words of the trade, with what may be glued to it. */
function choiceMeant(concept: Concept, word: string): string | undefined {
  const folded = fold(word);
  const choices = concept.choices ?? [];
  const exact = choices.find(({ id }) => fold(id) === folded);
  if (exact) return exact.id;
  const words = (id: string) => WORDS.choices[id] ?? [];
  const known = choices.filter(({ id }) => words(id).includes(folded));
  if (known.length === 1) return known[0]?.id;
  const inside = choices.filter(({ id }) =>
    words(id).some((each) => each.length >= 4 && folded.endsWith(each)),
  );
  return inside.length === 1 ? inside[0]?.id : undefined;
}

function fitNumber(concept: Concept, { value, text }: WrittenValue, { units }: Manner): ValueFit {
  if (value.kind !== 'number' || !Number.isFinite(value.value)) {
    return { factor: concept.optional && /^none$/i.test(text) ? 0.9 : value.kind === 'empty' ? 0.05 : 0.2 };
  }
  const number = value.value;
  const own = units.filter((unit) => concept.quantity !== undefined && admits(concept, unit));
  if (own[0] !== undefined) {
    const unit = own[0];
    const factor = 1.08 * spanFactor(concept, inOwnUnit(concept, number, unit));
    return { factor, ...(unit !== concept.unit && { unit }), because: `its unit is ${unit}` };
  }
  if (concept.unit === '%') return fitShare(concept, number);
  const plain = spanFactor(concept, number);
  if (plain >= 1 || concept.unit === undefined) {
    const whole = concept.type === 'integer' && !value.integer ? 0.3 : 1;
    return { factor: plain * whole * (units.length > 0 && concept.unit === undefined ? 0.5 : 1) };
  }
  for (const unit of WORDS.otherUnits[concept.unit] ?? []) {
    const converted = inOwnUnit(concept, number, unit);
    if (spanFactor(concept, converted) < 1) continue;
    return { factor: 0.93, unit, because: `${number} is usual in ${unit}, not in ${concept.unit}` };
  }
  return { factor: plain };
}

/** Shares are also written from 0 to 1 and in the 256 steps of a byte. */
function fitShare(concept: Concept, number: number): ValueFit {
  if (number > 100 && number <= 255)
    return { factor: 0.9, scale: 100 / 255, because: `${number} is a share of 255` };
  if (number > 0 && number < 1) return { factor: 0.9, scale: 100, because: `${number} is a share of 1` };
  return { factor: spanFactor(concept, number) };
}

const admits = (concept: Concept, unit: string): boolean => inOwnUnit(concept, 1, unit) !== undefined;

function inOwnUnit(concept: Concept, number: number, unit: string): number | undefined {
  if (concept.quantity === undefined) return undefined;
  const si = toSi(number, unit, concept.quantity);
  return si === undefined
    ? undefined
    : concept.unit === undefined
      ? si
      : fromSi(si, concept.unit, concept.quantity);
}

function spanFactor({ usual, hard }: Concept, number: number | undefined): number {
  if (number === undefined || !within(hard, number)) return 0.3;
  return within(usual, number) ? 1 : 0.72;
}

const SLACK = 1e-9;

const within = (span: Span | undefined, number: number): boolean =>
  span === undefined ||
  (number >= (span.lo ?? Number.NEGATIVE_INFINITY) * (1 - SLACK) - SLACK &&
    number <= (span.hi ?? Number.POSITIVE_INFINITY) * (1 + SLACK));

/** Units that a comment speaks of. Words that are units by chance only count when they stand alone or behind a number. */
export function unitsIn(comment: string): string[] {
  const found: string[] = [];
  const pieces = comment
    .slice(0, 300)
    .split(/[\s,;:()[\]]+/)
    .filter((piece) => piece !== '');
  for (const [index, piece] of pieces.entries()) {
    const bare = piece.replace(/^[\d.±<>=~-]+(?=\D)|[.!?]$/g, '');
    const unit = unitSpelled(bare);
    if (unit === undefined) continue;
    const alone = pieces.length === 1 || index === 0 || /^[\d.]+$/.test(pieces[index - 1] ?? '');
    const plain = /^(?:a|b|c|s|v|w|k|in|min|minute|second|ma|hz)$/i.test(bare) && !alone && bare !== unit;
    const article =
      /^a$/.test(bare) ||
      (/^(?:min|second)$/i.test(bare) && pieces.length > 1 && index === 0 && bare !== 's');
    if (!plain && !article && !found.includes(unit)) found.push(unit);
  }
  return found;
}
