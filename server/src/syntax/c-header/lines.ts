import { isOpenComment, type LexedText, type LexerOptions, type LogicalLine, lex } from './lexer';
import { type Definition, type Fault, parseDefinition } from './macro';
import { isHash, isPunctuator, isUnterminated, type Token } from './token';

/** One logical line as a directive or as plain text. Depends on the text alone, so it is kept with it. */
export interface ParsedLine {
  readonly line: LogicalLine;
  /** Tokens without comments. */
  readonly tokens: readonly Token[];
  /** Name of the directive, '' for the null directive; absent on lines of plain text. */
  readonly directive?: string;
  readonly nameToken?: Token;
  /** Tokens behind the directive's name. */
  readonly rest: readonly Token[];
  readonly definition?: Definition;
  readonly faults: readonly Fault[];
  readonly disabled?: DisabledDefinition;
}

/** `// #define NAME value` and its like: there, but off. */
export interface DisabledDefinition {
  readonly definition: Definition;
  readonly comment: Token;
  /** The marks that hide it, relative to the line. */
  readonly marks: readonly { readonly start: number; readonly end: number }[];
  /** The definition alone, relative to the line. */
  readonly start: number;
  readonly end: number;
  readonly remark?: string;
}

export interface ParsedText {
  readonly lexed: LexedText;
  readonly lines: readonly ParsedLine[];
  /** Every name that is defined somewhere in it, switched off or not. */
  readonly defined: ReadonlySet<string>;
  /** Name of its include guard. */
  readonly guard?: string;
  /** Names of `#include` lines that need no expansion, in any branch. */
  readonly includes: readonly Token[];
  /** Names that conditions, includes and values look at, with absolute offsets. */
  readonly uses: readonly { readonly name: string; readonly start: number; readonly end: number }[];
  /** The same for lines that are no directives. */
  readonly mentions: readonly { readonly name: string; readonly start: number; readonly end: number }[];
  /** Offset of the first sign that this is no text. */
  readonly notText?: number;
  /** The first comment that never ends; only its opening mark and the rest of its line. */
  readonly openComment?: { readonly start: number; readonly end: number };
  /** `//` comments that a backslash carries over the line end. */
  readonly runOnComments: readonly { readonly start: number; readonly end: number }[];
  /** Backslashes within directives with blanks between them and the line end. */
  readonly looseSplices: readonly number[];
  readonly lineStarts: () => readonly number[];
}

const CONDITIONS = new Set(['if', 'ifdef', 'ifndef', 'elif', 'elifdef', 'elifndef']);

export function parseText(text: string, options: LexerOptions = {}): ParsedText {
  const binary = findBinary(text);
  const lexed = lex(binary?.hopeless ? '' : text, options);
  const lines = lexed.lines.map((line) => parseLine(line, text, options));
  const defined = new Set<string>();
  const includes: Token[] = [];
  const uses: { name: string; start: number; end: number }[] = [];
  const mentions: { name: string; start: number; end: number }[] = [];
  for (const parsed of lines) {
    const base = parsed.line.start;
    const note = (into: typeof uses, tokens: readonly Token[], skip?: ReadonlySet<string>): void => {
      for (const token of tokens) {
        if (token.kind !== 'identifier' || token.text === 'defined' || skip?.has(token.text)) continue;
        into.push({ name: token.text, start: base + token.start, end: base + token.end });
      }
    };
    const definition = parsed.definition ?? parsed.disabled?.definition;
    if (definition) {
      defined.add(definition.macro.name);
      note(uses, definition.macro.body, new Set(definition.macro.parameters));
    } else if (parsed.directive === undefined) note(mentions, parsed.tokens);
    else if (CONDITIONS.has(parsed.directive)) note(uses, parsed.rest);
    else if (/^(?:include|include_next|import)$/.test(parsed.directive)) {
      note(uses, parsed.rest);
      const name = parsed.rest[0];
      if (name?.kind === 'header') includes.push(name);
    }
  }
  let openComment: { start: number; end: number } | undefined;
  for (const { start, tokens } of lexed.lines) {
    const open = openComment ? undefined : tokens[tokens.length - 1];
    if (open && isOpenComment(open)) openComment = { start: start + open.start, end: start + open.end };
  }
  const { runOnComments, looseSplices } = findLineJoins(lines, lexed, text);
  let starts: number[] | undefined;
  return {
    lexed,
    lines,
    defined,
    guard: findGuard(lines),
    includes,
    uses,
    mentions,
    notText: binary?.at,
    openComment,
    runOnComments,
    looseSplices,
    lineStarts: () => {
      if (starts) return starts;
      starts = [0];
      for (const match of text.matchAll(/\r\n|\r|\n/g)) starts.push(match.index + match[0].length);
      return starts;
    },
  };
}

/** Splices that may not do what their author meant. One pass: lines, tokens and splices all rise. */
function findLineJoins(
  lines: readonly ParsedLine[],
  { looseSplices }: LexedText,
  text: string,
): { runOnComments: { start: number; end: number }[]; looseSplices: number[] } {
  const runOnComments: { start: number; end: number }[] = [];
  const loose: number[] = [];
  let next = 0;
  for (const { line, tokens, directive, disabled } of lines) {
    const lastToken = line.start + (tokens[tokens.length - 1]?.start ?? 0);
    const keepUpTo = (offset: number, outside: boolean): void => {
      for (; (looseSplices[next] ?? Number.POSITIVE_INFINITY) < offset; next++) {
        const at = looseSplices[next] ?? 0;
        if (outside && directive !== undefined && at < lastToken) loose.push(at);
      }
    };
    for (const token of line.tokens) {
      if (token.kind !== 'comment') continue;
      const start = line.start + token.start;
      const end = line.start + token.end;
      keepUpTo(start, true);
      keepUpTo(end, false);
      if (end - start === token.text.length || !token.text.startsWith('//') || disabled?.comment === token)
        continue;
      if (/[\r\n]\s*[^\s\\]/.test(text.slice(start, end))) runOnComments.push({ start, end });
    }
    keepUpTo(line.end, true);
  }
  return { runOnComments, looseSplices: loose };
}

function parseLine(line: LogicalLine, text: string, options: LexerOptions): ParsedLine {
  const tokens = line.tokens.some((token) => token.kind === 'comment')
    ? significant(line.tokens)
    : line.tokens;
  const hash = tokens[0];
  if (!hash) return { line, tokens, rest: [], faults: [], disabled: findDisabled(line, text, options) };
  if (!isHash(hash)) return { line, tokens, rest: [], faults: quoteFaults(tokens) };
  const nameToken = tokens[1];
  const rest = tokens.slice(2);
  if (!nameToken) return { line, tokens, directive: '', rest, faults: [] };
  const directive =
    nameToken.kind === 'identifier' ? nameToken.text : nameToken.kind === 'number' ? 'line' : '?';
  if (directive !== 'define') {
    const quiet = /^(?:error|warning|pragma|ident|sccs|line|\?)$/.test(directive);
    return { line, tokens, directive, nameToken, rest, faults: quiet ? [] : quoteFaults(rest) };
  }
  const parsed = parseDefinition(nameToken, rest);
  return {
    line,
    tokens,
    directive,
    nameToken,
    rest,
    definition: parsed.definition,
    faults: [...parsed.faults, ...quoteFaults(rest)],
  };
}

/** Comments out; a token behind one has a blank before it. */
function significant(tokens: readonly Token[]): Token[] {
  return tokens.filter((token) => token.kind !== 'comment');
}

function quoteFaults(tokens: readonly Token[]): Fault[] {
  const broken = tokens.find(isUnterminated);
  if (!broken) return [];
  const quote = broken.text.includes('"') && !broken.text.startsWith("'") ? '"' : "'";
  return [
    {
      id: 'syntax/unterminated-string',
      token: broken,
      message: `The quote that opens here is not closed on this line. Add the missing ${quote}.`,
    },
  ];
}

/**
 * Only a comment that begins with the directive itself is a definition switched off; one that talks about definitions is
 * not, nor is a run of words behind the name.
 */
function findDisabled(
  line: LogicalLine,
  text: string,
  options: LexerOptions,
): DisabledDefinition | undefined {
  const comment = line.tokens[0];
  if (comment?.kind !== 'comment' || isOpenComment(comment)) return undefined;
  if (!/^\/[/*][ \t]*(?:#|%:)/.test(comment.text)) return undefined;
  const block = comment.text.startsWith('/*');
  const innerStart = comment.start + 2;
  const innerEnd = block ? comment.end - 2 : comment.end;
  const base = line.start + innerStart;
  const inner = text.slice(base, line.start + innerEnd);
  if (block && /[\r\n]/.test(inner)) return undefined;
  const lines = lex(inner, options).lines;
  const first = lines[0];
  if (!first || lines.length !== 1) return undefined;
  const tokens = significant(first.tokens);
  const hash = tokens[0];
  const keyword = tokens[1];
  if (!hash || !isHash(hash) || keyword?.text !== 'define') return undefined;
  const shift = (token: Token): Token => ({
    ...token,
    start: token.start + innerStart,
    end: token.end + innerStart,
  });
  const rest = tokens.slice(2).map(shift);
  const definition = parseDefinition(keyword, rest).definition;
  if (!definition || isProse(definition.macro.body)) return undefined;
  const remarks = [...first.tokens.filter((token) => token.kind === 'comment'), ...line.tokens.slice(1)].map(
    commentText,
  );
  const last = rest[rest.length - 1] ?? definition.nameToken;
  const marks = [{ start: comment.start, end: hash.start + innerStart }];
  if (block) marks.push({ start: innerEnd, end: comment.end });
  return {
    definition,
    comment,
    marks,
    start: hash.start + innerStart,
    end: last.end,
    remark: remarks.length > 0 ? remarks.join(' ') : undefined,
  };
}

/** Three words in a row are a sentence, unless they are words of the language such as `unsigned long int`. */
function isProse(body: readonly Token[]): boolean {
  const typeWord =
    /^(?:const|static|extern|volatile|inline|unsigned|signed|long|short|int|char|float|double|struct|enum|union|void|register|constexpr)$/;
  let run = 0;
  for (const token of body) {
    run = token.kind === 'identifier' && !typeWord.test(token.text) ? run + 1 : 0;
    if (run >= 3) return true;
  }
  return false;
}

/** A comment without its marks. */
export function commentText(token: Token): string {
  const inner = token.text.startsWith('//')
    ? token.text.replace(/^\/\/+[!<]*/, '')
    : token.text.replace(/^\/\*+[!<]*/, '').replace(/\**\/$/, '');
  return inner.trim();
}

/** A file whose only content hangs on `#ifndef NAME` + `#define NAME` has NAME as its guard. */
function findGuard(lines: readonly ParsedLine[]): string | undefined {
  const solid = lines.filter((line) => line.tokens.length > 0 && line.directive !== '');
  const from = solid[0]?.directive === 'pragma' ? 1 : 0;
  const open = solid[from];
  const define = solid[from + 1];
  if (!open || define?.directive !== 'define' || solid[solid.length - 1]?.directive !== 'endif')
    return undefined;
  const name = guardName(open);
  if (name === undefined || define.definition?.macro.name !== name) return undefined;
  if (define.definition.macro.body.length > 0 || define.definition.macro.parameters) return undefined;
  let depth = 0;
  for (let index = from; index < solid.length; index++) {
    const directive = solid[index]?.directive;
    if (directive === 'if' || directive === 'ifdef' || directive === 'ifndef') depth++;
    else if (directive === 'endif' && --depth === 0) return index === solid.length - 1 ? name : undefined;
    else if (depth === 1 && directive !== undefined && directive.startsWith('el')) return undefined;
  }
  return undefined;
}

function guardName(line: ParsedLine): string | undefined {
  if (line.directive === 'ifndef') return line.rest[0]?.text;
  if (line.directive !== 'if' || !isPunctuator(line.rest[0], '!') || line.rest[1]?.text !== 'defined')
    return undefined;
  return line.rest.slice(2).find((token) => token.kind === 'identifier')?.text;
}

/** NUL never stands in a text. A few cost nothing; many mean that this is some other kind of file. */
function findBinary(text: string): { at: number; hopeless: boolean } | undefined {
  const at = text.indexOf('\0');
  const garbled = text.indexOf('\ufffd');
  if (at < 0 && garbled < 0) return undefined;
  let count = 0;
  for (let index = 0; index < text.length; index++) {
    const code = text.charCodeAt(index);
    if (code === 0xfffd || (code < 32 && (code < 9 || code > 13))) count++;
  }
  const hopeless = count * 32 > text.length;
  if (at < 0 && !hopeless) return undefined;
  return { at: at < 0 ? garbled : at, hopeless };
}
