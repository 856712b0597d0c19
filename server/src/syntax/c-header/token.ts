/**
 * Tokens of a C header after translation phase 3 (ISO/IEC 9899:2018 5.1.1.2).
 * `padding` and `placemarker` exist only inside macro expansion; `pragma` is a `_Pragma` or `#pragma` carried to the output.
 */
export type TokenKind =
  | 'identifier'
  | 'number'
  | 'character'
  | 'string'
  | 'punctuator'
  | 'header'
  | 'other'
  | 'comment'
  | 'padding'
  | 'placemarker'
  | 'pragma';

/** Where the logical line of a token starts. A token without a home comes out of a macro. */
export interface Home {
  readonly uri: string;
  readonly start: number;
  /** Index of the logical line in its file. */
  readonly line: number;
}

/** A stretch of one line. The index of the line stays what it is while lines before it change in length only. */
export interface Mark {
  readonly home: Home;
  readonly start: number;
  readonly end: number;
}

export interface Token {
  readonly kind: TokenKind;
  /** Spelling with line splices taken out. */
  readonly text: string;
  /** UTF-16 offsets from the start of the logical line, so that a line keeps its tokens when text before it changes. */
  readonly start: number;
  readonly end: number;
  /** A blank, comment or line end stands before it. */
  readonly space: boolean;
  /** A macro name that must not be replaced again (6.10.3.4p2). */
  readonly painted: boolean;
  readonly home: Home | undefined;
}

export const makeToken = (
  kind: TokenKind,
  text: string,
  start: number,
  end: number,
  space: boolean,
  home?: Home,
  painted = false,
): Token => ({ kind, text, start, end, space, painted, home });

export const withSpace = (token: Token, space: boolean): Token =>
  token.space === space
    ? token
    : makeToken(token.kind, token.text, token.start, token.end, space, token.home, token.painted);

export const withHome = (token: Token, home: Home): Token =>
  makeToken(token.kind, token.text, token.start, token.end, token.space, home, token.painted);

export const painted = (token: Token): Token =>
  makeToken(token.kind, token.text, token.start, token.end, token.space, token.home, true);

export const padding = (space: boolean): Token => makeToken('padding', '', 0, 0, space);

export const isHash = (token: Token): boolean =>
  token.kind === 'punctuator' && (token.text === '#' || token.text === '%:');

export const isPaste = (token: Token): boolean =>
  token.kind === 'punctuator' && (token.text === '##' || token.text === '%:%:');

export const isPunctuator = (token: Token | undefined, text: string): boolean =>
  token !== undefined && token.kind === 'punctuator' && token.text === text;

/** A string without a prefix, which file names need (6.4.7). */
export const isPlainString = (token: Token | undefined): boolean =>
  token?.kind === 'string' && token.text.startsWith('"');

/** A quote without its partner swallows the rest of the line into one token of this shape. */
export const isUnterminated = (token: Token): boolean =>
  token.kind === 'other' && token.text.length > 0 && /^(?:u8|[uUL])?["']/.test(token.text);

/** Takes padding out; its blanks go to the token behind it. */
export function settle(tokens: readonly Token[]): Token[] {
  const out: Token[] = [];
  let pending = false;
  for (const token of tokens) {
    if (token.kind === 'padding' || token.kind === 'placemarker') {
      pending ||= token.space;
      continue;
    }
    out.push(pending ? withSpace(token, true) : token);
    pending = false;
  }
  return out;
}

/** Tokens as text, one blank where the source has any. */
export function spell(tokens: readonly Token[]): string {
  let text = '';
  for (const token of tokens) text += token.space && text !== '' ? ` ${token.text}` : token.text;
  return text;
}

/** Whether a universal character name may stand for a code point (6.4.3p2). */
export const mayBeNamed = (code: number): boolean =>
  code < 0xa0
    ? code === 0x24 || code === 0x40 || code === 0x60
    : code <= 0x10ffff && (code < 0xd800 || code > 0xdfff);

/** The name that a spelling stands for: `\u00e9` and the letter itself are one name (6.4.3). */
export const nameOf = (spelling: string): string =>
  spelling.includes('\\')
    ? spelling.replace(/\\(?:u([0-9a-fA-F]{4})|U([0-9a-fA-F]{8}))/g, (all, short, long) => {
        const code = Number.parseInt(short ?? long, 16);
        return code <= 0x10ffff ? String.fromCodePoint(code) : all;
      })
    : spelling;
