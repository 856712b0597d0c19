import { type LexerOptions, lex } from './lexer';
import { clip, type Macro, type Piece } from './macro';
import { isPunctuator, makeToken, padding, painted, type Token, withSpace } from './token';

export interface ExpansionLimits {
  /** Tokens one expansion may bring forth. */
  readonly tokens: number;
  /** How deep calls may stand within arguments of calls. */
  readonly depth: number;
}

export const EXPANSION_LIMITS: ExpansionLimits = { tokens: 200_000, depth: 200 };

/** What an expansion needs to know about the place it happens in. */
export interface ExpansionHost {
  /** The definition in force, or undefined when the name stays as it is. */
  lookup(name: string): Macro | undefined;
  /** Replacement of a name the translator itself defines, such as `__LINE__`. */
  builtin?(name: string, at: Token | undefined): readonly Token[] | undefined;
  /** The compiler's answers to `name(operand)` by operand, when the name is such a question. */
  answers?(name: string): Readonly<Record<string, number>> | undefined;
  /** Whether a name is an operator of conditions. */
  operators?(name: string): boolean;
  /** Called once for each macro that was replaced. */
  used?(macro: Macro): void;
  problem?(id: string, at: Token | undefined, message: string): void;
  readonly lexer: LexerOptions;
  readonly limits?: ExpansionLimits;
  /** In conditions the operand of `defined` and of `__has_include` stays as written. */
  readonly condition?: boolean;
  /** Execute `_Pragma` (6.10.9). */
  readonly pragmas?: boolean;
  /** Carries out a pragma that concerns the translation itself; false when it is for later phases. */
  obey?(pragma: readonly Token[]): boolean;
}

interface State {
  readonly host: ExpansionHost;
  readonly limits: ExpansionLimits;
  /** Macros whose replacement is being read. */
  readonly active: Set<Macro>;
  spent: number;
  broken: boolean;
  /** The last token of the source text that was read, to point at in problems. */
  at: Token | undefined;
  /** The token of the source text whose replacement is being read. */
  outermost: Token | undefined;
}

interface Frame {
  readonly tokens: readonly Token[];
  next: number;
  readonly macro?: Macro;
}

/**
 * How far a source may go for its next batch. A call ends with the file it stands in, and a name has no call when a directive
 * stands between it and the parenthesis, as the common compilers agree. `skip` carries out all directives to the end.
 */
export type Reach = 'on' | 'inFile' | 'beforeDirective' | 'skip';

export type TokenSource = (reach: Reach) => readonly Token[] | undefined;

/** Replaces all macros in `tokens` (6.10.3), with `hidden` treated as being replaced already. */
export function expand(tokens: readonly Token[], host: ExpansionHost, hidden?: Macro): Token[] {
  let given = false;
  const batch = (): readonly Token[] | undefined => {
    if (given) return undefined;
    given = true;
    return tokens;
  };
  return expandStream(batch, host, hidden);
}

/** The same over a source that hands out one batch of tokens after another; a call may run over several batches. */
export function expandStream(more: TokenSource, host: ExpansionHost, hidden?: Macro): Token[] {
  const state: State = {
    host,
    limits: host.limits ?? EXPANSION_LIMITS,
    active: new Set(hidden ? [hidden] : []),
    spent: 0,
    broken: false,
    at: undefined,
    outermost: undefined,
  };
  const out: Token[] = [];
  run(more, state, 0, out);
  return out;
}

function run(more: TokenSource, state: State, depth: number, out: Token[]): void {
  const { host, active } = state;
  const frames: Frame[] = [];

  const read = (reach: Reach = 'on'): Token | undefined => {
    for (;;) {
      const frame = frames[frames.length - 1];
      if (!frame) {
        const batch = more(reach);
        if (!batch) return undefined;
        frames.push({ tokens: batch, next: 0 });
        continue;
      }
      const token = frame.tokens[frame.next];
      if (token) {
        frame.next++;
        if (depth === 0 && frames.length === 1) {
          if (token.kind !== 'padding') state.at = token;
        }
        return token;
      }
      frames.pop();
      if (frame.macro) active.delete(frame.macro);
    }
  };

  /** Reads the next token if it is `text`; otherwise puts back all it read. */
  const readIf = (accept: (token: Token) => boolean, skipped: Token[] = []): Token | undefined => {
    const at = state.at;
    for (;;) {
      const token = read('beforeDirective');
      if (token && accept(token)) return token;
      if (token) skipped.push(token);
      if (token?.kind === 'padding') continue;
      if (skipped.length > 0) frames.push({ tokens: skipped, next: 0 });
      state.at = at;
      return undefined;
    }
  };

  const readArguments = (macro: Macro, name: Token): Token[][] | undefined => {
    const parameters = macro.parameters ?? [];
    const args: Token[][] = [];
    let current: Token[] = [];
    let depthInside = 0;
    for (;;) {
      const token = read('inFile');
      if (!token) {
        host.problem?.(
          'syntax/macro-arguments',
          name.home ? name : state.outermost,
          `The call of '${macro.name}' is not closed. Add the missing ')'.`,
        );
        return undefined;
      }
      if (token.kind === 'padding') {
        if (current.length > 0) current.push(token);
        continue;
      }
      if (token.kind === 'pragma') {
        out.push(token);
        continue;
      }
      if (token.kind === 'punctuator') {
        if (token.text === '(') depthInside++;
        else if (token.text === ')' && depthInside-- === 0) break;
        else if (
          token.text === ',' &&
          depthInside === 0 &&
          !(macro.variadic && args.length === parameters.length - 1)
        ) {
          args.push(trimPadding(current));
          current = [];
          continue;
        }
      }
      const inner = token.kind === 'identifier' && !token.painted ? host.lookup(token.text) : undefined;
      current.push(inner && active.has(inner) ? painted(token) : token);
    }
    args.push(trimPadding(current));
    if (parameters.length === 0 && args.length === 1 && args[0]?.length === 0) return [];
    const wanted = parameters.length;
    if (args.length === wanted || (macro.variadic && args.length === wanted - 1)) return args;
    host.problem?.(
      'syntax/macro-arguments',
      name.home ? name : state.outermost,
      `'${macro.name}' takes ${count(wanted, macro.variadic)}, but this call gives ${args.length}.`,
    );
    return undefined;
  };

  /** Reads up to the `)` that closes a question to the compiler; the operand is no macro's name. */
  const readOperand = (): string | undefined => {
    let text = '';
    for (let level = 1; ; ) {
      const token = read();
      if (!token) return undefined;
      if (isPunctuator(token, '(')) level++;
      if (isPunctuator(token, ')') && --level === 0) return text;
      text += token.text;
    }
  };

  const expandArgument = (tokens: readonly Token[]): Token[] => {
    const result: Token[] = [];
    if (depth >= state.limits.depth) {
      tooLarge(state, `macro calls stand more than ${state.limits.depth} deep inside each other`);
      return result;
    }
    let given = false;
    run(
      () => {
        if (given) return undefined;
        given = true;
        return tokens;
      },
      state,
      depth + 1,
      result,
    );
    return result;
  };

  /** Conditions are blamed on the name they wrote, whatever it was replaced by. */
  const located = (token: Token): Token => {
    const { outermost } = state;
    if (!host.condition || depth > 0 || token.home || !outermost?.home) return token;
    const { start, end, home } = outermost;
    return makeToken(token.kind, token.text, start, end, token.space, home, token.painted);
  };

  let outBefore = 0;
  for (;;) {
    if (state.broken) {
      for (const frame of frames.splice(depth > 0 ? 0 : 1)) if (frame.macro) active.delete(frame.macro);
      if (depth > 0) return;
      out.length = outBefore;
      if (state.outermost) out.push(painted(state.outermost));
      state.broken = false;
      state.spent = 0;
    }
    const token = read();
    if (!token) return;
    if (depth === 0 && frames.length === 1) {
      state.spent = 0;
      outBefore = out.length;
      state.outermost = token;
    }
    if (token.kind !== 'identifier' || token.painted) {
      out.push(located(token));
      continue;
    }
    // Among arguments it is a word like any other, as gcc and clang have it (6.10.1p4 leaves it open).
    if (host.condition && depth === 0 && token.text === 'defined') {
      out.push(token);
      const open = readIf((next) => isPunctuator(next, '('));
      if (open) out.push(open);
      const operand = readIf((next) => next.kind === 'identifier');
      if (operand) out.push(painted(operand));
      continue;
    }
    const answers = host.answers?.(token.text);
    if (answers) {
      const asked = readIf((next) => isPunctuator(next, '(')) && readOperand();
      const known = asked !== undefined && Object.hasOwn(answers, asked) ? answers[asked] : 0;
      if (asked === undefined) out.push(token);
      else out.push(makeToken('number', String(known), 0, 0, token.space));
      continue;
    }
    if (host.condition && token.text.startsWith('__has_') && !host.lookup(token.text)) {
      out.push(painted(token));
      const open = readIf((next) => isPunctuator(next, '('));
      if (!open) continue;
      out.push(open);
      if (!token.text.startsWith('__has_include')) {
        // The operand is a name of its own, never a macro's.
        for (let level = 1; level > 0; ) {
          const next = read();
          if (!next) break;
          if (isPunctuator(next, '(')) level++;
          if (isPunctuator(next, ')')) level--;
          out.push(next);
        }
        continue;
      }
      const angle = readIf((next) => isPunctuator(next, '<'));
      if (!angle) continue;
      out.push(angle);
      for (let next = read(); next; next = read()) {
        out.push(next);
        if (isPunctuator(next, '>')) break;
      }
      continue;
    }
    const macro = host.lookup(token.text);
    if (!macro) {
      const replacement = host.builtin?.(token.text, token.home ? token : state.outermost);
      if (replacement) {
        replacement.forEach((piece, index) => {
          out.push(located(index === 0 ? withSpace(piece, token.space) : piece));
        });
      } else if (host.pragmas && token.text === '_Pragma') {
        const skipped: Token[] = [];
        const open = readIf((next) => isPunctuator(next, '('), skipped);
        const text = open && readIf((next) => next.kind === 'string');
        const close = text && readIf((next) => isPunctuator(next, ')'));
        const pragma = close && text && pragmaOf(text);
        if (!pragma) {
          const message = '_Pragma takes one text in quotes, in parentheses: _Pragma("once").';
          host.problem?.('syntax/bad-directive', token.home ? token : state.outermost, message);
          for (const read of [token, open, text]) if (read) out.push(read);
        } else if (!host.obey?.(lex(pragma, host.lexer).lines[0]?.tokens ?? []))
          out.push(makeToken('pragma', `#pragma ${pragma}`, token.start, token.end, true, token.home));
      } else {
        if (host.pragmas && token.text.startsWith('__has_include') && host.operators?.(token.text)) {
          const message = `'${token.text}' has a meaning in #if and #elif only.`;
          host.problem?.('syntax/bad-directive', token.home ? token : state.outermost, message);
        }
        out.push(located(token));
      }
      continue;
    }
    if (active.has(macro)) {
      out.push(painted(token));
      continue;
    }
    let args: Token[][] = [];
    if (macro.parameters) {
      if (!readIf((next) => isPunctuator(next, '('))) {
        out.push(token);
        continue;
      }
      const given = readArguments(macro, token);
      if (!given) {
        out.push(token);
        continue;
      }
      args = given;
    }
    host.used?.(macro);
    const list = macro.plain
      ? macro.body.slice()
      : substitute(macro.pieces, { macro, args, expanded: [], expandArgument, state });
    if (state.broken) continue;
    state.spent += list.length + 1;
    if (state.spent > state.limits.tokens) {
      tooLarge(state, `it would bring forth more than ${state.limits.tokens} tokens`);
      continue;
    }
    const first = list[0];
    if (first) list[0] = withSpace(first, token.space);
    else list.push(padding(token.space));
    frames.push({ tokens: list, next: 0, macro });
    active.add(macro);
  }
}

function tooLarge(state: State, why: string): void {
  if (state.broken) return;
  state.broken = true;
  state.host.problem?.(
    'syntax/expansion-too-large',
    state.at,
    `This macro is not expanded to its end: ${why}. Write the value out in fewer steps.`,
  );
}

const count = (wanted: number, variadic: boolean): string => {
  if (wanted === 0) return 'no arguments';
  const least = variadic ? wanted - 1 : wanted;
  return `${variadic ? 'at least ' : ''}${least} argument${least === 1 ? '' : 's'}`;
};

function trimPadding(tokens: Token[]): Token[] {
  let end = tokens.length;
  while (end > 0 && tokens[end - 1]?.kind === 'padding') end--;
  return end === tokens.length ? tokens : tokens.slice(0, end);
}

interface Call {
  readonly macro: Macro;
  readonly args: readonly Token[][];
  /** Expanded arguments, filled on first need. */
  readonly expanded: (Token[] | undefined)[];
  readonly expandArgument: (tokens: readonly Token[]) => Token[];
  readonly state: State;
}

/** Puts arguments into a replacement list and joins what `##` joins (6.10.3.1 to 6.10.3.3). */
function substitute(pieces: readonly Piece[], call: Call): Token[] {
  const out: Token[] = [];
  let joins = false;
  for (let index = 0; index < pieces.length; index++) {
    const piece = pieces[index] as Piece;
    const raw = joins || piece.paste;
    let tokens = dropsComma(piece, pieces[index + 1], call)
      ? [makeToken('placemarker', '', 0, 0, false)]
      : realize(piece, call, raw, joins);
    if (call.state.broken) return out;
    const head = tokens[0];
    if (head && piece.kind !== 'token' && !(joins && meetsComma(out, piece, call))) {
      tokens = tokens.slice();
      tokens[0] = withSpace(head, piece.token.space);
    }
    if (!joins) for (const token of tokens) out.push(token);
    else join(out, tokens, piece, call);
    joins = piece.paste;
    if (out.length > call.state.limits.tokens) {
      tooLarge(call.state, `it would bring forth more than ${call.state.limits.tokens} tokens`);
      return out;
    }
  }
  return out.map((token) => (token.kind === 'placemarker' ? padding(token.space) : token));
}

/** GNU rule: `, ## args` drops the comma when the call leaves the variable part out, and joins nothing otherwise. */
function dropsComma(piece: Piece, next: Piece | undefined, { macro, args }: Call): boolean {
  if (piece.kind !== 'token' || !piece.paste || !isPunctuator(piece.token, ',')) return false;
  if (!next || !isVariablePart(next, macro)) return false;
  const given = args[next.index];
  return given === undefined || (macro.parameters?.length === 1 && given.length === 0);
}

const isVariablePart = (piece: Piece, macro: Macro): piece is Extract<Piece, { kind: 'parameter' }> =>
  piece.kind === 'parameter' &&
  !piece.stringize &&
  !piece.paste &&
  macro.variadic &&
  piece.index === (macro.parameters?.length ?? 0) - 1;

const meetsComma = (out: readonly Token[], piece: Piece, { macro }: Call): boolean =>
  isVariablePart(piece, macro) && isPunctuator(out[out.length - 1], ',');

function join(out: Token[], tokens: readonly Token[], piece: Piece, call: Call): void {
  const left = out[out.length - 1];
  const right = tokens[0];
  if (left && meetsComma(out, piece, call)) {
    for (const token of tokens) if (token.kind !== 'placemarker') out.push(token);
    return;
  }
  if (!left || !right) {
    for (const token of tokens) out.push(token);
    return;
  }
  out.pop();
  for (const token of paste(left, right, call.state)) out.push(token);
  for (let index = 1; index < tokens.length; index++) out.push(tokens[index] as Token);
}

function realize(piece: Piece, call: Call, raw: boolean, joined: boolean): Token[] {
  if (piece.kind === 'token') return [piece.token];
  const placemarker = (): Token[] => [makeToken('placemarker', '', 0, 0, piece.token.space)];
  if (piece.kind === 'optional') {
    const last = (call.macro.parameters?.length ?? 1) - 1;
    const variable = expandedArgument(call, last);
    const present = variable.some((token) => token.kind !== 'padding');
    const content = present ? substitute(piece.pieces, call) : [];
    if (piece.stringize) return [stringize(content, piece.token, call.state)];
    const isEmpty = beginsWithNothing(piece.pieces, call);
    const start = isEmpty ? 0 : content.findIndex((token) => token.kind !== 'padding');
    const solid = start > 0 ? content.slice(start) : content;
    if (joined && isEmpty && solid.length > 0) return [...placemarker(), ...solid];
    return solid.length > 0 ? solid : raw ? placemarker() : [padding(piece.token.space)];
  }
  const argument = call.args[piece.index] ?? [];
  if (piece.stringize) return [stringize(argument, piece.token, call.state)];
  if (raw) {
    const solid = joined ? dropPadding(argument) : argument;
    return solid.length > 0 ? solid : placemarker();
  }
  const expanded = expandedArgument(call, piece.index);
  return expanded.length > 0 ? expanded : [padding(piece.token.space)];
}

/** Whether an optional part begins with arguments that come to nothing, which is what is joined with its neighbour then (C23 6.10.5.2). */
function beginsWithNothing(pieces: readonly Piece[], call: Call): boolean {
  let joins = false;
  for (const piece of pieces) {
    if (piece.kind !== 'parameter' || piece.stringize) return false;
    const raw = joins || piece.paste;
    const tokens = raw ? (call.args[piece.index] ?? []) : expandedArgument(call, piece.index);
    if (tokens.some((token) => token.kind !== 'padding')) return false;
    if (!piece.paste) return true;
    joins = true;
  }
  return true;
}

const dropPadding = (tokens: readonly Token[]): Token[] =>
  tokens[0]?.kind === 'padding' ? tokens.filter((token) => token.kind !== 'padding') : tokens.slice();

function expandedArgument(call: Call, index: number): Token[] {
  const known = call.expanded[index];
  if (known) return known;
  const result = call.expandArgument(call.args[index] ?? []);
  call.expanded[index] = result;
  return result;
}

/** The `#` operator (6.10.3.2). */
function stringize(tokens: readonly Token[], place: Token, state: State): Token {
  let text = '';
  let pending = false;
  let backslashes = 0;
  for (const token of tokens) {
    if (token.kind === 'padding' || token.kind === 'placemarker') {
      pending ||= token.space;
      continue;
    }
    if (text !== '' && (token.space || pending)) text += ' ';
    pending = false;
    const literal = token.kind === 'string' || token.kind === 'character' || token.kind === 'header';
    text += literal ? token.text.replace(/["\\]/g, '\\$&') : token.text;
    backslashes = token.text === '\\' ? backslashes + 1 : 0;
    if (text.length > state.limits.tokens * 10) {
      tooLarge(state, 'the text it makes is too long');
      break;
    }
  }
  if (backslashes % 2 === 1) text = text.slice(0, -1);
  return makeToken('string', `"${text}"`, 0, 0, place.space);
}

/** The `##` operator (6.10.3.3). An empty neighbour leaves the other one as it is. */
function paste(left: Token, right: Token, state: State): Token[] {
  const isEmpty = (token: Token): boolean => token.kind === 'placemarker' || token.kind === 'padding';
  if (isEmpty(right)) return [left];
  if (isEmpty(left)) return [withSpace(right, left.space)];
  const text = left.text + right.text;
  const tokens =
    text.length > state.limits.tokens ? [] : lex(text, state.host.lexer).lines.flatMap((line) => line.tokens);
  const only = tokens[0];
  if (only && tokens.length === 1 && only.kind !== 'comment' && only.text === text) {
    if (only.kind !== 'other' || text.length === 1) {
      return [makeToken(only.kind, text, 0, 0, left.space, undefined, false)];
    }
  }
  state.host.problem?.(
    'syntax/bad-paste',
    state.outermost,
    `'${clip(left.text)}' ## '${clip(right.text)}' gives '${clip(text)}', which is not one word, number or operator.`,
  );
  return [left, right];
}

/** What stands in the literal of a `_Pragma` (6.10.9). */
const pragmaOf = (literal: Token): string =>
  literal.text.replace(/^(?:u8|[uUL])?"|"$/g, '').replace(/\\(["\\])/g, '$1');
