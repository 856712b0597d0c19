import { isOpenComment, lex } from '../../syntax/c-header/lexer';

/** What is being typed at one offset of a header. Offsets are those of the text. */
export type TypingSpot =
  /** Behind `#define`. `alone`: nothing but blanks follows on the line. */
  | { readonly kind: 'name'; readonly start: number; readonly end: number; readonly alone: boolean }
  /** At the start of a line that has nothing else. `typed`: what stands there, '#def' for instance. */
  | { readonly kind: 'line'; readonly start: number; readonly end: number; readonly typed: string }
  /** In the value of a definition. `index`: how many commas are before it. */
  | {
      readonly kind: 'value';
      readonly name: string;
      readonly index: number;
      readonly start: number;
      readonly end: number;
      /** Offset of the name. */
      readonly nameStart: number;
      readonly typed: string;
    }
  /** In a comment, behind `fettle:`. `words`: those before the one at the cursor. */
  | {
      readonly kind: 'allowance';
      readonly words: readonly string[];
      /** Nothing but the end of the comment follows. */
      readonly last: boolean;
      readonly start: number;
      readonly end: number;
    };

const DEFINE = /^[ \t]*#[ \t]*define[ \t]+/;

/** Undefined where nothing can be proposed. Never throws, whatever the text. */
export function typingSpot(text: string, offset: number): TypingSpot | undefined {
  const lineStart = logicalStart(text, offset);
  const lineEnd = endOfLine(text, offset);
  const typedSoFar = text.slice(lineStart, offset);
  const after = text.slice(offset, lineEnd);
  const comment = commentBefore(text, lineStart, typedSoFar);
  if (comment !== undefined) return allowanceSpot(comment, after, offset);
  const before = withoutComments(text, lineStart, typedSoFar);
  const physicalStart = startOfLine(text, offset);
  if (physicalStart === lineStart && /^[ \t]*(?:#[ \t]*)?\w*$/.test(before)) {
    // `#define` itself, complete and without a blank behind it, is still the start of the line.
    const typed = before.trimStart();
    const rest = /^\w*/.exec(after)?.[0] ?? '';
    if (after.slice(rest.length).trim() !== '') return undefined;
    return { kind: 'line', start: offset - typed.length, end: offset + rest.length, typed };
  }
  const define = DEFINE.exec(before);
  if (!define) return undefined;
  const behind = before.slice(define[0].length);
  const word = /^\w*/.exec(behind)?.[0] ?? '';
  if (word === behind) {
    const rest = /^\w*/.exec(after)?.[0] ?? '';
    const start = offset - word.length;
    const end = offset + rest.length;
    return { kind: 'name', start, end, alone: after.slice(rest.length).trim() === '' };
  }
  if (word === '' || behind.charAt(word.length) === '(') return undefined;
  return valueSpot(word, behind.slice(word.length), after, offset, lineStart + define[0].length);
}

function valueSpot(
  name: string,
  value: string,
  after: string,
  offset: number,
  nameStart: number,
): TypingSpot | undefined {
  const typed = /[^\s,{}()]*$/.exec(value)?.[0] ?? '';
  const ahead = value.slice(0, value.length - typed.length);
  // A value is one word, or one of a list; behind a complete one there is nothing to propose.
  if (!/^(?:[\s\\]*|.*[{(,][\s\\]*)$/s.test(ahead)) return undefined;
  // Without its blank this word still belongs to the name.
  if (ahead === '') return undefined;
  const rest = /^[^\s,{}()\\]*/.exec(after)?.[0] ?? '';
  return {
    kind: 'value',
    name,
    index: ahead.split(',').length - 1,
    start: offset - typed.length,
    end: offset + (rest.startsWith('//') || rest.startsWith('/*') ? 0 : rest.length),
    nameStart,
    typed,
  };
}

export function allowanceSpot(comment: string, after: string, offset: number): TypingSpot | undefined {
  const mark = /\bfettle[ \t]*:[ \t]*([^\r\n]*)$/i.exec(comment);
  if (!mark) return undefined;
  const behind = mark[1] ?? '';
  const typed = /[^\s,]*$/.exec(behind)?.[0] ?? '';
  const words = behind.slice(0, behind.length - typed.length).split(/[\s,]+/);
  const rest = /^[\w/-]*/.exec(after)?.[0] ?? '';
  return {
    kind: 'allowance',
    words: words.filter((word) => word !== ''),
    last: /^\s*(?:\*\/.*)?$/.test(after.slice(rest.length)),
    start: offset - typed.length,
    end: offset + rest.length,
  };
}

/** The text of the comment that the cursor is in, up to the cursor, on its own line. */
function commentBefore(text: string, lineStart: number, before: string): string | undefined {
  const open = text.lastIndexOf('/*', Math.max(0, lineStart + before.length - 1));
  if (open >= 0 && open < lineStart) {
    const close = text.indexOf('*/', open + 2);
    const lead = text.slice(startOfLine(text, open), open + 2);
    if ((close < 0 ? text.indexOf('*/', lineStart) >= 0 : close >= lineStart + before.length) && opens(lead))
      return before;
  }
  const last = lex(before).lines.at(-1)?.tokens.at(-1);
  if (last?.kind !== 'comment' || !(last.text.startsWith('//') || isOpenComment(last))) return undefined;
  return last.text;
}

/** A line so far with blanks in the place of the comments it begins with, the end of one that a line above opened included. */
function withoutComments(text: string, lineStart: number, before: string): string {
  if (!before.includes('*/')) return before;
  const blank = (found: string): string => ' '.repeat(found.length);
  const open = text.lastIndexOf('/*', lineStart - 1);
  const lead = open >= 0 && lineStart > 0 ? text.slice(startOfLine(text, open), open + 2) : '';
  const goesOn = lead !== '' && !text.slice(open + 2, lineStart).includes('*/') && opens(lead);
  const own = goesOn ? before.replace(/^.*?\*\//s, blank) : before;
  return own.replace(/^(?:\s*\/\*.*?\*\/)+/s, blank);
}

/** Whether a line so far ends in the opening mark of a comment, and not in a text or a comment that shows one. */
function opens(lead: string): boolean {
  const last = lex(lead).lines.at(-1)?.tokens.at(-1);
  return last !== undefined && isOpenComment(last);
}

// A search from before the text would begin at its first letter.
const startOfLine = (text: string, offset: number): number =>
  offset <= 0 ? 0 : Math.max(text.lastIndexOf('\n', offset - 1), text.lastIndexOf('\r', offset - 1)) + 1;

function endOfLine(text: string, offset: number): number {
  const found = text.slice(offset).search(/[\r\n]/);
  return found < 0 ? text.length : offset + found;
}

/** Lines that end in a backslash go on. */
function logicalStart(text: string, offset: number): number {
  let start = offset <= 0 ? 0 : startOfLine(text, offset);
  while (start > 0) {
    const end = text.slice(Math.max(0, start - 2), start) === '\r\n' ? start - 2 : start - 1;
    if (text.charAt(end - 1) !== '\\') return start;
    start = end <= 0 ? 0 : startOfLine(text, end);
  }
  return start;
}
