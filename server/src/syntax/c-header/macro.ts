import type { Place } from '../../model/place';
import { isHash, isPaste, isPunctuator, nameOf, type Token } from './token';

/** One piece of a replacement list, ready for substitution. */
export type Piece =
  | { readonly kind: 'token'; readonly token: Token; readonly paste: boolean }
  | {
      readonly kind: 'parameter';
      readonly token: Token;
      readonly index: number;
      readonly stringize: boolean;
      readonly paste: boolean;
    }
  | {
      readonly kind: 'optional';
      readonly token: Token;
      readonly pieces: readonly Piece[];
      readonly stringize: boolean;
      readonly paste: boolean;
    };

export interface Macro {
  readonly name: string;
  /** Absent for object-like macros. The last one is the variable part when `variadic`. */
  readonly parameters?: readonly string[];
  readonly variadic: boolean;
  readonly body: readonly Token[];
  readonly pieces: readonly Piece[];
  /** True when no piece needs substitution or pasting: the body is the replacement, and there may be no pieces at all. */
  readonly plain: boolean;
}

/** A definition as written, with what is wrong about it. Token offsets count from the start of the line. */
export interface Definition {
  readonly nameToken: Token;
  readonly macro: Macro;
  readonly place?: Place;
}

export interface Fault {
  readonly id: string;
  readonly token: Token;
  readonly message: string;
  readonly severity?: 'error' | 'warning';
}

export type Parsed = { readonly definition?: Definition; readonly faults: readonly Fault[] };

const VARIABLE = '__VA_ARGS__';
const OPTIONAL = '__VA_OPT__';

/** Reads what stands behind `#define` (6.10.3). `rest` holds no comments. */
export function parseDefinition(directive: Token, rest: readonly Token[]): Parsed {
  const nameToken = rest[0];
  const bad = (token: Token, message: string): Parsed => ({
    faults: [{ id: 'syntax/bad-directive', token, message }],
  });
  if (!nameToken) return bad(directive, 'This #define has no name. Write the name of the setting behind it.');
  if (nameToken.kind !== 'identifier') {
    return bad(
      nameToken,
      `'${clip(nameToken.text)}' cannot be a name. A name has letters, digits and underscores, and no digit first.`,
    );
  }
  const reserved = `'${nameToken.text}' is reserved by the language. Choose another name.`;
  if (nameToken.text === 'defined') return bad(nameToken, reserved);
  const named: Fault[] = [];
  // The common compilers complain about these two and define them all the same.
  if (nameToken.text === VARIABLE || nameToken.text === OPTIONAL) {
    named.push({ id: 'syntax/bad-directive', token: nameToken, message: reserved, severity: 'warning' });
  }
  const open = rest[1];
  if (!open || !isPunctuator(open, '(') || open.space) {
    const faults: Fault[] = [...named];
    if (open && !open.space) {
      faults.push({
        id: 'syntax/bad-directive',
        token: open,
        severity: 'warning',
        message: `There must be a blank between the name '${nameToken.text}' and its value.`,
      });
    }
    return finish(nameToken, undefined, false, rest.slice(1), faults);
  }
  const parameters: string[] = [];
  const known = new Set<string>();
  let variadic = false;
  let at = 2;
  if (isPunctuator(rest[at], ')')) at++;
  else {
    for (;;) {
      const token = rest[at];
      if (!token) return bad(rest[at - 1] ?? open, "The list of parameters is not closed. Add a ')'.");
      if (isPunctuator(token, '...')) {
        parameters.push(VARIABLE);
        variadic = true;
        at++;
      } else if (token.kind === 'identifier') {
        const name = nameOf(token.text);
        if (name === VARIABLE || name === OPTIONAL) {
          const message = `'${name}' is reserved by the language. Choose another name.`;
          named.push({ id: 'syntax/bad-directive', token, message, severity: 'warning' });
        }
        if (known.has(name)) {
          return bad(token, `The parameter '${token.text}' is there twice. Give each its own name.`);
        }
        parameters.push(name);
        known.add(name);
        at++;
        if (isPunctuator(rest[at], '...')) {
          variadic = true;
          at++;
        }
      } else return bad(token, `'${clip(token.text)}' cannot be the name of a parameter.`);
      const next = rest[at];
      if (isPunctuator(next, ')')) {
        at++;
        break;
      }
      if (!next || variadic || !isPunctuator(next, ',')) {
        return bad(next ?? token, "Expected ',' or ')' in the list of parameters.");
      }
      at++;
    }
  }
  return finish(nameToken, parameters, variadic, rest.slice(at), named);
}

const NO_PIECES: readonly Piece[] = [];

function finish(
  nameToken: Token,
  parameters: readonly string[] | undefined,
  variadic: boolean,
  body: readonly Token[],
  earlier: readonly Fault[],
): Parsed {
  const faults: Fault[] = [...earlier];
  const first = body[0];
  const last = body[body.length - 1];
  if (first && last && (isPaste(first) || isPaste(last))) {
    faults.push({
      id: 'syntax/bad-paste',
      token: isPaste(first) ? first : last,
      message: "'##' joins its two neighbours, so it cannot stand at either end of a value.",
    });
    return { faults };
  }
  const variable = variadic ? parameters?.[parameters.length - 1] : undefined;
  for (const token of body) {
    if (token.kind !== 'identifier') continue;
    if ((token.text === VARIABLE && variable !== VARIABLE) || (token.text === OPTIONAL && !variadic)) {
      faults.push({
        id: 'syntax/bad-directive',
        token,
        severity: 'warning',
        message: `${token.text} means something only in a macro whose parameters end in '...'.`,
      });
    }
  }
  if (!parameters && !body.some(isPaste)) {
    const macro: Macro = { name: nameToken.text, variadic, body, pieces: NO_PIECES, plain: true };
    return { definition: { nameToken, macro }, faults };
  }
  const indices = parameters && new Map(parameters.map((parameter, index) => [parameter, index]));
  const reader: PieceReader = { body, indices, variadic, faults };
  const { pieces } = readPieces(reader, 0, false);
  if (faults.some((fault) => fault.severity !== 'warning')) return { faults };
  const plain = pieces.every((piece) => piece.kind === 'token' && !piece.paste);
  return {
    definition: { nameToken, macro: { name: nameToken.text, parameters, variadic, body, pieces, plain } },
    faults,
  };
}

interface PieceReader {
  readonly body: readonly Token[];
  readonly indices: ReadonlyMap<string, number> | undefined;
  readonly variadic: boolean;
  readonly faults: Fault[];
}

/** `inside` reads up to the `)` of one `__VA_OPT__`, which may not hold another. */
function readPieces(reader: PieceReader, from: number, inside: boolean): { pieces: Piece[]; next: number } {
  const { body, indices, variadic, faults } = reader;
  const pieces: Piece[] = [];
  let depth = 0;
  let at = from;
  while (at < body.length) {
    let token = body[at] as Token;
    if (isPaste(token)) {
      const previous = pieces[pieces.length - 1];
      const following = body[at + 1];
      if (!previous || !following || (inside && depth === 0 && isPunctuator(following, ')'))) {
        faults.push({
          id: 'syntax/bad-paste',
          token,
          message: "'##' joins its two neighbours, so it cannot stand at either end of a value.",
        });
      } else pieces[pieces.length - 1] = { ...previous, paste: true };
      at++;
      continue;
    }
    if (inside && isPunctuator(token, '(')) depth++;
    if (inside && isPunctuator(token, ')') && depth-- === 0) return { pieces, next: at + 1 };
    let stringize = false;
    let space = token.space;
    if (indices && isHash(token)) {
      const following = body[at + 1];
      const known =
        following?.kind === 'identifier' &&
        (indices.has(nameOf(following.text)) || (variadic && following.text === OPTIONAL));
      if (!known || !following) {
        faults.push({
          id: 'syntax/bad-directive',
          token,
          message: "In a macro with parameters '#' must stand before one of them.",
        });
        return { pieces, next: body.length };
      }
      stringize = true;
      space ||= following.space;
      token = { ...following, space };
      at++;
    }
    if (variadic && token.kind === 'identifier' && token.text === OPTIONAL) {
      if (inside) {
        const message = `One ${OPTIONAL} cannot stand inside another.`;
        faults.push({ id: 'syntax/bad-directive', token, message });
        return { pieces, next: body.length };
      }
      if (!isPunctuator(body[at + 1], '(')) {
        faults.push({ id: 'syntax/bad-directive', token, message: `${OPTIONAL} must be followed by '('.` });
        return { pieces, next: body.length };
      }
      const inner = readPieces(reader, at + 2, true);
      pieces.push({ kind: 'optional', token, pieces: inner.pieces, stringize, paste: false });
      at = inner.next;
      continue;
    }
    const index = token.kind === 'identifier' ? (indices?.get(nameOf(token.text)) ?? -1) : -1;
    pieces.push(
      index >= 0
        ? { kind: 'parameter', token, index, stringize, paste: false }
        : { kind: 'token', token, paste: false },
    );
    at++;
  }
  if (inside) {
    faults.push({
      id: 'syntax/bad-directive',
      token: body[from - 1] ?? (body[0] as Token),
      message: `The '(' behind ${OPTIONAL} is not closed.`,
    });
  }
  return { pieces, next: at };
}

/** Whether a second definition may stand beside the first (6.10.3p2): same shape, spelling and separation of tokens. */
export function isSameDefinition(one: Macro, other: Macro): boolean {
  if (one === other) return true;
  if (one.variadic !== other.variadic || one.body.length !== other.body.length) return false;
  if (one.parameters?.join(',') !== other.parameters?.join(',')) return false;
  return one.body.every((token, index) => {
    const twin = other.body[index];
    return (
      twin !== undefined &&
      twin.text === token.text &&
      twin.kind === token.kind &&
      (index === 0 || twin.space === token.space)
    );
  });
}

/** Shortens a spelling for a message. */
export const clip = (text: string): string => (text.length > 40 ? `${text.slice(0, 37)}...` : text);
