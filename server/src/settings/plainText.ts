import type { SettingValue } from '../syntax/entry';
import { fromSi, parseQuantity } from '../units';
import type { Concept } from './concept';
import type { NameSpec } from './nameMap';
import type { ReadingValue } from './reading';
import { readValue } from './values';
import { isWord, unquote } from './words';

const NUMBER = /^[-+]?(?:0x[\da-f]+|(?:\d+\.?\d*|\.\d+)(?:e[-+]?\d+)?)[flu]*$/i;

/**
 * A value that stands outside of settings files, as the settings would write it ("60") or with its unit ("60 s"). Nothing when it makes
 * no sense for the concept.
 */
export function readPlainText(
  concept: Concept,
  spec: NameSpec | undefined,
  text: string,
): ReadingValue | undefined {
  const plain: NameSpec = { name: concept.id, concepts: [concept.id], list: false, scale: 1 };
  const own = spec && !spec.list ? spec : plain;
  const value = readValue(concept, own, {
    value: writtenValue(text),
    text: text.trim(),
    words: isWord(text.trim()) ? [text.trim()] : [],
  });
  if (value.kind !== 'bad') return value.kind === 'undecided' ? undefined : value;
  if (!concept.quantity) return undefined;
  const parsed = parseQuantity(text, concept.quantity);
  if (!parsed.ok) return undefined;
  const si = parsed.value.nom;
  const inUnit = concept.unit === undefined ? si : fromSi(si, concept.unit, concept.quantity);
  return inUnit === undefined ? undefined : { kind: 'number', si, inUnit };
}

function writtenValue(text: string): SettingValue {
  const clean = text.trim();
  if (clean === '') return { kind: 'empty' };
  if (NUMBER.test(clean)) {
    const value = Number(
      /^[-+]?0x/i.test(clean) ? clean.replace(/[lu]+$/i, '') : clean.replace(/[flu]+$/i, ''),
    );
    return { kind: 'number', value, integer: Number.isInteger(value) && !/[.e]/i.test(clean) };
  }
  if (isWord(clean)) return { kind: 'word', word: clean };
  return { kind: 'text', text: unquote(clean) };
}
