import { mayBeNamed } from './token';

/** What a preprocessing number stands for (6.4.4.1, 6.4.4.2), or why it stands for nothing. */
export type Constant =
  | {
      readonly kind: 'integer';
      readonly value: bigint;
      readonly decimal: boolean;
      readonly unsigned: boolean;
      /** Number of `l` in the suffix. */
      readonly long: 0 | 1 | 2;
    }
  | { readonly kind: 'floating'; readonly value: number; readonly suffix: string }
  | { readonly kind: 'invalid'; readonly why: string };

const FLOAT_SUFFIX = /^(?:[fFlL]|[dD][fFdDlL]|[fF](?:16|32|64|128)x?|[bB][fF]16|[iIjJ])?$/;

export function parseNumber(spelling: string): Constant {
  const text = spelling.includes("'") ? withoutSeparators(spelling) : spelling;
  if (text.includes("'")) return { kind: 'invalid', why: "the mark ' stands between two digits only" };
  if (text.length > 4096) return { kind: 'invalid', why: 'it is too long' };
  // Most numbers have no prefix, and looking for one costs more than all the rest.
  const prefix = text.charCodeAt(0) === 48 ? text.charAt(1).toLowerCase() : '';
  const hex =
    prefix === 'x'
      ? /^0[xX]([0-9a-fA-F]*)(\.[0-9a-fA-F]*)?(?:[pP]([+-]?[0-9]+))?(.*)$/s.exec(text)
      : undefined;
  if (hex) {
    const [, whole = '', fraction, exponent, suffix = ''] = hex;
    if (whole === '' && (fraction ?? '.') === '.')
      return { kind: 'invalid', why: 'there are no digits behind 0x' };
    if (fraction === undefined && exponent === undefined) return integer(`0x${whole}`, suffix, false);
    if (exponent === undefined)
      return { kind: 'invalid', why: 'a hexadecimal fraction needs an exponent such as p0' };
    return floating(hexValue(whole, fraction?.slice(1) ?? '', Number(exponent)), suffix);
  }
  const binary = prefix === 'b' ? /^0[bB]([01]+)(.*)$/s.exec(text) : undefined;
  if (binary) return integer(`0b${binary[1]}`, binary[2] ?? '', false);
  const decimal = /^([0-9]*)(\.[0-9]*)?([eE][+-]?[0-9]+)?(.*)$/s.exec(text);
  if (!decimal) return { kind: 'invalid', why: 'it is no number' };
  const [, whole = '', fraction, exponent, suffix = ''] = decimal;
  if (fraction === undefined && exponent === undefined) {
    if (!/^0[0-9]/.test(whole)) return integer(whole, suffix, true);
    if (/[89]/.test(whole)) {
      return { kind: 'invalid', why: 'the leading 0 makes it octal, and octal digits go from 0 to 7' };
    }
    return integer(`0o${whole.slice(1)}`, suffix, false);
  }
  return floating(Number(`${whole}${fraction ?? ''}${exponent ?? ''}`), suffix);
}

/** Takes out the separators that stand between two digits (C23 6.4.4.1, 6.4.4.2). */
function withoutSeparators(spelling: string): string {
  if (!/^0[xX]/.test(spelling)) return spelling.replace(/(?<=[0-9])'(?=[0-9])/g, '');
  const power = spelling.search(/[pP]/);
  const mantissa = power < 0 ? spelling : spelling.slice(0, power);
  const exponent = spelling.slice(mantissa.length);
  return (
    mantissa.replace(/(?<=[0-9a-fA-F])'(?=[0-9a-fA-F])/g, '') + exponent.replace(/(?<=[0-9])'(?=[0-9])/g, '')
  );
}

function integer(digits: string, suffix: string, decimal: boolean): Constant {
  if (!/^(?:[uU](?:l|L|ll|LL)?|(?:l|L|ll|LL)[uU]?)?$/.test(suffix)) {
    return { kind: 'invalid', why: `'${suffix.slice(0, 20)}' is no ending of a whole number` };
  }
  const longs = suffix.replace(/[uU]/, '').length;
  return {
    kind: 'integer',
    value: BigInt(digits),
    decimal,
    unsigned: /[uU]/.test(suffix),
    long: longs === 0 ? 0 : longs === 1 ? 1 : 2,
  };
}

function floating(value: number, suffix: string): Constant {
  if (Number.isNaN(value)) return { kind: 'invalid', why: 'it is no number' };
  if (!FLOAT_SUFFIX.test(suffix)) {
    return { kind: 'invalid', why: `'${suffix.slice(0, 20)}' is no ending of a number` };
  }
  return { kind: 'floating', value, suffix };
}

/** Exact for up to 53 significant bits; beyond them rounded once, to nearest with ties to even. */
function hexValue(whole: string, fraction: string, exponent: number): number {
  const mantissa = BigInt(`0x${whole}${fraction}` === '0x' ? '0' : `0x${whole}${fraction}`);
  if (mantissa === 0n) return 0;
  const scale = exponent - 4 * fraction.length;
  const bits = mantissa.toString(2).length;
  // Number() of a bigint rounds to nearest even; two steps of scaling keep each factor in range.
  const half = Math.max(-1000, Math.min(1000, scale));
  const value = Number(mantissa) * 2 ** half;
  if (half === scale || value === 0 || !Number.isFinite(value)) return value;
  return bits + scale > 1100 ? Number.POSITIVE_INFINITY : value * 2 ** Math.max(-2000, scale - half);
}

/** A character constant (6.4.4.4). */
export type CharacterConstant =
  | {
      readonly value: bigint;
      readonly unsigned: boolean;
      /** Width of its type; absent for `int`. */
      readonly bits?: 8 | 16 | 32;
      /** Why compilers do not agree about it. */
      readonly doubt?: string;
    }
  | { readonly why: string };

/** `wchar_t` is taken to be a signed type of 32 bits, as gcc and clang have it on Linux. */
const WIDE: Readonly<Record<string, { readonly bits: 8 | 16 | 32; readonly unsigned: boolean }>> = {
  u8: { bits: 8, unsigned: true },
  u: { bits: 16, unsigned: true },
  U: { bits: 32, unsigned: true },
  L: { bits: 32, unsigned: false },
};

export function parseCharacter(spelling: string): CharacterConstant {
  const open = spelling.indexOf("'");
  const wide = WIDE[spelling.slice(0, open)];
  const width = wide?.bits ?? 8;
  const units = codesOf(spelling.slice(open + 1, -1), !wide, width);
  if ('why' in units) return units;
  const { codes } = units;
  const last = codes[codes.length - 1];
  if (last === undefined) return { why: 'there is nothing between the quotes' };
  const doubt = units.tooLarge ? `an escape sequence in it does not fit into ${width} bits` : undefined;
  if (wide) {
    if (width === 8 && (codes.length > 1 || (units.letters && last > 127)))
      return { why: 'it takes more than one byte' };
    const fits = codes.length === 1 && last < 2 ** width;
    return {
      value: wide.unsigned ? BigInt.asUintN(width, BigInt(last)) : BigInt.asIntN(width, BigInt(last)),
      ...wide,
      doubt: doubt ?? (fits ? undefined : 'there is more between the quotes than its type holds'),
    };
  }
  if (codes.length === 1) return { value: BigInt.asIntN(8, BigInt(last)), unsigned: false, doubt };
  // Several characters: each shifts the earlier ones by eight bits, as the common compilers do.
  const packed = codes.reduce((sum, code) => (sum << 8n) | BigInt(code & 255), 0n);
  const spread = units.letters ? 'it takes more than one byte' : undefined;
  return { value: BigInt.asIntN(32, packed), unsigned: false, doubt: doubt ?? spread };
}

/** Text of a string literal. */
export function parseString(spelling: string): string | undefined {
  const open = spelling.indexOf('"');
  const units = codesOf(spelling.slice(open + 1, -1), false, 32);
  if ('why' in units) return undefined;
  return units.codes.map((code) => String.fromCodePoint(Math.min(code, 0x10ffff))).join('');
}

const SIMPLE: Readonly<Record<string, number>> = {
  n: 10,
  t: 9,
  r: 13,
  a: 7,
  b: 8,
  f: 12,
  v: 11,
  e: 27,
  E: 27,
  '\\': 92,
  "'": 39,
  '"': 34,
  '?': 63,
};

interface Codes {
  readonly codes: number[];
  /** An octal or hexadecimal escape sequence does not fit into `width` bits (6.4.4.4p9). */
  readonly tooLarge: boolean;
  /** There are letters beyond ASCII in it. */
  readonly letters: boolean;
}

const ESCAPE = /\\(?:([0-7]{1,3})|x([0-9a-fA-F]+)|u([0-9a-fA-F]{4})|U([0-9a-fA-F]{8})|([^xuU]))/suy;

/** Escape sequences (6.4.4.4). With `bytes`, characters beyond ASCII count as their UTF-8 bytes. */
function codesOf(text: string, bytes: boolean, width: 8 | 16 | 32): Codes | { why: string } {
  const codes: number[] = [];
  let tooLarge = false;
  let letters = false;
  const add = (code: number): void => {
    letters ||= code > 127;
    if (bytes && code > 127) for (const byte of utf8(code)) codes.push(byte);
    else codes.push(code);
  };
  const escaped = (code: bigint): void => {
    tooLarge ||= code >= 1n << BigInt(width);
    codes.push(Number(BigInt.asUintN(width, code)));
  };
  for (let at = 0; at < text.length; ) {
    const char = text.charAt(at);
    if (char !== '\\') {
      const code = text.codePointAt(at) ?? 0;
      add(code);
      at += code > 0xffff ? 2 : 1;
      continue;
    }
    ESCAPE.lastIndex = at;
    const found = ESCAPE.exec(text);
    if (!found) {
      const letter = text.charAt(at + 1);
      return {
        why:
          letter === ''
            ? 'it ends in a lone backslash'
            : `there are not enough hexadecimal digits behind \\${letter}`,
      };
    }
    const [all, octal, hex, short, long, simple] = found;
    if (octal !== undefined) escaped(BigInt(`0o${octal}`));
    else if (hex !== undefined) escaped(BigInt(`0x${hex}`));
    else if (short !== undefined || long !== undefined) {
      const code = Number.parseInt(short ?? long ?? '0', 16);
      if (!mayBeNamed(code)) return { why: `${all} names no character` };
      add(code);
    } else add(SIMPLE[simple ?? ''] ?? simple?.codePointAt(0) ?? 0);
    at += all.length;
  }
  return { codes, tooLarge, letters };
}

function utf8(code: number): number[] {
  if (code < 0x800) return [0xc0 | (code >> 6), 0x80 | (code & 63)];
  if (code < 0x10000) return [0xe0 | (code >> 12), 0x80 | ((code >> 6) & 63), 0x80 | (code & 63)];
  return [0xf0 | (code >> 18), 0x80 | ((code >> 12) & 63), 0x80 | ((code >> 6) & 63), 0x80 | (code & 63)];
}
