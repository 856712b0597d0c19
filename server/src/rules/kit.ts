import type { Fact } from '../model/fact';
import { corners, type Interval } from '../model/interval';
import type { Place, TextEdit } from '../model/place';
import type { Concept } from '../settings/concept';
import type { NewValue, Reading, ReadingValue } from '../settings/reading';
import { formatNumber, formatQuantity } from '../units';
import { type Cause, lower, type Remedy, type RuleContext, type Severity, severities } from './rule';

/** At how many corners of the facts' ranges a condition holds. */
export type Extent = 'none' | 'some' | 'all';

/** Tries a condition at every combination of the ends of `values`. Laws must be monotone in each argument. */
export function extentOf(values: readonly Interval[], fails: (...args: number[]) => boolean): Extent {
  const results = corners(values).map((row) => fails(...row));
  if (results.every(Boolean)) return 'all';
  return results.some(Boolean) ? 'some' : 'none';
}

/** How sure a finding is: `certain` when it fails at every corner, `estimated` when it rests on an estimate. */
export interface Verdict {
  readonly severity: Severity;
  readonly certain: boolean;
  readonly estimated: boolean;
}

/**
 * The catalogue's policy for ranges and for the quality of facts. Fails at every corner: the stated severity. At some: one step lower
 * (the message then says "may"). Resting on an estimate: warning at most (the message then says "estimated"), unless `firm`: a rule
 * with a caution that fails at every corner keeps its error.
 */
export function judge(
  extent: Extent,
  severity: Severity,
  facts: readonly (Fact<unknown> | undefined)[] = [],
  options: { readonly firm?: boolean } = {},
): Verdict | undefined {
  if (extent === 'none') return undefined;
  const certain = extent === 'all';
  const estimated = facts.some((fact) => fact?.quality === 'estimated');
  const stated = certain ? severity : lower(severity);
  return {
    severity: estimated && !(options.firm && certain) ? atMost(stated, 'warning') : stated,
    certain,
    estimated,
  };
}

/** One of several limits of a value, each with its own severity. */
export interface Step {
  readonly above: number;
  readonly severity: Severity;
}

/** The most severe verdict of several limits; of two equally severe ones the certain one. Values at a limit pass. */
export function judgeSteps(
  value: Interval,
  steps: readonly Step[],
  facts: readonly (Fact<unknown> | undefined)[] = [],
  options: { readonly firm?: boolean } = {},
): (Verdict & { readonly step: Step }) | undefined {
  const verdicts = steps.flatMap((step) => {
    const extent = extentOf([value], (one) => exceeds(one, step.above));
    const verdict = judge(extent, step.severity, facts, options);
    return verdict ? [{ ...verdict, step }] : [];
  });
  return verdicts.sort(
    (a, b) => rank(a.severity) - rank(b.severity) || Number(b.certain) - Number(a.certain),
  )[0];
}

/** Binary fractions of decimal numbers must not decide a comparison: 1.05 − 1 is a hair above 0.05. */
export const exceeds = (value: number, limit: number): boolean => value - limit > 1e-9 * Math.abs(limit);

const rank = (severity: Severity): number => severities.indexOf(severity);

/** `severity`, but never above `ceiling`. */
export const atMost = (severity: Severity, ceiling: Severity): Severity =>
  rank(severity) < rank(ceiling) ? ceiling : severity;

/** "would" or, when only some corners fail, "may": the word that carries the doubt in a message. */
export const hedged = (verdict: Verdict, sure: string, unsure = 'may'): string =>
  verdict.certain ? sure : unsure;

/** " This rests on estimated values: friction, moved mass." or nothing, to end a message with. */
export function estimateNote(facts: readonly (Fact<unknown> | undefined)[]): string {
  const labels = facts.flatMap((fact) => (fact?.quality === 'estimated' ? [fact.label] : []));
  if (labels.length === 0) return '';
  const unique = [...new Set(labels)];
  return ` This rests on ${unique.length > 1 ? 'estimated values' : 'an estimated value'}: ${unique.join(', ')}.`;
}

/** All facts a finding rests on, each place once; the finding's own place is no cause of itself. */
export function causesOf(
  context: RuleContext,
  at: Place,
  facts: readonly (Fact<unknown> | undefined)[],
): readonly Cause[] {
  const seen = new Set([keyOf(at)]);
  return facts
    .flatMap((fact) => context.cause(fact))
    .filter(({ place }) => !seen.has(keyOf(place)) && seen.add(keyOf(place)));
}

const keyOf = (place: Place): string => `${place.uri}:${place.start}:${place.end}`;

/** The setting's name as its own file spells it, with the position for one number out of a list. */
export const nameOf = (reading: Reading): string =>
  reading.listIndex === undefined ? reading.entry.name : `${reading.entry.name}[${reading.listIndex}]`;

/** Sets a setting; in words when its text comes out of a macro and cannot be edited in its place. */
export function setSetting(
  context: RuleContext,
  reading: Reading,
  value: NewValue,
  options: { readonly title?: string; readonly safety?: 'safe' | 'ask' } = {},
): Remedy[] {
  const edit = context.machine.settings.edit(reading, value);
  const spelled = context.machine.settings.spell(reading, value);
  if (spelled === undefined) return [];
  const title = options.title ?? `Set ${nameOf(reading)} to ${spelled}`;
  return [edit ? remedy(title, [edit], options.safety) : inWords(title)];
}

/** Puts a text in the value's place, or behind the name when there is no value yet. */
export function writeValue({ entry, place }: Reading, newText: string, title: string): Remedy {
  const edit = entry.valuePlace
    ? { place, newText }
    : { place: { ...entry.namePlace, start: entry.namePlace.end }, newText: ` ${newText}` };
  return remedy(title, [edit]);
}

/** Rewrites one value of a JSON file; `value` becomes a JSON string or number. Nothing for facts without a place. */
export function setFact(
  fact: Fact<unknown> | undefined,
  value: string | number,
  title: string,
  safety: 'safe' | 'ask' = 'ask',
): Remedy[] {
  if (!fact?.place) return [];
  return [remedy(title, [{ place: fact.place, newText: JSON.stringify(value) }], safety)];
}

export const remedy = (
  title: string,
  edits: readonly TextEdit[],
  safety: 'safe' | 'ask' = 'ask',
): Remedy => ({ title, safety, edits });

/** Advice that no edit may carry out: it lowers a guard, raises a current or a temperature limit, or is done with the hands. */
export const inWords = (title: string): Remedy => ({ title, safety: 'words', edits: [] });

/** Rounds to significant digits; for proposed values. */
export const rounded = (value: number, digits = 3): number => step(value, digits, Math.round);
export const roundedDown = (value: number, digits = 3): number => step(value, digits, Math.floor);
export const roundedUp = (value: number, digits = 3): number => step(value, digits, Math.ceil);

function step(value: number, digits: number, round: (scaled: number) => number): number {
  if (value === 0 || !Number.isFinite(value)) return value;
  const places = digits - 1 - Math.floor(Math.log10(Math.abs(value)));
  const clean = Number(value.toPrecision(13));
  return places >= 0
    ? round(Number((clean * 10 ** places).toPrecision(13))) / 10 ** places
    : round(clean / 10 ** -places) * 10 ** -places;
}

/** "8.5 %" */
export const percent = (fraction: number, digits = 3): string =>
  formatQuantity(fraction, 'ratio', { digits });

/** "a, b and c" */
export function listed(words: readonly string[], last = 'and'): string {
  if (words.length < 2) return words.join('');
  return `${words.slice(0, -1).join(', ')} ${last} ${words.at(-1)}`;
}

export const capitalised = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

/** A title within a sentence: "Highest target" → "highest target"; "X current" and "PWM" keep their capitals. */
export const uncapitalised = (text: string): string =>
  /^\p{Lu}\p{Ll}/u.test(text) ? text.charAt(0).toLowerCase() + text.slice(1) : text;

/** A reading's value in words: "110 °C", "on", "P14". */
export function valueText({ value, concept, entry }: Reading): string {
  if (value.kind === 'number') {
    return concept.quantity ? formatQuantity(value.si, concept.quantity) : formatNumber(value.inUnit);
  }
  if (value.kind === 'switch') return value.on ? 'on' : 'off';
  if (value.kind === 'pin') return value.pin;
  if (value.kind === 'choice') return value.choice;
  if (value.kind === 'text') return value.text;
  return value.kind === 'unassigned' ? 'not assigned' : entry.rawText;
}

/** True when going from one value to the other lowers a guard, or raises a current or a temperature limit. */
export function weakens(concept: Concept, from: ReadingValue, to: ReadingValue): boolean {
  const guards = concept.weaker !== undefined || concept.id.startsWith('guard.');
  if (from.kind === 'switch' && to.kind === 'switch') return guards && from.on && !to.on;
  if (from.kind === 'number' && to.kind === 'number') {
    if (concept.weaker === 'lower') return to.si < from.si;
    if (concept.weaker === 'higher') return to.si > from.si;
    return (concept.quantity === 'current' || concept.quantity === 'temperature') && to.si > from.si;
  }
  return guards;
}
