import { fromSi, toSi } from '../units/convert';
import type { Concept } from './concept';
import type { NameSpec } from './nameMap';
import { unquote } from './words';

/**
 * Numbers that a text which is none may have meant: decimal comma, digits in groups, quotes, a unit behind the number,
 * typographic signs. Spelled for this settings file, likeliest first; empty when nothing fits.
 */
export function numberCandidates(concept: Concept, spec: NameSpec, text: string): string[] {
  const plain = plainSigns(unquote(text.trim()));
  const single = /^\{\s*([^,{}]+?)\s*\}$/.exec(plain)?.[1] ?? plain;
  const grouped = single.replace(/(?<=\d)[\s'_](?=\d{3}(?!\d))/g, '');
  const found = [...readings(grouped), ...withUnit(concept, spec, grouped)];
  const fits = (number: string) =>
    concept.type !== 'integer' || Number.isInteger(Number(number.replace(/f$/i, '')));
  return [...new Set(found)].filter((number) => number !== text && fits(number));
}

/** Signs that a word processor puts in the place of plain ones. */
const plainSigns = (text: string): string =>
  text
    .replace(/[\u2212\u2010-\u2015]/g, '-')
    .replace(/[\u00A0\u2000-\u200B\u202F\u2060\uFEFF]/g, ' ')
    .replace(/[\u2018\u2019\u201B\u02BC]/g, "'")
    .replace(/^[\u201C-\u201F'"\s]+|[\u201C-\u201F'"\s]+$/g, '');

const NUMBER = /^[-+]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d+)?f?$/;

function readings(text: string): string[] {
  if (NUMBER.test(text)) return [text];
  const comma = /^([-+]?\d+),(\d+)$/.exec(text);
  if (comma) {
    const point = `${comma[1]}.${comma[2]}`;
    // Three digits behind the comma may also be a thousand and something.
    return comma[2]?.length === 3 ? [`${comma[1]}${comma[2]}`, point] : [point];
  }
  const thousands = /^([-+]?\d{1,3})((?:\.\d{3})+),(\d+)$/.exec(text);
  return thousands ? [`${thousands[1]}${thousands[2]?.replaceAll('.', '')}.${thousands[3]}`] : [];
}

function withUnit(concept: Concept, spec: NameSpec, text: string): string[] {
  const match = /^([-+]?[\d.,]+(?:[eE][-+]?\d+)?)\s*([^\d\s.,][^\d]*\d?)$/u.exec(text);
  const number = match && readings(match[1] as string)[0];
  if (!match || number === undefined || concept.quantity === undefined) return [];
  const si = toSi(Number(number), (match[2] as string).trim(), concept.quantity);
  const unit = spec.unit ?? concept.unit;
  const inUnit = si === undefined || unit === undefined ? si : fromSi(si, unit, concept.quantity);
  return inUnit === undefined ? [] : [String(Number((inUnit / spec.scale).toPrecision(12)))];
}
