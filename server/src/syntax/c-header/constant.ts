import type { SettingValue } from '../entry';
import { type IntegerType, integerType, readCast, widthOf } from './basicType';
import { type Arithmetic, type Cursor, type ExpressionFault, evaluate, isFault } from './expression';
import { parseCharacter, parseNumber } from './number';
import type { DataModel } from './options';
import type { Token } from './token';

type Integer = {
  readonly kind: 'integer';
  readonly value: bigint;
  readonly bits: number;
  readonly unsigned: boolean;
};
type Value =
  | Integer
  | { readonly kind: 'floating'; readonly value: number }
  | {
      readonly kind: 'fault';
      readonly why: string;
      /** The types forbid it, evaluated or not; other faults matter only where they are evaluated. */
      readonly never?: boolean;
      /** Of what it would be if it had a value. */
      readonly type?: Type;
    };

type Type = IntegerType | 'floating';

const fault = (why: string, type?: Type): Value => ({ kind: 'fault', why, type });
const mismatch = (why: string): Value => ({ kind: 'fault', why, never: true });
const isMismatch = (value: Value): boolean => value.kind === 'fault' && value.never === true;

/**
 * Value of a constant expression as C computes it (ISO/IEC 9899:2018 6.6): integer promotions, usual conversions,
 * truncating division. Floating arithmetic is done in doubles whatever the suffix, as 5.2.4.2.2p9 allows; a cast rounds.
 * Overflow of a signed type and all else the language leaves undefined has no value here.
 */
export function constantValue(tokens: readonly Token[], model: DataModel): SettingValue | undefined {
  const whole = tokens.length === 1 ? smallWhole(tokens[0] as Token) : undefined;
  if (whole !== undefined) return { kind: 'number', value: whole, integer: true };
  const result = evaluate(tokens, arithmetic(model));
  if (isFault(result) || result.kind === 'fault') return undefined;
  if (result.kind === 'floating') {
    return Number.isFinite(result.value)
      ? { kind: 'number', value: result.value, integer: false }
      : undefined;
  }
  const value = Number(result.value);
  return BigInt(value) === result.value
    ? { kind: 'number', value, integer: true }
    : { kind: 'number', value, integer: true, exact: result.value };
}

/** A whole number in plain digits that fits every type of the list; most values are. */
function smallWhole({ kind, text }: Token): number | undefined {
  if (kind !== 'number' || text.length > 9) return undefined;
  let value = 0;
  for (let at = 0; at < text.length; at++) {
    const digit = text.charCodeAt(at) - 48;
    if (digit < 0 || digit > 9) return undefined;
    value = 10 * value + digit;
  }
  // With a zero in front it is octal.
  return text.charCodeAt(0) === 48 && text.length > 1 ? undefined : value;
}

function arithmetic(model: DataModel): Arithmetic<Value> {
  return {
    operand: (cursor) => operand(cursor, model),
    unary: (operator, value) => unary(operator, value, model),
    binary: (operator, left, right) => binary(operator, left, right, model),
    choose(condition, yes, no) {
      if (condition.kind === 'fault') {
        const type = commonType(typeOf(yes), typeOf(no), model);
        return [condition, yes, no].find(isMismatch) ?? { ...condition, type };
      }
      const chosen = isZero(condition) ? no : yes;
      const twin = isZero(condition) ? yes : no;
      if (chosen.kind === 'fault') return chosen;
      if (isMismatch(twin)) return twin;
      // Both take part in the type of the result, though only one is evaluated (6.5.15p4).
      const type = commonType(typeOf(chosen), typeOf(twin), model);
      if (type === undefined) return twin;
      if (chosen.kind === 'floating') return chosen;
      return type === 'floating'
        ? { kind: 'floating', value: Number(chosen.value) }
        : store(chosen.value, type, true);
    },
    cast: (cursor) => readCast(cursor),
    convert: (type, value) => convert(type, value, model),
  };
}

const typeOf = (value: Value): Type | undefined =>
  value.kind === 'integer' ? value : value.kind === 'floating' ? 'floating' : value.type;

const commonType = (one: Type | undefined, other: Type | undefined, model: DataModel): Type | undefined =>
  one === undefined || other === undefined
    ? undefined
    : one === 'floating' || other === 'floating'
      ? 'floating'
      : common(one, other, model);

const isZero = (value: Value): boolean =>
  value.kind === 'integer' ? value.value === 0n : value.kind === 'floating' && value.value === 0;

function operand(cursor: Cursor, model: DataModel): Value | ExpressionFault {
  const token = cursor.tokens[cursor.at] as Token;
  cursor.at++;
  if (token.kind === 'number') {
    const constant = parseNumber(token.text);
    if (constant.kind === 'invalid') return { fault: constant.why, token };
    if (constant.kind === 'floating') {
      return /[iIjJ]/.test(constant.suffix)
        ? { fault: 'imaginary', token }
        : { kind: 'floating', value: constant.value };
    }
    return (
      literal(constant.value, constant.decimal, constant.unsigned, constant.long, model) ?? {
        fault: 'too large',
        token,
      }
    );
  }
  if (token.kind === 'character') {
    const constant = parseCharacter(token.text);
    if ('why' in constant) return { fault: constant.why, token };
    // What compilers do not agree about has no value.
    if (constant.doubt !== undefined) return { fault: constant.doubt, token };
    const { value, unsigned, bits = model.intBits } = constant;
    return { kind: 'integer', value, bits, unsigned };
  }
  if (token.kind === 'identifier') {
    if (token.text === 'true' || token.text === 'false') {
      return {
        kind: 'integer',
        value: token.text === 'true' ? 1n : 0n,
        bits: model.intBits,
        unsigned: false,
      };
    }
    if (token.text === 'sizeof') {
      const type = readCast(cursor);
      const bits = type === undefined ? undefined : widthOf(type, model);
      if (bits !== undefined) {
        const width = model.intBits === 16 ? 16 : model.longBits;
        return { kind: 'integer', value: BigInt(bits / 8), bits: width, unsigned: true };
      }
    }
  }
  return { fault: 'no constant', token };
}

/** Type of an integer constant: the first of the list in 6.4.4.1p5 that it fits; one that fits none has no value. */
function literal(
  value: bigint,
  decimal: boolean,
  unsigned: boolean,
  long: 0 | 1 | 2,
  model: DataModel,
): Value | undefined {
  const widths = [model.intBits, model.longBits, 64].slice(long);
  for (const bits of widths) {
    if (!unsigned && value < 1n << BigInt(bits - 1)) return { kind: 'integer', value, bits, unsigned: false };
    if ((unsigned || !decimal) && value < 1n << BigInt(bits))
      return { kind: 'integer', value, bits, unsigned: true };
  }
  return undefined;
}

function promote<T extends IntegerType>(value: T, model: DataModel): T {
  return value.bits < model.intBits ? { ...value, bits: model.intBits, unsigned: false } : value;
}

function common(left: IntegerType, right: IntegerType, model: DataModel): IntegerType {
  const a = promote(left, model);
  const b = promote(right, model);
  if (a.bits === b.bits) return { bits: a.bits, unsigned: a.unsigned || b.unsigned };
  return a.bits > b.bits ? a : b;
}

/** Puts a value into a type; a signed type that it does not fit is undefined behaviour unless `wraps`. */
function store(value: bigint, { bits, unsigned }: IntegerType, wraps = false): Value {
  const stored = unsigned ? BigInt.asUintN(bits, value) : BigInt.asIntN(bits, value);
  if (!unsigned && !wraps && stored !== value) return fault('overflow', { bits, unsigned });
  return { kind: 'integer', value: stored, bits, unsigned };
}

function unary(operator: string, value: Value, model: DataModel): Value {
  if (value.kind === 'fault') {
    if (operator === '!') return { ...value, type: intOf(model) };
    if (value.type === undefined || value.type === 'floating') {
      return operator === '~' && value.type ? mismatch('~ of a fraction') : value;
    }
    return { ...value, type: promote(value.type, model) };
  }
  if (operator === '!') return truth(isZero(value), model);
  if (value.kind === 'floating') {
    if (operator === '~') return mismatch('~ of a fraction');
    return operator === '-' ? { kind: 'floating', value: -value.value } : value;
  }
  const promoted = promote(value, model);
  if (operator === '-') return store(-promoted.value, promoted);
  if (operator === '~') return store(~promoted.value, promoted);
  return promoted;
}

const intOf = ({ intBits }: DataModel): IntegerType => ({ bits: intBits, unsigned: false });

const truth = (value: boolean, model: DataModel): Value => ({
  kind: 'integer',
  value: value ? 1n : 0n,
  bits: model.intBits,
  unsigned: false,
});

/** Operators of whole numbers alone (6.5.5p2, 6.5.7p2, 6.5.10p2 to 6.5.12p2). */
const WHOLE = new Set(['%', '<<', '>>', '&', '|', '^']);
const SUMS = new Set(['+', '-', '*', '/']);

/** What the result would be of if it had a value. */
function resultType(operator: string, left: Value, right: Value, model: DataModel): Type | undefined {
  if (!SUMS.has(operator) && !WHOLE.has(operator)) return intOf(model);
  const one = typeOf(left);
  const other = typeOf(right);
  if (operator !== '<<' && operator !== '>>') return commonType(one, other, model);
  return one === undefined || one === 'floating' ? undefined : promote(one, model);
}

function withFault(operator: string, left: Value, right: Value, model: DataModel): Value {
  const broken = left.kind === 'fault' ? left : right;
  if (broken.kind !== 'fault' || broken.never) return broken;
  if (WHOLE.has(operator) && (typeOf(left) === 'floating' || typeOf(right) === 'floating'))
    return mismatch(`${operator} of a fraction`);
  return { ...broken, type: resultType(operator, left, right, model) };
}

function binary(operator: string, left: Value, right: Value, model: DataModel): Value {
  if (isMismatch(right)) return right;
  if (left.kind === 'fault') return withFault(operator, left, right, model);
  if (operator === '&&' || operator === '||') {
    if (isZero(left) === (operator === '&&')) return truth(operator === '||', model);
    return right.kind === 'fault' ? withFault(operator, left, right, model) : truth(!isZero(right), model);
  }
  if (operator !== ',' && right.kind === 'fault') return withFault(operator, left, right, model);
  if (right.kind === 'fault') return mismatch('comma');
  // A constant expression holds no comma operator (6.6p3); `1, 2` as a setting is two values, not the second.
  if (operator === ',') return mismatch('comma');
  if (left.kind === 'floating' || right.kind === 'floating') {
    return floating(operator, Number(left.value), Number(right.value), model);
  }
  if (operator === '<<' || operator === '>>') {
    const type = promote(left, model);
    if (right.value < 0n || right.value >= BigInt(type.bits)) return fault('shift past the width', type);
    return store(operator === '<<' ? type.value << right.value : type.value >> right.value, type, true);
  }
  const type = common(left, right, model);
  const wrap = (value: bigint): bigint => (type.unsigned ? BigInt.asUintN(type.bits, value) : value);
  const a = wrap(left.value);
  const b = wrap(right.value);
  switch (operator) {
    case '+':
      return store(a + b, type);
    case '-':
      return store(a - b, type);
    case '*':
      return store(a * b, type);
    case '/':
      return b === 0n ? fault('division by zero', type) : store(a / b, type);
    case '%':
      return b === 0n ? fault('division by zero', type) : store(a % b, type);
    case '&':
      return store(a & b, type);
    case '|':
      return store(a | b, type);
    case '^':
      return store(a ^ b, type);
    default:
      return compare(operator, a < b ? -1 : a > b ? 1 : 0, model);
  }
}

function floating(operator: string, a: number, b: number, model: DataModel): Value {
  switch (operator) {
    case '+':
      return { kind: 'floating', value: a + b };
    case '-':
      return { kind: 'floating', value: a - b };
    case '*':
      return { kind: 'floating', value: a * b };
    case '/':
      return { kind: 'floating', value: a / b };
    case '%':
    case '<<':
    case '>>':
    case '&':
    case '|':
    case '^':
      return mismatch(`${operator} of a fraction`);
    default:
      return Number.isNaN(a) || Number.isNaN(b)
        ? fault('not a number')
        : compare(operator, a < b ? -1 : a > b ? 1 : 0, model);
  }
}

function compare(operator: string, order: number, model: DataModel): Value {
  switch (operator) {
    case '==':
      return truth(order === 0, model);
    case '!=':
      return truth(order !== 0, model);
    case '<':
      return truth(order < 0, model);
    case '>':
      return truth(order > 0, model);
    case '<=':
      return truth(order <= 0, model);
    case '>=':
      return truth(order >= 0, model);
  }
  return mismatch(`no operator ${operator}`);
}

function convert(type: string, value: Value, model: DataModel): Value {
  if (value.kind === 'fault') return value.never ? value : { ...value, type: castType(type, model) };
  // A cast takes away what the type cannot hold (6.5.4p6).
  if (type === 'float') {
    const rounded = value.kind === 'integer' ? nearestFloat(value.value) : Math.fround(value.value);
    return { kind: 'floating', value: rounded };
  }
  if (/^(?:long )?double$/.test(type)) return { kind: 'floating', value: Number(value.value) };
  if (type === 'bool' || type === '_Bool') {
    return { kind: 'integer', value: isZero(value) ? 0n : 1n, bits: 8, unsigned: true };
  }
  const target = integerType(type, model);
  if (!target) return fault(`no type ${type}`);
  if (value.kind === 'integer') return store(value.value, target, true);
  if (!Number.isFinite(value.value)) return fault('not finite', target);
  const whole = BigInt(Math.trunc(value.value));
  const stored = store(whole, target, true);
  return stored.kind === 'integer' && stored.value === whole ? stored : fault('does not fit', target);
}

const castType = (type: string, model: DataModel): Type | undefined =>
  /^(?:long )?double$|^float$/.test(type)
    ? 'floating'
    : type === 'bool' || type === '_Bool'
      ? { bits: 8, unsigned: true }
      : integerType(type, model);

/** Rounded once (6.3.1.4p2): by way of a double, a value just above the middle of two floats could fall to the wrong one. */
function nearestFloat(integer: bigint): number {
  const size = integer < 0n ? -integer : integer;
  if (size <= Number.MAX_SAFE_INTEGER) return Math.fround(Number(integer));
  const spare = BigInt(size.toString(2).length - FLOAT_BITS - 1);
  const head = size >> spare;
  // What is cut off is kept as one bit: all that rounding needs to know of it.
  const rest = head << spare === size ? 0n : 1n;
  const rounded = Math.fround(Number((head << 1n) | rest)) * 2 ** Number(spare - 1n);
  return integer < 0n ? -rounded : rounded;
}

/** Of a float's significand. */
const FLOAT_BITS = 24;
