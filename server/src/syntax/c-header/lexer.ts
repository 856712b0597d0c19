import { isLetter, type Letters } from './letters';
import { offsetMapper, splice } from './splice';
import { makeToken, mayBeNamed, type Token, type TokenKind } from './token';

/**
 * One logical line: lines joined by splices, or held together by a comment that runs over the line end.
 * Each is lexed from a clean state, so one line can be lexed again without its neighbours.
 */
export interface LogicalLine {
  /** Offsets in the file; the line end belongs to the line. */
  readonly start: number;
  readonly end: number;
  /** All tokens and comments. What lies between them is blanks, splices and the line end. */
  readonly tokens: readonly Token[];
}

export interface LexedText {
  readonly text: string;
  readonly lines: readonly LogicalLine[];
  /** Offsets of backslashes that have blanks between them and the line end. */
  readonly looseSplices: readonly number[];
  /** Whether any physical lines are joined by a backslash. */
  readonly joined: boolean;
  /** Whether the text ends with the end of a line, so that what follows it would begin a new one. */
  readonly closed: boolean;
}

export interface LexerOptions {
  readonly trigraphs?: boolean;
  /** `1'000` is one number (C23 6.4.4.1). */
  readonly digitSeparators?: boolean;
  /** `::` is one punctuator (C23, C++). */
  readonly scopeOperator?: boolean;
  /** Letters beyond ASCII in names: those of C23 (6.4.2.1) unless told otherwise. */
  readonly letters?: Letters;
}

/** Longest first where one begins another (6.4.6). */
const PUNCTUATORS: Readonly<Record<string, readonly string[]>> = {
  '%': ['%:%:', '%:', '%=', '%>'],
  '.': ['...'],
  '<': ['<<=', '<<', '<=', '<:', '<%'],
  '>': ['>>=', '>>', '>='],
  '-': ['->', '--', '-='],
  '+': ['++', '+='],
  '=': ['=='],
  '!': ['!='],
  '&': ['&&', '&='],
  '|': ['||', '|='],
  '*': ['*='],
  '/': ['/='],
  '^': ['^='],
  '#': ['##'],
  ':': [':>'],
};

const NO_TOKENS: readonly Token[] = [];
const SINGLE = new Set('[](){}.&*+-~!/%<>^|?:;=,#');
const INCLUDES = new Set(['include', 'include_next', 'import', 'embed']);
const ASKS = new Set(['__has_include', '__has_include_next']);
/** What may come next on a line. */
const START = 0;
const DIRECTIVE = 1;
const HEADER_NAME = 2;
const TEXT = 3;
/** In a condition, where `__has_include(` asks for a header name (C23 6.4.7p4). */
const CONDITION = 4;
const QUESTION = 5;
const ASKED = 6;
type Stage = 0 | 1 | 2 | 3 | 4 | 5 | 6;

function stageBehind(stage: Stage, kind: TokenKind, text: string): Stage {
  switch (stage) {
    case START:
      return kind === 'punctuator' && (text === '#' || text === '%:') ? DIRECTIVE : TEXT;
    case DIRECTIVE:
      if (kind !== 'identifier') return TEXT;
      if (INCLUDES.has(text)) return HEADER_NAME;
      return text === 'if' || text === 'elif' ? CONDITION : TEXT;
    case HEADER_NAME:
      return TEXT;
    case QUESTION:
      return text === '(' ? ASKED : CONDITION;
    default:
      return ASKS.has(text) ? QUESTION : CONDITION;
  }
}

const isDigit = (code: number): boolean => code >= 48 && code <= 57;
const isPlainNameStart = (code: number): boolean =>
  (code >= 97 && code <= 122) || (code >= 65 && code <= 90) || code === 95 || code === 36;

const isWordCode = (code: number): boolean => isPlainNameStart(code) || isDigit(code);

/**
 * Total: every text has lines whose tokens and gaps are exactly the text.
 * @param atStart false for a part that begins elsewhere than at the start of its file
 */
export function lex(original: string, options: LexerOptions = {}, atStart = true): LexedText {
  const spliced = splice(original, options.trigraphs ?? false);
  const offsets = offsetMapper(spliced);
  const source = spliced.text;
  const length = source.length;
  const lines: LogicalLine[] = [];
  let pos = 0;
  let lineStart = 0;
  /** Those of the line so far. The line gets an array of just their number: one that grew has room for many more. */
  const tokens: Token[] = [];
  let count = 0;
  let space = false;
  let stage = START as Stage;
  /** False once a comment without an end was met; it is then taken to end with its line, so the rest stays readable. */
  let commentsClose = true;
  const letters = options.letters ?? 'c23';

  const push = (kind: TokenKind, begin: number, end: number): void => {
    const text = source.slice(begin, end);
    const start = offsets.start(begin) - lineStart;
    const stop = offsets.end(end) - lineStart;
    tokens[count++] = makeToken(kind, text, start, stop, space);
    pos = end;
    space = kind === 'comment';
    if (kind === 'comment') return;
    if (stage !== TEXT) stage = stageBehind(stage, kind, text);
  };

  const closeLine = (): void => {
    const end = pos >= length ? original.length : offsets.end(pos);
    lines.push({ start: lineStart, end, tokens: count > 0 ? tokens.slice(0, count) : NO_TOKENS });
    lineStart = end;
    count = 0;
    space = false;
    stage = START;
  };

  /** Length of the name character at `at`, or 0. */
  const nameCharacter = (at: number, first = false): number => {
    const code = source.charCodeAt(at);
    if (isPlainNameStart(code) || isDigit(code)) return 1;
    if (code === 92) {
      const match = /^\\(?:u([0-9a-fA-F]{4})|U([0-9a-fA-F]{8}))/.exec(source.slice(at, at + 10));
      const named = match ? Number.parseInt(match[1] ?? match[2] ?? '', 16) : 0;
      const holds = mayBeNamed(named) && (named === 36 || (named > 127 && isLetter(named, first, letters)));
      return match && holds ? match[0].length : 0;
    }
    if (code < 128 || Number.isNaN(code)) return 0;
    const point = source.codePointAt(at) ?? 0;
    if (!isLetter(point, first, letters)) return 0;
    return point > 0xffff ? 2 : 1;
  };

  const endOfName = (from: number): number => {
    let at = from;
    while (isWordCode(source.charCodeAt(at))) at++;
    for (let step = nameCharacter(at); step > 0; step = nameCharacter(at)) at += step;
    return at;
  };

  const endOfNumber = (from: number): number => {
    let at = from;
    for (;;) {
      const code = source.charCodeAt(at);
      if ((code === 43 || code === 45) && /[eEpP]/.test(source.charAt(at - 1)) && at > from) at++;
      else if (code === 46) at++;
      else if (code === 39 && options.digitSeparators && /[0-9A-Za-z_]/.test(source.charAt(at + 1))) at += 2;
      else {
        const step = nameCharacter(at);
        if (step === 0) return at;
        at += step;
      }
    }
  };

  const endOfLine = (from: number): number => {
    let at = from;
    while (at < length && source.charCodeAt(at) !== 10 && source.charCodeAt(at) !== 13) at++;
    return at;
  };

  const quoted = (begin: number, open: number): void => {
    const quote = source.charCodeAt(open);
    let at = open + 1;
    for (; at < length; at++) {
      const code = source.charCodeAt(at);
      if (code === 10 || code === 13) break;
      if (code === 92) {
        const next = source.charCodeAt(at + 1);
        if (next !== 10 && next !== 13) at++;
      } else if (code === quote) {
        push(quote === 34 ? 'string' : 'character', begin, at + 1);
        return;
      }
    }
    push('other', begin, Math.min(at, length));
  };

  const headerName = (open: number): boolean => {
    const close = source.charCodeAt(open) === 60 ? 62 : 34;
    for (let at = open + 1; at < length; at++) {
      const code = source.charCodeAt(at);
      if (code === 10 || code === 13) return false;
      if (code === close) {
        push('header', open, at + 1);
        return true;
      }
    }
    return false;
  };

  while (pos < length) {
    const code = source.charCodeAt(pos);
    if (code === 10 || code === 13) {
      pos += code === 13 && source.charCodeAt(pos + 1) === 10 ? 2 : 1;
      closeLine();
      continue;
    }
    if (
      code === 32 ||
      code === 9 ||
      code === 11 ||
      code === 12 ||
      code === 0 ||
      (code === 0xfeff && pos === 0 && atStart)
    ) {
      space = true;
      pos++;
      continue;
    }
    if (isPlainNameStart(code)) {
      const end = endOfName(pos);
      const next = source.charCodeAt(end);
      if ((next === 34 || next === 39) && /^(?:u8|[uUL])$/.test(source.slice(pos, Math.min(end, pos + 3)))) {
        quoted(pos, end);
      } else push('identifier', pos, end);
      continue;
    }
    if (isDigit(code) || (code === 46 && isDigit(source.charCodeAt(pos + 1)))) {
      push('number', pos, endOfNumber(pos + 1));
      continue;
    }
    if ((code === 60 || code === 34) && (stage === HEADER_NAME || stage === ASKED) && headerName(pos))
      continue;
    if (code === 34 || code === 39) {
      quoted(pos, pos);
      continue;
    }
    if (code === 47) {
      const next = source.charCodeAt(pos + 1);
      if (next === 47) {
        push('comment', pos, endOfLine(pos + 2));
        continue;
      }
      if (next === 42) {
        const close = commentsClose ? source.indexOf('*/', pos + 2) : -1;
        if (close < 0) commentsClose = false;
        push('comment', pos, close < 0 ? endOfLine(pos + 2) : close + 2);
        continue;
      }
    }
    const first = source.charAt(pos);
    if (SINGLE.has(first)) {
      const longer =
        code === 58 && options.scopeOperator && source.charCodeAt(pos + 1) === 58
          ? '::'
          : PUNCTUATORS[first]?.find((candidate) => source.startsWith(candidate, pos));
      push('punctuator', pos, pos + (longer?.length ?? 1));
      continue;
    }
    const step = nameCharacter(pos, true);
    if (step > 0) push('identifier', pos, endOfName(pos + step));
    else push('other', pos, pos + String.fromCodePoint(source.codePointAt(pos) ?? 0).length);
  }
  const joinsOn = spliced.cuts[spliced.cuts.length - 1] === length;
  const closed = count === 0 && lineStart === original.length && !joinsOn;
  if (count > 0 || lineStart < original.length) closeLine();
  return {
    text: original,
    lines,
    looseSplices: spliced.looseSplices,
    joined: spliced.cuts.length > 0,
    closed,
  };
}

/** Whether a comment lacks its closing mark. */
export const isOpenComment = (token: Token): boolean =>
  token.kind === 'comment' &&
  token.text.startsWith('/*') &&
  (token.text.length < 4 || !token.text.endsWith('*/'));
