import { isPunctuator, type Token } from './token';

/**
 * Arithmetic over some kind of value. Operands are always evaluated; a fault or an unknown is a value like any other and
 * goes away when a short-circuit does not look at it, so no tree has to be kept.
 */
export interface Arithmetic<V> {
  /** Reads one operand that is no parenthesis and no operator, and moves the cursor behind it. */
  operand(cursor: Cursor): V | ExpressionFault;
  unary(operator: string, value: V, token: Token): V;
  binary(operator: string, left: V, right: V, token: Token): V;
  choose(condition: V, yes: V, no: V, token: Token): V;
  /** Reads `(type)` when the cursor stands on one; gives the name of the type, or moves nothing. */
  cast?(cursor: Cursor): string | undefined;
  convert?(type: string, value: V, token: Token): V;
}

export interface Cursor {
  readonly tokens: readonly Token[];
  at: number;
}

export interface ExpressionFault {
  readonly fault: string;
  /** Absent at the end of the expression. */
  readonly token?: Token;
}

export const isFault = (value: unknown): value is ExpressionFault =>
  typeof value === 'object' && value !== null && 'fault' in value;

const PRECEDENCE: Readonly<Record<string, number>> = {
  '*': 12,
  '/': 12,
  '%': 12,
  '+': 11,
  '-': 11,
  '<<': 10,
  '>>': 10,
  '<': 9,
  '>': 9,
  '<=': 9,
  '>=': 9,
  '==': 8,
  '!=': 8,
  '&': 7,
  '^': 6,
  '|': 5,
  '&&': 4,
  '||': 3,
  '?': 2,
  ',': 1,
};
const UNARY = new Set(['+', '-', '!', '~']);
const WORD_OPERATORS: Readonly<Record<string, string>> = {
  and: '&&',
  or: '||',
  not: '!',
  bitand: '&',
  bitor: '|',
  xor: '^',
  compl: '~',
  not_eq: '!=',
};

type Pending =
  | {
      readonly kind: 'unary' | 'cast' | 'binary';
      readonly text: string;
      readonly rank: number;
      readonly token: Token;
    }
  | {
      readonly kind: 'open' | 'question' | 'colon';
      readonly text: string;
      readonly rank: number;
      readonly token: Token;
    };

/**
 * Evaluates a constant expression (6.6) without recursion, so that no depth of nesting exhausts the stack.
 * `wordOperators` admits `and`, `or`, `not` … as C++ does.
 */
export function evaluate<V>(
  tokens: readonly Token[],
  arithmetic: Arithmetic<V>,
  wordOperators = false,
): V | ExpressionFault {
  const cursor: Cursor = { tokens, at: 0 };
  const values: V[] = [];
  const pending: Pending[] = [];
  const operatorText = (token: Token): string | undefined => {
    if (token.kind === 'punctuator') return token.text;
    return wordOperators && token.kind === 'identifier' && Object.hasOwn(WORD_OPERATORS, token.text)
      ? WORD_OPERATORS[token.text]
      : undefined;
  };

  const reduce = (): void => {
    const top = pending.pop();
    if (!top) return;
    const last = values.pop() as V;
    if (top.kind === 'unary') values.push(arithmetic.unary(top.text, last, top.token));
    else if (top.kind === 'cast') values.push(arithmetic.convert?.(top.text, last, top.token) ?? last);
    else if (top.kind === 'binary') {
      values.push(arithmetic.binary(top.text, values.pop() as V, last, top.token));
    } else {
      const yes = values.pop() as V;
      values.push(arithmetic.choose(values.pop() as V, yes, last, top.token));
    }
  };
  const top = (): Pending | undefined => pending[pending.length - 1];

  let wantsOperand = true;
  while (cursor.at < tokens.length) {
    const token = tokens[cursor.at] as Token;
    const text = operatorText(token);
    if (wantsOperand) {
      if (text !== undefined && UNARY.has(text)) {
        pending.push({ kind: 'unary', text, rank: 13, token });
        cursor.at++;
        continue;
      }
      const type = arithmetic.cast?.(cursor);
      if (type !== undefined) {
        pending.push({ kind: 'cast', text: type, rank: 13, token });
        continue;
      }
      if (text === '(') {
        pending.push({ kind: 'open', text, rank: 0, token });
        cursor.at++;
        continue;
      }
      if (text !== undefined) {
        return { fault: `'${text}' cannot stand here: a value is missing before it.`, token };
      }
      const value = arithmetic.operand(cursor);
      if (isFault(value)) return value;
      values.push(value);
      wantsOperand = false;
      continue;
    }
    if (text === ')') {
      while (top() && top()?.kind !== 'open' && top()?.kind !== 'question') reduce();
      const open = pending.pop();
      if (!open) return { fault: "There is a ')' without its '('.", token };
      if (open.kind === 'question') return { fault: "This '?' lacks its ':'.", token: open.token };
      cursor.at++;
      continue;
    }
    if (text === ':') {
      while (top() && top()?.kind !== 'open' && top()?.kind !== 'question') reduce();
      const question = pending.pop();
      if (question?.kind !== 'question') return { fault: "There is a ':' without its '?'.", token };
      pending.push({ kind: 'colon', text: ':', rank: 2, token: question.token });
      wantsOperand = true;
      cursor.at++;
      continue;
    }
    const rank = text === undefined || !Object.hasOwn(PRECEDENCE, text) ? undefined : PRECEDENCE[text];
    if (rank === undefined || text === undefined) {
      return { fault: `An operator is missing before '${shown(token)}'.`, token };
    }
    if (text === '?') {
      while (top() && (top()?.rank ?? 0) > rank) reduce();
      pending.push({ kind: 'question', text, rank: 0, token });
    } else {
      while (top() && (top()?.rank ?? 0) >= rank) reduce();
      pending.push({ kind: 'binary', text, rank, token });
    }
    wantsOperand = true;
    cursor.at++;
  }
  if (wantsOperand) {
    return tokens.length === 0
      ? { fault: 'There is nothing to evaluate here.' }
      : { fault: 'The expression stops in the middle: a value is missing at its end.' };
  }
  while (pending.length > 0) {
    const open = top();
    if (open?.kind === 'open') return { fault: "This '(' is not closed.", token: open.token };
    if (open?.kind === 'question') return { fault: "This '?' lacks its ':'.", token: open.token };
    reduce();
  }
  return values[0] as V;
}

const shown = (token: Token): string =>
  token.text.length > 40 ? `${token.text.slice(0, 37)}...` : token.text;

/** Index behind the `)` that closes the `(` at `open`, or the end. */
export function skipParentheses(tokens: readonly Token[], open: number): number {
  let depth = 0;
  for (let at = open; at < tokens.length; at++) {
    if (isPunctuator(tokens[at], '(')) depth++;
    else if (isPunctuator(tokens[at], ')') && --depth === 0) return at + 1;
  }
  return tokens.length;
}
