import {
  type Arithmetic,
  type Cursor,
  type ExpressionFault,
  evaluate,
  isFault,
  skipParentheses,
} from './expression';
import { clip } from './macro';
import { parseCharacter, parseNumber } from './number';
import { isPlainString, isPunctuator, type Token } from './token';

/** Outcome of a condition: decided, or hanging on names that only the build knows, or not readable. */
export type Verdict =
  | {
      readonly kind: 'decided';
      readonly value: boolean;
      /** The compilers do not agree about it, or complain. */
      readonly doubt?: Doubt;
    }
  | { readonly kind: 'undecided'; readonly names: ReadonlySet<string> }
  | { readonly kind: 'fault'; readonly message: string; readonly token?: Token };

export interface Doubt {
  readonly message: string;
  readonly token: Token;
}

/** What is known about a name in a condition. */
export type Standing =
  | { readonly kind: 'defined' }
  | { readonly kind: 'absent' }
  | { readonly kind: 'undecided'; readonly names: ReadonlySet<string> };

export interface ConditionHost {
  standing(name: string): Standing;
  /** Whether a header is there; undefined when only the build knows. */
  hasInclude(spelling: string, token: Token): boolean | undefined;
  /** `true` is 1 (C23, C++) rather than an unknown name. */
  readonly booleans: boolean;
  readonly wordOperators: boolean;
}

type Value =
  | { readonly kind: 'known'; readonly bits: bigint; readonly unsigned: boolean; readonly doubt?: Doubt }
  | { readonly kind: 'unknown'; readonly names: ReadonlySet<string> }
  | {
      readonly kind: 'fault';
      readonly message: string;
      readonly token: Token;
      /** Whether it would be unsigned if it had a value. */
      readonly unsigned: boolean;
    };

type Fault = Extract<Value, { kind: 'fault' }>;
type Known = Extract<Value, { kind: 'known' }>;

const known = (bits: bigint, unsigned = false, doubt?: Doubt): Known => ({
  kind: 'known',
  bits: unsigned ? BigInt.asUintN(64, bits) : BigInt.asIntN(64, bits),
  unsigned,
  doubt,
});
const truth = (value: boolean, doubt?: Doubt): Known => known(value ? 1n : 0n, false, doubt);

/** The same, with a doubt when a signed result does not fit: the language gives it no value (6.5p5). */
function fitting(bits: bigint, unsigned: boolean, token: Token, doubt?: Doubt): Known {
  const fits = unsigned || BigInt.asIntN(64, bits) === bits;
  return known(bits, unsigned, doubt ?? (fits ? undefined : { message: OVERFLOW, token }));
}

const OVERFLOW =
  'This is more than 64 bits with a sign can hold, so what the compiler makes of it is not certain.';
const COMMA =
  'A condition is one value; a comma is not allowed here. Some compilers take what stands behind it, others stop.';
const ONLY_UNSIGNED =
  'This number is so large that it counts as one without a sign, and so does what is reckoned with it.';
const TOO_LARGE =
  'This number does not fit into 64 bits. Some compilers take its lower 64 bits, others stop.';

/** Evaluates the operand of `#if` after expansion (6.10.1): 64 bits, and Kleene's logic where names are unknown. */
export function evaluateCondition(tokens: readonly Token[], host: ConditionHost): Verdict {
  if (tokens.length === 0) {
    return {
      kind: 'fault',
      message: 'This condition is empty. Write what it should depend on, such as defined(NAME).',
    };
  }
  const result = evaluate(tokens, arithmetic(host), host.wordOperators);
  if (isFault(result)) return { kind: 'fault', message: result.fault, token: result.token };
  if (result.kind === 'fault') return { kind: 'fault', message: result.message, token: result.token };
  if (result.kind === 'unknown') return { kind: 'undecided', names: result.names };
  return { kind: 'decided', value: result.bits !== 0n, doubt: result.doubt };
}

function arithmetic(host: ConditionHost): Arithmetic<Value> {
  return {
    operand: (cursor) => operand(cursor, host),
    unary(operator, value, token) {
      if (value.kind === 'fault' && operator === '!') return { ...value, unsigned: false };
      if (value.kind !== 'known') return value;
      const { bits, unsigned, doubt } = value;
      if (operator === '-') return fitting(-bits, unsigned, token, doubt);
      if (operator === '~') return known(~bits, unsigned, doubt);
      if (operator === '!') return truth(bits === 0n, doubt);
      return value;
    },
    binary,
    choose(condition, yes, no) {
      if (condition.kind === 'fault') return { ...condition, unsigned: isUnsigned(yes) || isUnsigned(no) };
      if (condition.kind === 'unknown') {
        if (yes.kind === 'known' && no.kind === 'known' && yes.bits === no.bits) return yes;
        return { kind: 'unknown', names: merge(condition, yes, no) };
      }
      const chosen = condition.bits !== 0n ? yes : no;
      if (chosen.kind !== 'known') return chosen;
      const unsigned = isUnsigned(yes) || isUnsigned(no);
      return known(chosen.bits, unsigned, condition.doubt ?? chosen.doubt);
    },
  };
}

const isUnsigned = (value: Value): boolean => value.kind !== 'unknown' && value.unsigned;

function merge(...values: readonly Value[]): ReadonlySet<string> {
  const names = new Set<string>();
  for (const value of values) if (value.kind === 'unknown') for (const name of value.names) names.add(name);
  return names;
}

function operand(cursor: Cursor, host: ConditionHost): Value | ExpressionFault {
  const token = cursor.tokens[cursor.at] as Token;
  cursor.at++;
  if (token.kind === 'number') {
    const constant = parseNumber(token.text);
    if (constant.kind === 'integer') {
      const { value, unsigned } = constant;
      const doubt =
        value >= 1n << 64n
          ? { message: TOO_LARGE, token }
          : constant.decimal && !unsigned && value >= 1n << 63n
            ? { message: ONLY_UNSIGNED, token }
            : undefined;
      return known(value, unsigned || value >= 1n << 63n, doubt);
    }
    if (constant.kind === 'floating') {
      return {
        fault: `'${clip(token.text)}' has a fraction, and a condition can only reckon with whole numbers.`,
        token,
      };
    }
    return { fault: `'${clip(token.text)}' is not a whole number: ${constant.why}.`, token };
  }
  if (token.kind === 'character') {
    const constant = parseCharacter(token.text);
    if ('why' in constant) return { fault: `This character has no value: ${constant.why}.`, token };
    const doubt = constant.doubt && {
      message: `Compilers do not agree about this: ${constant.doubt}.`,
      token,
    };
    return known(constant.value, constant.unsigned, doubt || undefined);
  }
  if (token.kind === 'string')
    return { fault: 'A condition cannot compare text, only whole numbers.', token };
  if (token.kind !== 'identifier')
    return { fault: `'${clip(token.text)}' has no meaning in a condition.`, token };
  if (token.text === 'defined') return definedOperator(cursor, host, token);
  if (token.text === '__has_include' || token.text === '__has_include_next')
    return hasInclude(cursor, host, token);
  if (host.booleans && (token.text === 'true' || token.text === 'false')) return truth(token.text === 'true');
  const standing = host.standing(token.text);
  if (standing.kind !== 'undecided') {
    if (isPunctuator(cursor.tokens[cursor.at], '(')) {
      return {
        fault:
          standing.kind === 'defined'
            ? `An operator is missing behind '${clip(token.text)}'.`
            : `'${clip(token.text)}' is called here, but no macro of that name is defined before this line.`,
        token,
      };
    }
    return known(0n);
  }
  if (isPunctuator(cursor.tokens[cursor.at], '(')) cursor.at = skipParentheses(cursor.tokens, cursor.at);
  return { kind: 'unknown', names: standing.names };
}

function definedOperator(cursor: Cursor, host: ConditionHost, at: Token): Value | ExpressionFault {
  const open = isPunctuator(cursor.tokens[cursor.at], '(');
  if (open) cursor.at++;
  const name = cursor.tokens[cursor.at];
  if (name?.kind !== 'identifier')
    return { fault: "'defined' needs the name of a setting behind it.", token: name ?? at };
  cursor.at++;
  if (open) {
    if (!isPunctuator(cursor.tokens[cursor.at], ')')) {
      return { fault: "The '(' behind 'defined' is not closed.", token: cursor.tokens[cursor.at] ?? name };
    }
    cursor.at++;
  }
  const standing = host.standing(name.text);
  if (standing.kind === 'undecided') return { kind: 'unknown', names: standing.names };
  return truth(standing.kind === 'defined');
}

function hasInclude(cursor: Cursor, host: ConditionHost, at: Token): Value | ExpressionFault {
  const fault = (): ExpressionFault => ({
    fault: `'${at.text}' needs "file" or <file> in parentheses.`,
    token: cursor.tokens[cursor.at] ?? at,
  });
  if (!isPunctuator(cursor.tokens[cursor.at], '(')) return fault();
  cursor.at++;
  const first = cursor.tokens[cursor.at];
  let spelling: string;
  if (first && (first.kind === 'header' || isPlainString(first))) {
    spelling = first.text;
    cursor.at++;
  } else if (isPunctuator(first, '<')) {
    let text = '';
    for (;;) {
      const token = cursor.tokens[cursor.at++];
      if (!token) return fault();
      text += token.space && text !== '<' && text !== '' ? ` ${token.text}` : token.text;
      if (isPunctuator(token, '>')) break;
    }
    spelling = text;
  } else return fault();
  if (!isPunctuator(cursor.tokens[cursor.at], ')')) return fault();
  cursor.at++;
  const found = host.hasInclude(spelling, at);
  return found === undefined ? { kind: 'unknown', names: new Set([at.text]) } : truth(found);
}

function binary(operator: string, left: Value, right: Value, token: Token): Value {
  if (operator === '&&' || operator === '||') return logical(operator === '&&', left, right);
  if (left.kind === 'fault' || right.kind === 'fault') {
    const unsigned = resultIsUnsigned(operator, left, right);
    return left.kind === 'fault' ? { ...left, unsigned } : { ...(right as Fault), unsigned };
  }
  if (left.kind === 'unknown' || right.kind === 'unknown')
    return { kind: 'unknown', names: merge(left, right) };
  const doubt = left.doubt ?? right.doubt;
  if (operator === ',') return known(right.bits, right.unsigned, doubt ?? { message: COMMA, token });
  const unsigned = left.unsigned || right.unsigned;
  const a = unsigned ? BigInt.asUintN(64, left.bits) : left.bits;
  const b = unsigned ? BigInt.asUintN(64, right.bits) : right.bits;
  switch (operator) {
    case '+':
      return fitting(a + b, unsigned, token, doubt);
    case '-':
      return fitting(a - b, unsigned, token, doubt);
    case '*':
      return fitting(a * b, unsigned, token, doubt);
    case '/':
    case '%':
      if (b === 0n) return { kind: 'fault', message: 'This divides by zero.', token, unsigned };
      return operator === '/' ? fitting(a / b, unsigned, token, doubt) : known(a % b, unsigned, doubt);
    case '<<':
    case '>>':
      return shift(operator === '<<', left, right, doubt);
    case '&':
      return known(a & b, unsigned, doubt);
    case '|':
      return known(a | b, unsigned, doubt);
    case '^':
      return known(a ^ b, unsigned, doubt);
    case '==':
      return truth(a === b, doubt);
    case '!=':
      return truth(a !== b, doubt);
    case '<':
      return truth(a < b, doubt);
    case '>':
      return truth(a > b, doubt);
    case '<=':
      return truth(a <= b, doubt);
    case '>=':
      return truth(a >= b, doubt);
  }
  return { kind: 'fault', message: `'${operator}' cannot be used in a condition.`, token, unsigned };
}

/** As the usual conversions make it; a shift is what its left side is (6.5.7p3), and a comma what its right side is. */
function resultIsUnsigned(operator: string, left: Value, right: Value): boolean {
  if (operator === '<<' || operator === '>>') return isUnsigned(left);
  if (operator === ',') return isUnsigned(right);
  return /^[-+*/%&|^]$/.test(operator) && (isUnsigned(left) || isUnsigned(right));
}

function logical(isAnd: boolean, left: Value, right: Value): Value {
  if (left.kind === 'fault') return { ...left, unsigned: false };
  if (left.kind === 'known') {
    if ((left.bits !== 0n) !== isAnd) return truth(!isAnd, left.doubt);
    if (right.kind === 'fault') return { ...right, unsigned: false };
    return right.kind === 'known' ? truth(right.bits !== 0n, left.doubt ?? right.doubt) : right;
  }
  if (right.kind === 'known' && (right.bits !== 0n) !== isAnd) return truth(!isAnd);
  return { kind: 'unknown', names: merge(left, right) };
}

/** Shifts past the width, and by negative counts, as the common compilers do (the standard leaves them open, 6.5.7p3). */
function shift(isLeft: boolean, left: Known, right: Known, doubt: Doubt | undefined): Value {
  const backwards = right.bits < 0n;
  const count = backwards ? -right.bits : right.bits;
  const goesLeft = isLeft !== backwards;
  if (count >= 64n) return known(!goesLeft && left.bits < 0n ? -1n : 0n, left.unsigned, doubt);
  return known(goesLeft ? left.bits << count : left.bits >> count, left.unsigned, doubt);
}
