import type { Interval } from '../model/interval';
import { isScale, scaleOf, type UnitProblem } from './convert';
import { type Kind, kindRecord } from './kinds';

export type QuantityProblem =
  | 'empty'
  | 'missingUnit'
  | 'unknownUnit'
  | 'wrongDimension'
  | 'notANumber'
  | 'decimalComma'
  | 'notFinite'
  | 'emptyRange'
  | 'openRange'
  | 'belowAbsoluteZero'
  | 'unexpectedText';

export interface QuantityError {
  readonly ok: false;
  readonly problem: QuantityProblem;
  /** Plain words that say what to do, with an example. */
  readonly message: string;
  /** Part of the string that is at fault: offsets, `start` included, `end` not. */
  readonly start: number;
  readonly end: number;
}

export type ParsedQuantity = { readonly ok: true; readonly value: Interval } | QuantityError;

const GROUP_SPACE = '[ \\u00a0\\u2009\\u202f]';
const NUMBER = new RegExp(
  `[+\\-−]?(?:\\d{1,3}(?:${GROUP_SPACE}\\d{3})+(?!\\d)|\\d+)?(?:\\.\\d+|(?<=\\d)\\.(?!\\.))?(?:[eE][+\\-−]?\\d+)?`,
  'uy',
);
const POWER_OF_TEN = /\s*[·×*x]\s*10(?:\^([-−+]?\d+)|([⁻]?[⁰¹²³⁴⁵⁶⁷⁸⁹]+))/uy;
/** A unit without inner spaces; digits only as exponents ("mm2", "m^-1"). */
const UNIT =
  /(?:1\s*\/\s*)?\(?[\p{L}°℃℉%](?:[\p{L}°℃℉%²³⁻⁰¹⁴⁵⁶⁷⁸⁹·⋅*/^()]|(?<=\^)[-−]?\d|(?<=\p{L})[234](?![\d.]))*/uy;
const LABEL = /\(?\s*(typ|typical|nom|nominal|max|maximum|min|minimum)\b\.?\s*\)?/iy;
const RANGE = /\s*(?:\.\.\.?|…|–|—|-(?=\s*\.?\d)|-(?=\s*[-−+]\d)|\bto\b)\s*/y;
const TOLERANCE = /\s*(?:±|\+\s*\/\s*[-−]|\+[-−])\s*/y;
const LIMIT = /\s*(≤|≦|⩽|<=|<|≥|≧|⩾|>=|>)\s*/y;
const GAUGE = /^\s*(?:(?:AWG|gauge)\s*(\d{1,2})|(\d{1,2})\s*(?:AWG|gauge))\s*$/i;
const SUPERSCRIPTS = '⁰¹²³⁴⁵⁶⁷⁸⁹';
/** Longer strings are not read; no quantity is. */
const LONGEST = 200;

interface Term {
  readonly number: number;
  readonly unit: string;
  readonly start: number;
  readonly end: number;
  readonly unitStart: number;
  readonly unitEnd: number;
}

class Problem {
  constructor(
    readonly problem: QuantityProblem,
    readonly start: number,
    readonly end: number,
    readonly text: string,
  ) {}
}

const article = (title: string): string => (/^[aeiou]/.test(title) ? 'an' : 'a');

function sentence(problem: Problem, kind: Kind): string {
  const record = kindRecord(kind);
  return `${problem.text} Write ${article(record.title)} ${record.title} like "${record.example}".`;
}

/**
 * Reads a quantity as people write it: "4.7 kΩ ±5 %", "30..80 kΩ", "≤ 1.5 V", "1.2 V typ, 3.5 V max", "18 AWG".
 *
 * The interval is in SI units; absolute temperatures in °C, data rates in bit/s, memory in bytes. A limit such as "≤ 1.5 V"
 * is the range from 0 (or from the typical value, when given) to the limit, its nominal value the typical value, else the
 * limit itself. "≥ 10 V" has no upper end: `hi` is Infinity. Never throws.
 */
export function parseQuantity(text: string, kind: Kind): ParsedQuantity {
  try {
    return { ok: true, value: read(text, kind) };
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    const { problem, start, end } = error;
    return { ok: false, problem, message: sentence(error, kind), start, end };
  }
}

function read(text: string, kind: Kind): Interval {
  if (text.trim() === '') throw new Problem('empty', 0, text.length, 'There is no value here.');
  if (text.length > LONGEST)
    throw new Problem('unexpectedText', 0, text.length, 'This is too long for a value.');
  const gauge = GAUGE.exec(text);
  if (gauge && kind === 'area') return exact(areaOfGauge(Number(gauge[1] ?? gauge[2])));
  const comma = /\d,\d/.exec(text);
  if (comma) {
    throw new Problem(
      'decimalComma',
      comma.index + 1,
      comma.index + 2,
      'A comma is not read as a decimal sign: use a point for decimals, and a space (or nothing) between thousands.',
    );
  }
  return new Reader(text, kind).read();
}

const exact = (value: number): Interval => ({ lo: value, nom: value, hi: value });

/** Cross-section in m² of a solid wire of American wire gauge `n`. ASTM B258: d = 0.127 mm · 92^((36−n)/39). */
export const areaOfGauge = (n: number): number => 1e-6 * (Math.PI / 4) * (0.127 * 92 ** ((36 - n) / 39)) ** 2;

class Reader {
  private position = 0;

  constructor(
    private readonly text: string,
    private readonly kind: Kind,
  ) {}

  read(): Interval {
    this.space();
    const limit = this.take(LIMIT);
    if (limit) return this.limited(limit[1] as string);
    const first = this.term();
    const label = this.label();
    if (label) return this.labelled(first, label);
    if (this.take(RANGE)) return this.range(first);
    if (this.take(TOLERANCE)) return this.tolerance(first);
    this.finish();
    return exact(this.si(first, first));
  }

  private limited(sign: string): Interval {
    const term = this.term();
    this.finish();
    const value = this.si(term, term);
    if (/[>≥≧⩾]/.test(sign)) return { lo: value, nom: value, hi: Number.POSITIVE_INFINITY };
    return this.upTo(value, term);
  }

  private upTo(value: number, term: Term): Interval {
    if (value >= 0) return { lo: 0, nom: value, hi: value };
    throw new Problem(
      'openRange',
      0,
      term.end,
      'An upper limit below zero leaves the lower end open: write both ends.',
    );
  }

  private range(first: Term): Interval {
    const second = this.term();
    this.finish();
    const lo = this.si(first, first.unit === '' ? second : first);
    const hi = this.si(second, second);
    if (lo > hi) {
      throw new Problem(
        'emptyRange',
        first.start,
        second.end,
        'The first end of a range must be the smaller one.',
      );
    }
    return { lo, nom: lo + (hi - lo) / 2, hi };
  }

  private tolerance(first: Term): Interval {
    const second = this.term();
    this.finish();
    if (second.number < 0) {
      throw new Problem(
        'notANumber',
        second.start,
        second.end,
        'A tolerance behind ± has no sign of its own.',
      );
    }
    const relative = second.unit === '%' || second.unit === 'ppm';
    if (relative && this.kind !== 'ratio') {
      const nom = this.si(first, first);
      if (this.kind === 'temperature') {
        throw new Problem(
          'wrongDimension',
          second.unitStart,
          second.unitEnd,
          'A temperature has its tolerance in K.',
        );
      }
      const spread = Math.abs(nom * second.number * (second.unit === '%' ? 0.01 : 1e-6));
      return { lo: nom - spread, nom, hi: nom + spread };
    }
    const nom = this.si(first, first.unit === '' ? second : first);
    const spread = this.si(second, second, this.kind === 'temperature' ? 'temperatureDifference' : this.kind);
    return { lo: nom - spread, nom, hi: nom + spread };
  }

  private labelled(first: Term, firstLabel: string): Interval {
    const values = new Map<string, number>([[firstLabel, this.si(first, first)]]);
    while (this.take(/\s*[,;]\s*/y)) {
      const term = this.term();
      const label = this.label();
      if (!label || values.has(label)) {
        throw new Problem(
          'unexpectedText',
          term.start,
          term.end,
          'Say min, typ or max behind each value, once.',
        );
      }
      values.set(label, this.si(term, term));
    }
    this.finish();
    const [min, typ, max] = ['min', 'typ', 'max'].map((name) => values.get(name));
    if (max === undefined && min === undefined) return exact(typ as number);
    if (max === undefined) {
      const lo = min as number;
      const nom = typ ?? lo;
      return this.ordered({ lo, nom, hi: Number.POSITIVE_INFINITY });
    }
    if (min === undefined && typ === undefined) return this.upTo(max, first);
    const lo = min ?? (typ as number);
    return this.ordered({ lo, nom: typ ?? lo + (max - lo) / 2, hi: max });
  }

  private ordered(value: Interval): Interval {
    if (value.lo <= value.nom && value.nom <= value.hi) return value;
    throw new Problem('emptyRange', 0, this.text.length, 'The values must rise from min over typ to max.');
  }

  private term(): Term {
    this.space();
    const start = this.position;
    const number = this.number();
    const numberEnd = this.position;
    this.space();
    const unitStart = this.position;
    const unit = this.unit();
    if (unit === '') this.position = numberEnd;
    return {
      number,
      unit,
      start,
      end: this.position,
      unitStart: unit ? unitStart : numberEnd,
      unitEnd: this.position,
    };
  }

  private number(): number {
    const start = this.position;
    const match = this.take(NUMBER);
    const digits = match?.[0] ?? '';
    if (!/\d/.test(digits)) {
      const end = Math.max(start, this.text.length);
      throw new Problem('notANumber', start, end, 'A number is expected here.');
    }
    let value = Number(digits.replace(/[\s\u00a0\u2009\u202f]/g, '').replace(/−/g, '-'));
    const power = this.take(POWER_OF_TEN);
    if (power) value = Number(`${value}e${exponentText(power[1], power[2])}`);
    if (Number.isFinite(value)) return value;
    throw new Problem('notFinite', start, this.position, 'This number is too large to compute with.');
  }

  /** One unit expression; further words, as in "kg m²", belong to it unless they are labels or range words. */
  private unit(): string {
    const start = this.position;
    let end = start;
    for (;;) {
      LABEL.lastIndex = this.position;
      const minutes = end === start && this.kind === 'time' && /^min\b/.test(this.text.slice(start));
      if ((!minutes && LABEL.test(this.text)) || /^to\b/.test(this.text.slice(this.position))) break;
      const match = this.take(UNIT);
      if (!match) break;
      end = this.position;
      this.take(/[ \u00a0\u2009\u202f]*/y);
    }
    this.position = end;
    return this.text.slice(start, end);
  }

  private label(): string | undefined {
    this.take(/\s*/y);
    const match = this.take(LABEL);
    if (!match) return undefined;
    const name = (match[1] as string).toLowerCase().slice(0, 3);
    return name === 'nom' ? 'typ' : name;
  }

  private si(term: Term, unitTerm: Term, kind = this.kind): number {
    const record = kindRecord(kind);
    if (unitTerm.unit === '') {
      if (record.bare) return term.number;
      throw new Problem('missingUnit', term.start, term.end, `The unit of this ${record.title} is missing.`);
    }
    const scale = scaleOf(unitTerm.unit, kind);
    if (!isScale(scale)) throw this.unitProblem(scale, unitTerm, kind);
    const value = term.number * scale.factor + scale.offset;
    if (!Number.isFinite(value)) {
      throw new Problem('notFinite', term.start, term.end, 'This number is too large to compute with.');
    }
    if (kind === 'temperature' && value < -273.15 - 1e-9) {
      throw new Problem('belowAbsoluteZero', term.start, term.end, 'Nothing is colder than −273.15 °C.');
    }
    return value;
  }

  private unitProblem(found: UnitProblem, term: Term, kind: Kind): Problem {
    if (found.problem === 'wrongDimension') {
      const text = `"${term.unit}" is not a unit of ${kindRecord(kind).title}.`;
      return new Problem('wrongDimension', term.unitStart, term.unitEnd, text);
    }
    const hint = found.suggestion ? ` Did you mean ${found.suggestion}?` : '';
    const text = `"${found.word}" is not a unit known here.${hint}`;
    return new Problem('unknownUnit', term.unitStart, term.unitEnd, text);
  }

  private finish(): void {
    this.space();
    if (this.position === this.text.length) return;
    const end = this.text.length;
    throw new Problem('unexpectedText', this.position, end, 'This part cannot be read as a value.');
  }

  private space(): void {
    this.take(/\s*/y);
  }

  private take(pattern: RegExp): RegExpExecArray | undefined {
    pattern.lastIndex = this.position;
    const match = pattern.exec(this.text);
    if (!match) return undefined;
    this.position = pattern.lastIndex;
    return match;
  }
}

function exponentText(plain: string | undefined, raised: string | undefined): string {
  if (plain !== undefined) return plain.replace('−', '-');
  return [...(raised ?? '')]
    .map((character) => (character === '⁻' ? '-' : SUPERSCRIPTS.indexOf(character)))
    .join('');
}
