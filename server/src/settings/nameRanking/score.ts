import type { ConceptTable } from '../concepts';
import type { Feature, Pattern, PatternTable } from './patterns';
import { conceptsFor, slotsOf, type ToolOf } from './slots';
import type { Slots, Subject, Told, Word } from './subject';
import type { ValueFit } from './valueFit';
import type { Senses } from './vocabulary';
import { fitAll } from './wholeFit';

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

const AXIS_WEIGHT = 0.9;
const END_WEIGHT = 0.7;
const DIGIT_WEIGHT = 0.4;

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
