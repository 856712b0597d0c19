import { fromSi } from '../units/convert';
import type { Concept } from './concept';
import type { NameSpec } from './nameMap';
import { upperSnake } from './neutralNames';
import type { NewValue } from './reading';
import { fold, isWord, SWITCH_PAIRS, unquote } from './words';

const SIGNIFICANT_DIGITS = 12;

/**
 * A new value as a settings file would write it in the place of `current`: in the unit, scale and tokens of its name map and
 * in the manner of the present text (decimal places, float suffix, hexadecimal, quotes, capitals). Undefined when the concept
 * cannot take the value.
 */
export function spellValue(
  concept: Concept,
  spec: NameSpec,
  current: string,
  value: NewValue,
): string | undefined {
  if ('si' in value) return spellNumber(concept, spec, current, value.si, value.digits);
  if ('on' in value) return concept.type === 'switch' ? spellSwitch(spec, current, value.on) : undefined;
  if ('choice' in value) return spellChoice(concept, spec, current, value.choice);
  if ('pin' in value) return concept.type === 'pin' ? spellPin(spec, current, value.pin) : undefined;
  return spellText(concept, spec, current, value.text);
}

interface NumberManner {
  readonly open: string;
  readonly close: string;
  readonly hexadecimal: boolean;
  readonly decimals: number;
  /** The text has a point, so that the new one keeps one. */
  readonly point: boolean;
  readonly suffix: string;
}

const PLAIN: NumberManner = {
  open: '',
  close: '',
  hexadecimal: false,
  decimals: 0,
  point: false,
  suffix: '',
};
const NUMBER =
  /^(\(\s*)?[-+]?(?:(0[xX][\da-fA-F']+)|(?:\d[\d']*)?(\.)?(\d*)(?:[eE][-+]?\d+)?)([fFlLuUzZ]*)(\s*\))?$/;

function mannerOf(current: string): NumberManner {
  const match = NUMBER.exec(unquote(current.trim()));
  if (!match || (match[1] === undefined) !== (match[6] === undefined)) return PLAIN;
  return {
    open: match[1] ?? '',
    close: match[6] ?? '',
    hexadecimal: match[2] !== undefined,
    decimals: match[3] === undefined ? 0 : (match[4]?.length ?? 0),
    point: match[3] !== undefined,
    suffix: match[5] ?? '',
  };
}

function spellNumber(
  concept: Concept,
  spec: NameSpec,
  current: string,
  si: number,
  digits?: number,
): string | undefined {
  if (concept.type !== 'number' && concept.type !== 'integer') return undefined;
  if (!Number.isFinite(si)) return undefined;
  const unit = spec.unit ?? concept.unit;
  const inUnit = unit === undefined ? si : fromSi(si, unit, concept.quantity);
  if (inUnit === undefined) return undefined;
  const written = rounded(inUnit / spec.scale, digits);
  const token = [...(spec.tokens ?? [])].find(
    ([, meant]) => meant.trim() !== '' && Number(meant) === written,
  );
  if (token) return token[0];
  const whole = Number.isInteger(written);
  // An integer concept may well be written with a fraction in a coarser unit (16.5 for MHz); its own number may not have one.
  if (concept.type === 'integer' && !Number.isInteger(rounded(inUnit))) return undefined;
  return inManner(written, whole, mannerOf(current));
}

const rounded = (value: number, digits = SIGNIFICANT_DIGITS): number =>
  Number.isSafeInteger(value) && digits >= SIGNIFICANT_DIGITS
    ? value
    : Number(value.toPrecision(Math.min(Math.max(digits, 1), 21)));

function inManner(value: number, whole: boolean, manner: NumberManner): string {
  const { open, close, suffix } = manner;
  if (manner.hexadecimal && whole && value >= 0)
    return `${open}0x${value.toString(16).toUpperCase()}${suffix}${close}`;
  const float = /f/i.test(suffix) && !manner.hexadecimal;
  let text = decimalText(value, whole);
  if ((manner.point || float) && !/e/i.test(text)) text = padded(text, Math.max(1, manner.decimals));
  const keepsSuffix = float || (whole && !manner.point && !(value < 0 && /u/i.test(suffix)));
  return `${open}${text}${keepsSuffix ? suffix : ''}${close}`;
}

const decimalText = (value: number, whole: boolean): string =>
  whole ? BigInt(value).toString() : String(value);

function padded(text: string, decimals: number): string {
  const [integer, fraction = ''] = text.split('.') as [string, string?];
  return `${integer}.${fraction.padEnd(Math.min(decimals, 6), '0')}`;
}

function spellSwitch(spec: NameSpec, current: string, on: boolean): string | undefined {
  const wanted = on ? 'on' : 'off';
  const token = tokenFor(spec, current, wanted);
  if (token !== undefined) return token;
  // Tokens that know only one of the two states leave the other to the plain words, unless they turn those round.
  const word = fold(unquote(current));
  const pair = SWITCH_PAIRS.find((words) => words.includes(word)) ?? ['on', 'off'];
  const plain = pair[on ? 0 : 1] as string;
  const clash = [...(spec.tokens ?? [])].some(([key, meant]) => fold(key) === plain && meant !== wanted);
  return clash ? undefined : inCase(plain, current, true);
}

function spellChoice(concept: Concept, spec: NameSpec, current: string, choice: string): string | undefined {
  if (!concept.choices?.some(({ id }) => id === choice)) return undefined;
  const token = tokenFor(spec, current, choice);
  if (token !== undefined) return token;
  // With a token map of its own, the firmware knows no other words.
  if (spec.tokens) return undefined;
  return inCase(choice, current, true);
}

/** The token that means `wanted`; of several, the one nearest to the present text's kind (number, case). */
function tokenFor(spec: NameSpec, current: string, wanted: string): string | undefined {
  const tokens = [...(spec.tokens ?? [])].filter(([, meant]) => meant === wanted).map(([token]) => token);
  const bare = unquote(current.trim());
  const likeness = (token: string) =>
    Number(/^\d/.test(token) === /^\d/.test(bare)) * 2 +
    Number((token === token.toUpperCase()) === (bare === bare.toUpperCase()));
  const best = tokens.sort((a, b) => likeness(b) - likeness(a))[0];
  return best === undefined ? undefined : quotedLike(best, current);
}

/** `word` in the capitals and quotes of the present text: UPPER_SNAKE unless that is in small letters. */
function inCase(word: string, current: string, capitals: boolean): string {
  const bare = unquote(current.trim());
  const small = /[a-z]/.test(bare) && !/^[A-Z]/.test(bare);
  return quotedLike(small ? word : capitals ? upperSnake(word) : word, current);
}

function quotedLike(word: string, current: string): string {
  const quote = /^(["']).*\1$/s.exec(current.trim())?.[1] ?? '';
  return `${quote}${word}${quote}`;
}

function spellPin(spec: NameSpec, current: string, pin: string): string | undefined {
  const token = tokenFor(spec, current, pin);
  if (token !== undefined) return token;
  if (pin === '' || fold(pin) === 'none') {
    const none = [...(spec.sentinel ?? [])].find(([, meant]) => meant === 'none');
    return none?.[0] ?? quotedLike('NONE', current);
  }
  return quotedLike(pin, current);
}

function spellText(concept: Concept, spec: NameSpec, current: string, value: string): string | undefined {
  if (concept.type !== 'text' && concept.type !== 'curve') return undefined;
  const token = tokenFor(spec, current, value);
  if (token !== undefined) return token;
  if (/["\\\n\r]/.test(value)) return undefined;
  if (/^"/.test(current.trim())) return `"${value}"`;
  return isWord(value) || /^\d+$/.test(value) ? value : `"${value}"`;
}
