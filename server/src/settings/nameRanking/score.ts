import type { Concept } from '../concept';
import type { ConceptTable } from '../concepts';
import type { Feature, Pattern, PatternTable } from './patterns';
import type { NamedEntry } from './surroundings';
import { commentWords, type NameWords } from './tokens';
import {
  fitValue,
  itemsOf,
  lookOf,
  unitsIn,
  type ValueFit,
  type WrittenValue,
  writtenValueOf,
} from './valueFit';
import { NEUTRAL, type Senses, sensesOf, WORDS, weighted } from './vocabulary';

interface Word {
  readonly word: string;
  readonly senses: Senses;
  /** How much it says: rare words more than common ones. */
  readonly weight: number;
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

export interface Slots {
  readonly axis?: string;
  readonly end?: string;
  readonly tool?: string;
}

export interface Scored {
  readonly pattern: Pattern;
  readonly way: number;
  readonly slots: Slots;
  /** Slots that nothing tells, so that the first one was taken. */
  readonly open: readonly (keyof Slots)[];
  readonly concepts: readonly string[];
  readonly fit: ValueFit;
  /** Share of the name's words that the reading makes use of, by their weight. */
  readonly explained: number;
  readonly score: number;
}

/** One reading that a name may have. */
export interface Candidate extends Scored {
  /** Names that differ in axis, tool or number only and mean the like. */
  readonly siblings: readonly string[];
  /** The neighbours belong to the same part of the machine. */
  readonly amongItsOwn: boolean;
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

const DEFAULT_ORDER = ['x', 'y', 'z', 'e0', 'e1', 'e2', 'e3'];
const AXIS_WEIGHT = 0.9;
const END_WEIGHT = 0.7;
const DIGIT_WEIGHT = 0.4;

/** How a number in a name counts tools: from 0, or from 1 in files whose names never have a 0 there. */
type ToolOf = (subject: Subject) => string | undefined;

/** What all names of one ranking are compared with. */
export interface Ground {
  readonly concepts: ConceptTable;
  readonly table: PatternTable;
  readonly toolOf: ToolOf;
}

/** How well the words go with a pattern, before its value is looked at. */
export interface WordScore {
  readonly pattern: Pattern;
  readonly way: number;
  readonly explained: number;
  readonly score: number;
}

/** Below this the value does not matter any more. */
const LEAST_BY_WORDS = 0.22;

export function scoreWords(subject: Subject, pattern: Pattern, { toolOf }: Ground): WordScore | undefined {
  const told = slotsOf(subject, pattern, toolOf);
  let best: WordScore | undefined;
  for (let way = 0; way < pattern.ways.length; way++) {
    const features = pattern.ways[way] ?? [];
    const isSecond = subject.digit === 2 && features.some(({ sense }) => sense === 'second');
    const recall = recallOf(subject, pattern, features, told);
    const precision = precisionOf(subject, pattern, features, told, isSecond) ?? recall;
    // The 2 in "Z2" is no second tool.
    const second = isSecond && !subject.said.has('second') ? 0.12 : 0;
    const score = 0.58 * recall + 0.42 * precision + second;
    if (score >= LEAST_BY_WORDS && score > (best?.score ?? 0))
      best = { pattern, way, explained: precision, score };
  }
  return best;
}

/** Share of what makes up the setting that name, comment, section or value speak of. */
function recallOf(
  subject: Subject,
  pattern: Pattern,
  features: readonly Feature[],
  { slots, open }: Told,
): number {
  const { said, hinted, looks } = subject;
  const type = pattern.concepts[0]?.type;
  let total = 0;
  let got = 0;
  for (let at = 0; at < features.length; at++) {
    const { sense, worth } = features[at] as Feature;
    const byValue = looks === type && sense === (type === 'pin' ? 'pin' : 'enabled') ? 0.8 : 0;
    total += worth;
    got += worth * Math.max(said.get(sense) ?? 0, hinted.get(sense) ?? 0, byValue);
  }
  if (pattern.slots.axis && !pattern.series) {
    total += AXIS_WEIGHT;
    if (subject.items || subject.axis !== undefined || slots.axis?.startsWith('e')) got += AXIS_WEIGHT;
    else if (subject.hintedAxis !== undefined) got += AXIS_WEIGHT * 0.6;
  }
  if (pattern.slots.end) {
    total += END_WEIGHT;
    if (!open.includes('end')) got += END_WEIGHT;
  }
  return total === 0 ? 0 : got / total;
}

/** Share of the name's words that the setting makes use of; undefined for a name without words. */
function precisionOf(
  subject: Subject,
  pattern: Pattern,
  features: readonly Feature[],
  { slots }: Told,
  isSecond: boolean,
): number | undefined {
  let total = 0;
  let explained = 0;
  for (let at = 0; at < subject.words.length; at++) {
    const { senses, weight } = subject.words[at] as Word;
    let most = slotSense(pattern, senses);
    for (let nth = 0; nth < features.length; nth++)
      most = Math.max(most, senses.get((features[nth] as Feature).sense) ?? 0);
    total += weight;
    explained += weight * most;
  }
  if (subject.axis !== undefined) {
    total += AXIS_WEIGHT;
    if (pattern.slots.axis) explained += AXIS_WEIGHT;
  }
  if (subject.digit !== undefined) {
    total += DIGIT_WEIGHT;
    if (pattern.slots.tool || slots.axis?.startsWith('e') || isSecond) explained += DIGIT_WEIGHT;
  }
  return total === 0 ? undefined : explained / total;
}

/** The words' score with what the value says; undefined where such a value cannot be. */
export function scoreValue(
  subject: Subject,
  words: WordScore,
  { toolOf, concepts: known }: Ground,
): Scored | undefined {
  const { pattern, way, explained } = words;
  const { slots, open } = slotsOf(subject, pattern, toolOf);
  const concepts = conceptsFor(subject, pattern, slots);
  if (!concepts) return undefined;
  const fit = fitAll(subject, concepts, known);
  const score = words.score * fit.factor * unitFactor(subject, pattern, fit);
  return { pattern, way, slots, open, concepts, fit, explained, score };
}

/** Words that choose an axis, an end or a tool explain themselves by that. */
function slotSense(pattern: Pattern, senses: Senses): number {
  let most = 0;
  if (pattern.slots.axis) most = Math.max(most, senses.get('feed') ?? 0);
  if (pattern.slots.end) most = Math.max(most, senses.get('low') ?? 0, senses.get('high') ?? 0);
  return most;
}

/** A unit that the setting cannot have speaks against it; a letter or two may be no unit after all. */
function unitFactor(subject: Subject, pattern: Pattern, fit: ValueFit): number {
  const concept = pattern.concepts[0] ?? pattern.series?.[0]?.concepts[0];
  const speaking = subject.units.filter((unit) => unit !== 'min');
  if (!concept || speaking.length === 0) return 1;
  if (concept.quantity === undefined)
    return subject.nameUnit !== undefined && subject.nameUnit !== 'min' ? 0.6 : 0.85;
  // A share of 255 or of 1 goes without a unit.
  if (fit.because !== undefined && fit.scale === undefined) return 1;
  return speaking.some((unit) => unit.length > 1 || unit === '%' || unit === subject.nameUnit) ? 0.45 : 0.7;
}

interface Told {
  readonly slots: Slots;
  readonly open: readonly (keyof Slots)[];
}

/** What a name says of axis, end and tool is the same for all patterns that want the same of them. */
function slotsOf(subject: Subject, { slots: wanted }: Pattern, toolOf: ToolOf): Told {
  const key = (wanted.axis ? 1 : 0) + (wanted.end ? 2 : 0) + (wanted.tool ? 4 : 0);
  const told = subject.told[key] ?? readSlots(subject, wanted, toolOf);
  subject.told[key] = told;
  return told;
}

function readSlots(subject: Subject, wanted: Pattern['slots'], toolOf: ToolOf): Told {
  const open: (keyof Slots)[] = [];
  const slots: { axis?: string; end?: string; tool?: string } = {};
  if (wanted.axis) {
    const isFeed =
      subject.axis === 'e' || (subject.axis === undefined && (subject.said.get('feed') ?? 0) >= 0.7);
    slots.axis = isFeed ? `e${toolOf(subject) ?? '0'}` : (subject.axis ?? subject.hintedAxis);
    if (slots.axis === undefined) {
      slots.axis = 'x';
      if (!subject.items) open.push('axis');
    }
  }
  if (wanted.end) {
    const [low, high] = ['low', 'high'].map((sense) => subject.said.get(sense) ?? 0) as [number, number];
    const [softLow, softHigh] = ['low', 'high'].map((sense) => subject.hinted.get(sense) ?? 0) as [
      number,
      number,
    ];
    if (low !== high) slots.end = low > high ? 'low' : 'high';
    else if (softLow !== softHigh) slots.end = softLow > softHigh ? 'low' : 'high';
    else {
      slots.end = 'low';
      open.push('end');
    }
  }
  if (wanted.tool) {
    const tool = toolOf(subject);
    slots.tool = tool ?? '0';
    if (tool === undefined) open.push('tool');
  }
  return { slots, open };
}

export const conceptIn = (pattern: Pattern, slots: Slots): Concept | undefined =>
  pattern.concepts.find(
    ({ parts }) =>
      (parts.axis === undefined || parts.axis === slots.axis) &&
      (parts.end === undefined || parts.end === slots.end) &&
      (parts.n === undefined || parts.n === slots.tool),
  );

/** The concept of a single value, or of each item of a list; undefined when such a list cannot be. */
export function conceptsFor(subject: Subject, pattern: Pattern, slots: Slots): readonly string[] | undefined {
  const { items, order } = subject;
  if (pattern.series) {
    if (items?.length !== pattern.series.length) return undefined;
    const ids = pattern.series.map((each) => conceptIn(each, slots)?.id);
    return ids.every((id) => id !== undefined) ? (ids as string[]) : undefined;
  }
  if (!items) {
    const id = conceptIn(pattern, slots)?.id;
    return id === undefined ? undefined : [id];
  }
  if (pattern.slots.axis && subject.axis === undefined) {
    const axes = order ?? DEFAULT_ORDER.slice(0, items.length);
    const ids = axes.map((axis) => conceptIn(pattern, { ...slots, axis })?.id ?? '');
    return ids.length === items.length && ids.some((id) => id !== '') ? ids : undefined;
  }
  if (pattern.slots.tool && items.length <= 4) {
    return items.map((_, tool) => conceptIn(pattern, { ...slots, tool: String(tool) })?.id ?? '');
  }
  return pattern.concepts[0]?.type === 'curve' && conceptIn(pattern, slots)
    ? [conceptIn(pattern, slots)?.id as string]
    : undefined;
}

/** How the whole value goes with the concepts of its items. `only`: the unit to take it in. */
export function fitAll(
  subject: Subject,
  ids: readonly string[],
  concepts: ConceptTable,
  only?: string,
): ValueFit {
  const manner = { units: only === undefined ? subject.units : [only], negative: subject.negative };
  const { items, value } = subject;
  const concept = (id: string) => concepts.get(id);
  const [first = ''] = ids;
  if (!items || (ids.length === 1 && items.length !== 1)) {
    const found = concept(first);
    return found ? fitValue(found, value, manner) : { factor: 0 };
  }
  const fits = ids.flatMap((id, index) => {
    const found = concept(id);
    const item = items[index];
    return found && item ? [fitValue(found, item, manner)] : [];
  });
  const units = new Set(fits.map(({ unit }) => unit));
  const other = fits.find(({ unit }) => unit !== undefined)?.unit;
  if (units.size > 1 && other !== undefined && only === undefined)
    return fitAll(subject, ids, concepts, other);
  const factor = fits.reduce((sum, fit) => sum + fit.factor, 0) / Math.max(1, fits.length);
  const tokens = Object.assign({}, ...fits.map((fit) => fit.tokens ?? {})) as Record<string, string>;
  const gaps = ids.filter((id) => id === '').length / ids.length;
  return {
    ...fits.find(({ unit }) => unit === other),
    factor: factor * (1 - gaps),
    ...(Object.keys(tokens).length > 0 && { tokens }),
  };
}
