import type { Cursor } from './expression';
import type { DataModel } from './options';
import { isPunctuator, type Token } from './token';

/** A type of whole numbers. */
export interface IntegerType {
  readonly bits: number;
  readonly unsigned: boolean;
}

const TYPE_WORDS = new Set(
  'const volatile signed unsigned char short int long float double bool _Bool size_t ptrdiff_t intptr_t uintptr_t std :: intmax_t uintmax_t'.split(
    ' ',
  ),
);
/** How wide the `_fast` types are is the library's affair. */
const FIXED = /^u?int(?:_least)?(8|16|32|64)_t$/;
const isTypeWord = (token: Token | undefined): boolean =>
  token !== undefined &&
  (token.kind === 'identifier' || token.text === '::') &&
  (TYPE_WORDS.has(token.text) || FIXED.test(token.text));

/** `(type)`, `type(…)` and `static_cast<type>(…)`; only basic types, whose meaning needs no declaration. */
export function readCast(cursor: Cursor): string | undefined {
  const { tokens, at } = cursor;
  const first = tokens[at];
  let from = at;
  let close: string | undefined;
  if (isPunctuator(first, '(')) {
    from = at + 1;
    close = ')';
  } else if (
    first?.kind === 'identifier' &&
    first.text === 'static_cast' &&
    isPunctuator(tokens[at + 1], '<')
  ) {
    from = at + 2;
    close = '>';
  }
  let end = from;
  while (isTypeWord(tokens[end])) end++;
  if (end === from || end - from > 8) return undefined;
  if (close !== undefined && !isPunctuator(tokens[end], close)) return undefined;
  if (close !== ')' && !isPunctuator(tokens[close === undefined ? end : end + 1], '(')) return undefined;
  cursor.at = close === undefined ? end : end + 1;
  return tokens
    .slice(from, end)
    .map((token) => token.text)
    .filter((word) => !/^(?:const|volatile|std|::)$/.test(word))
    .join(' ');
}

/** A type of whole numbers; nothing for any other. */
export function integerType(type: string, model: DataModel): IntegerType | undefined {
  const fixed = FIXED.exec(type);
  if (fixed) return { bits: Number(fixed[1]), unsigned: type.startsWith('u') };
  const pointer = /^(?:size|uintptr|(ptrdiff|intptr))_t$/.exec(type);
  if (pointer) return { bits: model.intBits === 16 ? 16 : model.longBits, unsigned: !pointer[1] };
  if (type === 'intmax_t' || type === 'uintmax_t') return { bits: 64, unsigned: type.startsWith('u') };
  const words = type.split(' ');
  const count = (word: string): number => words.filter((other) => other === word).length;
  const [char, short, int, longs] = [count('char'), count('short'), count('int'), count('long')];
  const [signed, unsigned] = [count('signed'), count('unsigned')];
  // The lists of 6.7.2p2, in any order.
  if (char + short + int + longs + signed + unsigned !== words.length) return undefined;
  if (signed + unsigned > 1 || char > 1 || short > 1 || int > 1 || longs > 2) return undefined;
  if (char + short + Math.min(longs, 1) > 1 || char + int > 1) return undefined;
  if (char) return { bits: 8, unsigned: unsigned > 0 };
  if (short) return { bits: 16, unsigned: unsigned > 0 };
  if (longs > 0) return { bits: longs > 1 ? 64 : model.longBits, unsigned: unsigned > 0 };
  return { bits: model.intBits, unsigned: unsigned > 0 };
}

/** In bits; nothing where that is not certain. */
export function widthOf(type: string, model: DataModel): number | undefined {
  if (type === 'float') return 32;
  // Where int has 16 bits, a double may have 32.
  if (type === 'double') return model.intBits === 16 ? undefined : 64;
  if (type === 'bool' || type === '_Bool') return 8;
  return integerType(type, model)?.bits;
}
