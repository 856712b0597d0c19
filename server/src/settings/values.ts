import type { SettingValue } from '../syntax/entry';
import { fromSi, toSi } from '../units/convert';
import type { Concept } from './concept';
import type { NameSpec } from './nameMap';
import { nearestFirst } from './nearNames';
import { numberCandidates } from './numberCandidates';
import type { BadValue, ReadingValue } from './reading';
import { spellValue } from './spell';
import { fold, isWord, looksLikePin, lookUp, switchWord, unquote } from './words';

/** One value as a settings file has it: before and after macro expansion. */
export interface Written {
  readonly value: SettingValue;
  /** Its own text. */
  readonly text: string;
  /** Words it goes through before it is fully expanded, the one that stands in the text first. */
  readonly words: readonly string[];
}

/** What `written` means for `concept`. Never throws; what makes no sense becomes a bad value with its candidates. */
export function readValue(concept: Concept, spec: NameSpec, written: Written): ReadingValue {
  if (written.value.kind === 'other' && written.value.undecided) return { kind: 'undecided' };
  const keys = keysOf(written);
  const sentinel = lookUp(spec.sentinel, keys);
  if (sentinel !== undefined && fold(sentinel) === 'none') return { kind: 'unassigned' };
  const token = sentinel ?? lookUp(spec.tokens, keys);
  if (token !== undefined) return readToken(concept, spec, token, written);
  switch (concept.type) {
    case 'number':
    case 'integer':
      return readNumber(concept, spec, written);
    case 'switch':
      return readSwitch(concept, spec, written);
    case 'choice':
      return readChoice(concept, spec, written, keys);
    case 'pin':
      return readPin(concept, written);
    default:
      return readText(concept, written);
  }
}

/** Texts under which the value may be found in a token map. */
function keysOf({ value, words }: Written): string[] {
  const keys = [...words];
  if (value.kind === 'number') keys.push(String(value.exact ?? value.value));
  if (value.kind === 'text') keys.push(value.text);
  if (value.kind === 'word') keys.push(value.word);
  return keys;
}

function readToken(concept: Concept, spec: NameSpec, token: string, written: Written): ReadingValue {
  const number = token.trim() === '' ? Number.NaN : Number(token);
  const value: SettingValue = Number.isNaN(number)
    ? { kind: 'word', word: token }
    : { kind: 'number', value: number, integer: Number.isInteger(number) };
  const plain: NameSpec = { ...spec, tokens: undefined, sentinel: undefined };
  const read = readValue(concept, plain, { value, text: token, words: [] });
  if (read.kind !== 'bad') return read;
  return bad(
    'wrongType',
    `The name map reads '${written.text}' as '${token}', which is no value of ${lower(concept)}.`,
    [],
  );
}

const DECIMAL_COMMA = /^\(?\s*[-+]?\d[\d.]*,\d+[fF]?\s*\)?$/;

/** Beyond 14 digits, a converted number shows the error of the conversion. */
const tidy = (value: number): number => (Number.isInteger(value) ? value : Number(value.toPrecision(14)));

function readNumber(concept: Concept, spec: NameSpec, written: Written): ReadingValue {
  const { value } = written;
  const noun = concept.type === 'integer' ? 'a whole number' : 'a number';
  // As an expression, "80,5" is 5 (comma operator), which nobody means who writes it.
  if (value.kind !== 'number' || DECIMAL_COMMA.test(written.text)) {
    const word = value.kind === 'word' ? value.word : undefined;
    if (concept.optional && word !== undefined && fold(word) === 'none') return { kind: 'unassigned' };
    return bad(
      'wrongType',
      `${what(written)}; ${lower(concept)} is ${noun}${inUnitOf(concept, spec)}.`,
      numberCandidates(concept, spec, written.text),
    );
  }
  if (!Number.isFinite(value.value)) {
    return bad('notFinite', `'${written.text}' gives no finite number; ${lower(concept)} is ${noun}.`, []);
  }
  if (concept.optional && value.value === -1) return { kind: 'unassigned' };
  const unit = spec.unit ?? concept.unit;
  const scaled = tidy(value.value * spec.scale);
  const si =
    unit === undefined || concept.quantity === undefined ? scaled : toSi(scaled, unit, concept.quantity);
  if (si === undefined)
    return bad('wrongType', `The name map gives ${lower(concept)} a unit that it cannot have.`, []);
  const own =
    concept.unit === undefined || concept.unit === unit ? scaled : fromSi(si, concept.unit, concept.quantity);
  const inUnit = tidy(own ?? scaled);
  if (concept.type === 'integer' && !Number.isInteger(inUnit)) {
    const near = [Math.round(inUnit), inUnit < Math.round(inUnit) ? Math.floor(inUnit) : Math.ceil(inUnit)];
    const candidates = near.map((whole) => spellInUnit(concept, spec, integerText(written.text), whole));
    return bad(
      'wrongType',
      `'${written.text}' has a fraction; ${lower(concept)} is a whole number.`,
      defined(candidates),
    );
  }
  return { kind: 'number', si: tidy(si), inUnit };
}

/** Text of a number without its fraction, so that a candidate for a whole number is written as one. */
const integerText = (text: string): string => text.replace(/\.\d*|[fF]$/g, '');

function spellInUnit(concept: Concept, spec: NameSpec, text: string, inUnit: number): string | undefined {
  const si = concept.unit === undefined ? inUnit : toSi(inUnit, concept.unit, concept.quantity);
  return si === undefined ? undefined : spellValue(concept, spec, text, { si });
}

function readSwitch(concept: Concept, spec: NameSpec, written: Written): ReadingValue {
  const { value } = written;
  if (value.kind === 'empty') return { kind: 'switch', on: true };
  const words = [expandedWord(value), ...written.words];
  for (const word of words) {
    const on = word === undefined ? undefined : switchWord(word);
    if (on !== undefined) return { kind: 'switch', on };
  }
  const candidates = defined([
    spellValue(concept, spec, written.text, { on: true }),
    spellValue(concept, spec, written.text, { on: false }),
  ]);
  return bad(
    'wrongType',
    `${what(written)}; ${lower(concept)} is a switch: ${candidates.join(' or ')}.`,
    candidates,
  );
}

function expandedWord(value: SettingValue): string | undefined {
  if (value.kind === 'number') return String(value.value);
  if (value.kind === 'word') return value.word;
  return value.kind === 'text' ? value.text : undefined;
}

function readChoice(
  concept: Concept,
  spec: NameSpec,
  written: Written,
  keys: readonly string[],
): ReadingValue {
  const choices = concept.choices ?? [];
  // With tokens of its own, the firmware knows no other words.
  for (const key of spec.tokens ? [] : keys) {
    const choice = choices.find(({ id }) => fold(id) === fold(key));
    if (choice) return { kind: 'choice', choice: choice.id };
  }
  const text = unquote(written.text);
  const spelled = choices.map(({ id }) => spellValue(concept, spec, styleOf(written), { choice: id }));
  const candidates = defined(spelled);
  const ranked = nearestFirst(text, candidates);
  const message =
    written.value.kind === 'empty'
      ? `${concept.title} has no value; it is one of: ${candidates.join(', ')}.`
      : `'${text}' is not one of: ${candidates.join(', ')}.`;
  return bad('unknownChoice', message, ranked);
}

/** A number gives no hint at capitals; names are spelled in capitals then. */
const styleOf = (written: Written): string => (/^[\d.]/.test(written.text) ? '' : written.text);

function readPin(concept: Concept, written: Written): ReadingValue {
  const { value, words } = written;
  const own = words.find(looksLikePin);
  const pin = own ?? (value.kind === 'number' && !value.integer ? undefined : expandedWord(value)?.trim());
  if (pin === undefined || pin === '' || !/^[-\w.:]+$/.test(pin)) {
    return bad(
      'wrongType',
      `${what(written)}; ${lower(concept)} is the name or number of a pin.`,
      pinCandidates(written.text),
    );
  }
  if (/^-1$|^none$/i.test(pin)) return { kind: 'unassigned' };
  if (/^-/.test(pin)) return bad('wrongType', `'${written.text}' is no pin; −1 stands for none.`, ['-1']);
  return { kind: 'pin', pin: pin.toUpperCase() };
}

const pinCandidates = (text: string): string[] => {
  const squeezed = unquote(text).replace(/[^\w]+/g, '');
  return looksLikePin(squeezed) && squeezed !== text ? [squeezed] : [];
};

function readText(concept: Concept, written: Written): ReadingValue {
  const { value } = written;
  const empty = bad('wrongType', `${concept.title} has no value.`, []);
  if (value.kind === 'empty') return empty;
  if (value.kind === 'text') return value.text.trim() === '' ? empty : { kind: 'text', text: value.text };
  if (value.kind === 'number')
    return { kind: 'text', text: written.words[0] ?? String(value.exact ?? value.value) };
  if (value.kind === 'word') return { kind: 'text', text: value.word };
  // A curve may be given as its own table; which curve that is, only the firmware knows.
  if (concept.type === 'curve' && value.kind === 'list') return { kind: 'text', text: written.text };
  const candidates = /["\\\n]/.test(written.text) ? [] : [`"${written.text}"`];
  return bad('wrongType', `'${written.text}' is neither one word nor text in quotes.`, candidates);
}

const bad = (kind: BadValue['kind'], message: string, candidates: readonly string[]): ReadingValue => ({
  kind: 'bad',
  problem: { kind, message, candidates: [...new Set(candidates)] },
});

/** What stands there, as the beginning of a message. */
function what({ value, text }: Written): string {
  switch (value.kind) {
    case 'empty':
      return 'There is no value';
    case 'list':
      return `This is a list of ${value.items.length}`;
    case 'text':
      return `${JSON.stringify(value.text)} is text in quotes`;
    case 'number':
      return DECIMAL_COMMA.test(text) ? `'${text}' has a comma for a point` : `'${text}' is a number`;
    default:
      return `'${text}' is ${isWord(text) ? 'a word' : 'no single value'}`;
  }
}

/** "in mm/s", "in units of 0.01 mm/s", or nothing. */
function inUnitOf(concept: Concept, spec: NameSpec): string {
  const unit = spec.unit ?? concept.unit;
  if (spec.scale !== 1) return ` in units of ${Number(spec.scale.toPrecision(6))} ${unit ?? ''}`.trimEnd();
  return unit ? ` in ${unit}` : '';
}

const lower = (concept: Concept): string =>
  /^[A-Z][A-Z\d]* |^[A-Z] /.test(concept.title)
    ? concept.title
    : concept.title.charAt(0).toLowerCase() + concept.title.slice(1);

const defined = (texts: readonly (string | undefined)[]): string[] =>
  texts.filter((text) => text !== undefined);
