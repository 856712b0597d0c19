import { isOpenComment, type LexerOptions, type LogicalLine, lex } from './lexer';
import { type Definition, type Fault, parseDefinition } from './macro';
import { isHash, isUnterminated, type Token } from './token';

/**
 * One logical line as a directive or as plain text. It depends on its own text alone and all offsets count from its start,
 * so that it stays what it is when text before it changes.
 */
export interface ParsedLine {
  /** UTF-16 units, the line end included. */
  readonly length: number;
  /** All tokens and comments. */
  readonly all: readonly Token[];
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

const NONE: readonly never[] = [];
/** Directives in which a lone quote is no fault. */
const QUOTES_AT_WILL = /^(?:error|warning|pragma|ident|sccs|line|\?)$/;

export const isComment = (token: Token): boolean => token.kind === 'comment';

export function parseLine(line: LogicalLine, text: string, options: LexerOptions): ParsedLine {
  const all = line.tokens;
  const length = line.end - line.start;
  const tokens = all.some(isComment) ? significant(all) : all;
  const hash = tokens[0];
  if (!hash) {
    const disabled = all.length > 0 ? findDisabled(line, text, options) : undefined;
    return { length, all, tokens, rest: NONE, faults: NONE, disabled };
  }
  if (!isHash(hash)) return { length, all, tokens, rest: NONE, faults: quoteFaults(tokens) };
  const nameToken = tokens[1];
  const rest = tokens.slice(2);
  if (!nameToken) return { length, all, tokens, directive: '', rest, faults: NONE };
  const directive =
    nameToken.kind === 'identifier' ? nameToken.text : nameToken.kind === 'number' ? 'line' : '?';
  if (directive !== 'define') {
    const quiet = QUOTES_AT_WILL.test(directive);
    return { length, all, tokens, directive, nameToken, rest, faults: quiet ? NONE : quoteFaults(rest) };
  }
  const parsed = parseDefinition(nameToken, rest);
  // A definition that nobody uses does no harm, and the compilers only warn.
  const quotes = quoteFaults(rest).map((fault): Fault => ({ ...fault, severity: 'warning' }));
  return {
    length,
    all,
    tokens,
    directive,
    nameToken,
    rest,
    definition: parsed.definition,
    faults: quotes.length > 0 ? [...parsed.faults, ...quotes] : parsed.faults,
  };
}

/** Comments out; a token behind one has a blank before it. The copy has no room to grow. */
const significant = (tokens: readonly Token[]): Token[] =>
  tokens.filter((token) => !isComment(token)).slice();

function quoteFaults(tokens: readonly Token[]): readonly Fault[] {
  const broken = tokens.find(isUnterminated);
  if (!broken) return NONE;
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
