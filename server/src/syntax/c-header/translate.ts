import type { Place } from '../../model/place';
import type { SyntaxProblem } from '../entry';
import { type BranchState, type Chain, decidingCondition, enterArm, stateOf, undecidedNames } from './branch';
import { evaluateCondition, type Standing, type Verdict } from './condition';
import {
  ABSENT,
  type Arm,
  certain,
  createEnvironment,
  defined,
  type Environment,
  type Live,
  type Slot,
} from './environment';
import { type ExpansionHost, expand } from './expand';
import { lex } from './lexer';
import type { DisabledDefinition, ParsedLine } from './lines';
import { clip, type Definition, isSameDefinition, type Macro, parseDefinition } from './macro';
import { parseString } from './number';
import { LIMITS, lexerOptions, type ReadLimits, type ReadOptions } from './options';
import { createSources, includeCandidates, type Source } from './sources';
import { type Home, isPunctuator, makeToken, settle, spell, type Token, withHome } from './token';

/** One definition met during the translation, before it is known what becomes of it. */
export interface Draft {
  readonly home: Home;
  readonly line: ParsedLine;
  readonly definition: Definition;
  readonly disabled?: DisabledDefinition;
  readonly branch: BranchState;
  readonly condition?: { readonly place: Place; readonly text: string };
  readonly undecidedNames: ReadonlySet<string>;
  readonly live?: Live;
  readonly arm?: Arm;
  readonly isGuard: boolean;
}

export interface Translation {
  /** Reads on to the next line of plain text that is compiled, or may be; undefined at the end. */
  nextText(): readonly Token[] | undefined;
  readonly environment: Environment;
  readonly drafts: readonly Draft[];
  readonly problems: readonly SyntaxProblem[];
  readonly sources: ReadonlyMap<string, Source>;
  readonly missing: readonly { place: Place; candidates: readonly string[] }[];
  /** How macros expand in plain text. */
  readonly textHost: ExpansionHost;
  report(problem: SyntaxProblem): void;
}

interface OpenFile {
  readonly source: Source;
  next: number;
  /** The chain that was open where the file was included. */
  readonly floor: Chain | undefined;
  /** What `#line` adds to line numbers. */
  lineShift: number;
}

/** Names the translator itself answers for (6.10.8). */
const BUILTIN = new Set(['__LINE__', '__FILE__', '__COUNTER__', '__INCLUDE_LEVEL__']);
const IGNORED = new Set(['assert', 'unassert', 'embed']);
const CHAIN_DIRECTIVES = new Set(['if', 'ifdef', 'ifndef', 'elif', 'elifdef', 'elifndef', 'else', 'endif']);

/**
 * Runs translation phases 2 to 4 over the entries of `options`. `isKnown` tells the names that are defined somewhere in
 * the project and so count as not defined, rather than unknown, until their definition is reached.
 */
export function translate(options: ReadOptions, isKnown: (name: string) => boolean): Translation {
  const limits: ReadLimits = { ...LIMITS, ...options.limits };
  const lexer = lexerOptions(options);
  const entries = options.entries ?? (options.entry === undefined ? [] : [options.entry]);
  const reader = createSources(options.read, options.resolve, lexer, entries);
  const undecidedByOption = new Set(options.undecided ?? []);
  const undefinedByOption = new Set(options.undefine ?? []);
  const openWorld = options.unknownNames !== 'absent';
  const modern = (options.language ?? 'c23') === 'c23' || options.language === 'c++';
  const includePaths = options.includePaths ?? [];

  const problems: SyntaxProblem[] = [];
  const seenProblems = new Set<string>();
  const drafts: Draft[] = [];
  const sources = new Map<string, Source>();
  const missing = new Map<string, { place: Place; candidates: readonly string[] }>();
  const once = new Set<string>();
  const saved = new Map<string, Slot[]>();
  const stack: OpenFile[] = [];
  const refused = new Set<string>();
  let chain: Chain | undefined;
  let entryIndex = 0;
  let inclusions = 0;
  let linesRead = 0;
  let counter = 0;

  const environment = createEnvironment((name) => {
    if (undecidedByOption.has(name)) return unknown(name);
    if (!openWorld || undefinedByOption.has(name) || isKnown(name)) return ABSENT;
    return unknown(name);
  });
  for (const [names, predefined] of [
    [options.predefined, true],
    [options.define, false],
  ] as const) {
    for (const [name, value] of Object.entries(names ?? {})) {
      const macro = macroFromOption(name, value);
      if (macro) environment.set(macro.name, defined({ macro, predefined }));
    }
  }
  for (const name of undefinedByOption) environment.set(name, ABSENT);

  function macroFromOption(name: string, value: string): Macro | undefined {
    const line = lex(`${name} ${value.replaceAll(/[\r\n]+/g, ' ')}`, lexer).lines[0];
    const tokens = line?.tokens.filter((token) => token.kind !== 'comment') ?? [];
    const first = tokens[0];
    return first && parseDefinition(first, tokens).definition?.macro;
  }

  const report = (problem: SyntaxProblem): void => {
    const key = `${problem.id}\n${problem.place.uri}\n${problem.place.start}`;
    if (seenProblems.has(key)) return;
    seenProblems.add(key);
    problems.push(problem);
  };

  const placeOf = (home: Home, from: { start: number }, to: { end: number }): Place => ({
    uri: home.uri,
    start: home.start + from.start,
    end: home.start + to.end,
  });

  /** The directive without the blanks and comments around it. */
  const directivePlace = (line: ParsedLine, home: Home): Place => {
    const first = line.tokens[0];
    const last = line.tokens[line.tokens.length - 1];
    return first && last ? placeOf(home, first, last) : { uri: home.uri, start: home.start, end: home.start };
  };

  const atToken = (token: Token | undefined, fallback: Place): Place =>
    token?.home ? placeOf(token.home, token, token) : fallback;

  const builtin = (name: string, at: Token | undefined): readonly Token[] | undefined => {
    if (!BUILTIN.has(name)) return undefined;
    const file = stack[stack.length - 1];
    const number = (value: number): Token[] => [makeToken('number', String(value), 0, 0, false)];
    if (name === '__COUNTER__') return number(counter++);
    if (name === '__INCLUDE_LEVEL__') return number(Math.max(0, stack.length - 1));
    if (name === '__FILE__') {
      return [makeToken('string', JSON.stringify(file?.source.uri ?? at?.home?.uri ?? ''), 0, 0, false)];
    }
    const home = at?.home;
    const source = home && sources.get(home.uri);
    if (!source || !home || !at) return number(0);
    return number(lineNumber(source, home.start + at.start) + (file?.source === source ? file.lineShift : 0));
  };

  /** What is wrong in an arm that may not be compiled is no more than a warning. */
  const severity = (state = stateOf(chain)): 'error' | 'warning' =>
    state === 'active' ? 'error' : 'warning';

  const expansionHost = (fallback: () => Place, extra: Partial<ExpansionHost> = {}): ExpansionHost => ({
    lookup: (name) => certain(environment.get(name))?.macro,
    builtin,
    lexer,
    limits,
    problem(id, at, message) {
      report({ id, severity: severity(), place: atToken(at, fallback()), message });
    },
    ...extra,
  });

  const here = (): Place => {
    const file = stack[stack.length - 1];
    const line = file?.source.parsed.lines[file.next - 1];
    return file && line
      ? directivePlace(line, { uri: file.source.uri, start: line.line.start })
      : { uri: entries[0] ?? '', start: 0, end: 0 };
  };

  const textHost = expansionHost(here, { pragmas: true });

  const standing = (name: string): Standing => {
    if (BUILTIN.has(name)) return { kind: 'defined' };
    const slot = environment.get(name);
    if (slot.undecided) return { kind: 'undecided', names: slot.undecided };
    return { kind: slot.definitions.length > 0 ? 'defined' : 'absent' };
  };

  // ---- conditions ----

  const judge = (line: ParsedLine, home: Home): Verdict => {
    const tokens = line.rest.map((token) => withHome(token, home));
    const fallback = directivePlace(line, home);
    // While an #elif is judged, the arm before it is still the current one.
    const grade = severity(stateOf(line.directive === 'elif' ? chain?.outer : chain));
    let failure: string | undefined;
    const host = expansionHost(() => fallback, {
      condition: true,
      problem(id, at, message) {
        failure = message;
        report({ id, severity: grade, place: atToken(at, fallback), message });
      },
    });
    const expanded = settle(expand(tokens, host));
    // What is left of a call that failed has a value for a compiler, but not one anybody meant.
    if (failure !== undefined && openWorld) return { kind: 'fault', message: failure };
    const verdict = evaluateCondition(expanded, {
      standing,
      hasInclude: (spelling) => hasInclude(spelling, home.uri, fallback),
      booleans: modern || openWorld,
      wordOperators: options.language === 'c++',
    });
    if (verdict.kind === 'fault') {
      report({
        id: 'syntax/bad-condition',
        severity: grade,
        place: atToken(verdict.token, fallback),
        message: verdict.message,
      });
    }
    return verdict;
  };

  const judgeName = (line: ParsedLine, home: Home, wanted: boolean): Verdict => {
    const name = line.rest[0];
    const fallback = directivePlace(line, home);
    if (name?.kind !== 'identifier') {
      const message = `#${line.directive} needs the name of a setting behind it.`;
      report({
        id: 'syntax/bad-condition',
        severity: severity(),
        place: name ? placeOf(home, name, name) : fallback,
        message,
      });
      return { kind: 'fault', message };
    }
    noteExtra(line, home, 1);
    if (name.text === '__has_include') return { kind: 'decided', value: wanted };
    const known = standing(name.text);
    if (known.kind === 'undecided') return { kind: 'undecided', names: known.names };
    return { kind: 'decided', value: (known.kind === 'defined') === wanted };
  };

  const noteExtra = (line: ParsedLine, home: Home, from: number): void => {
    const extra = line.rest[from];
    const last = line.rest[line.rest.length - 1];
    if (!extra || !last) return;
    report({
      id: 'syntax/extra-text',
      severity: 'info',
      place: placeOf(home, extra, last),
      message: `The compiler ignores what stands behind this #${line.directive}. Put it into a comment.`,
    });
  };

  const verdictOf = (line: ParsedLine, home: Home): Verdict => {
    switch (line.directive) {
      case 'if':
      case 'elif':
        return judge(line, home);
      case 'ifdef':
      case 'elifdef':
        return judgeName(line, home, true);
      default:
        return judgeName(line, home, false);
    }
  };

  const applyVerdict = (target: Chain, verdict: Verdict): void => {
    if (verdict.kind === 'decided') enterArm(target, verdict.value ? 'true' : 'false');
    else if (verdict.kind === 'undecided') enterArm(target, 'undecided', verdict.names);
    else if (openWorld) enterArm(target, 'undecided');
    else enterArm(target, 'false');
  };

  const startArm = (target: Chain): void => {
    if (target.state !== 'undecided') return;
    // Undecided by an outer chain alone: this chain itself is settled and needs no fork.
    if (target.verdict !== 'undecided') return;
    target.fork ??= environment.fork();
    environment.beginArm(target.fork);
  };

  const endArm = (target: Chain): void => {
    if (target.fork && target.state === 'undecided' && target.verdict === 'undecided')
      environment.endArm(target.fork);
  };

  const closeChain = (target: Chain): void => {
    endArm(target);
    if (target.fork) environment.join(target.fork, target.taken === 'yes', target.names);
    chain = target.outer;
  };

  const conditional = (line: ParsedLine, home: Home, file: OpenFile): void => {
    const place = directivePlace(line, home);
    const text = spell(line.tokens);
    const directive = line.directive ?? '';
    if (directive.startsWith('if')) {
      const next: Chain = {
        outer: chain,
        openedAt: place,
        openedText: clipText(text),
        taken: 'no',
        sawElse: false,
        state: 'inactive',
        verdict: 'skipped',
        names: new Set(),
        place,
        text: clipText(text),
        isGuard: chain === file.floor && isGuardLine(line, file.source.parsed.guard),
      };
      if (stateOf(chain) !== 'inactive') applyVerdict(next, verdictOf(line, home));
      chain = next;
      startArm(next);
      return;
    }
    if (!chain || chain === file.floor) {
      report({
        id: directive === 'endif' ? 'syntax/stray-endif' : 'syntax/stray-else',
        severity: 'error',
        place,
        message: `This #${directive} has no #if before it. Remove it, or add the #if it belongs to.`,
      });
      return;
    }
    if (directive === 'endif') {
      if (stateOf(chain.outer) !== 'inactive') noteExtra(line, home, 0);
      closeChain(chain);
      return;
    }
    if (chain.sawElse) {
      report({
        id: 'syntax/stray-else',
        severity: 'error',
        place,
        message: `This #${directive} comes after the #else of the same #if. Only #endif can follow an #else.`,
        related: [{ place: chain.openedAt, message: 'The #if it belongs to.' }],
      });
      endArm(chain);
      enterArm(chain, 'false');
      chain.state = 'inactive';
      return;
    }
    endArm(chain);
    const outerState = stateOf(chain.outer);
    chain.place = place;
    chain.text = directive === 'else' ? clipText(`#else of ${chain.openedText}`) : clipText(text);
    if (directive === 'else') {
      chain.sawElse = true;
      if (outerState !== 'inactive') noteExtra(line, home, 0);
      enterArm(chain, outerState === 'inactive' ? 'skipped' : 'true');
    } else if (outerState === 'inactive' || chain.taken === 'yes') enterArm(chain, 'skipped');
    else applyVerdict(chain, verdictOf(line, home));
    startArm(chain);
  };

  // ---- definitions ----

  const addDraft = (line: ParsedLine, home: Home, definition: Definition, rest: Partial<Draft>): void => {
    drafts.push({
      home,
      line,
      definition,
      branch: stateOf(chain),
      condition: decidingCondition(chain),
      undecidedNames: undecidedNames(chain),
      arm: chain?.arm,
      isGuard: false,
      ...rest,
    });
  };

  const end = (slot: Slot, place: Place, by: 'define' | 'undef'): void => {
    for (const live of slot.definitions) live.ended ??= { place, by };
  };

  const define = (line: ParsedLine, home: Home, file: OpenFile): void => {
    const state = stateOf(chain);
    if (state !== 'inactive') noteFaults(line, home);
    const definition = line.definition;
    if (!definition) return;
    const name = definition.macro.name;
    const place = placeOf(home, definition.nameToken, definition.nameToken);
    const isGuard = file.source.parsed.guard === name && definition.macro.body.length === 0;
    if (state === 'inactive') {
      addDraft(line, home, definition, { isGuard });
      return;
    }
    const slot = environment.get(name);
    const previous = certain(slot);
    if (
      previous &&
      state === 'active' &&
      !isSameDefinition(previous.macro, definition.macro) &&
      !previous.predefined
    ) {
      report({
        id: 'syntax/redefinition',
        severity: 'warning',
        place,
        message: `'${name}' already has another definition here. The compiler complains and takes this one; remove one of the two, or put #undef ${name} between them.`,
        related: previous.place && [{ place: previous.place, message: 'The earlier definition.' }],
      });
    }
    const live: Live = { macro: definition.macro, place, arm: chain?.arm };
    end(slot, directivePlace(line, home), 'define');
    environment.set(name, defined(live));
    addDraft(line, home, definition, { live, isGuard });
  };

  const undef = (line: ParsedLine, home: Home): void => {
    const name = line.rest[0];
    const place = directivePlace(line, home);
    if (name?.kind !== 'identifier') {
      report({
        id: 'syntax/bad-directive',
        severity: 'error',
        place: name ? placeOf(home, name, name) : place,
        message: '#undef needs the name of a setting behind it.',
      });
      return;
    }
    noteExtra(line, home, 1);
    end(environment.get(name.text), place, 'undef');
    environment.set(name.text, ABSENT);
  };

  const noteFaults = (line: ParsedLine, home: Home): void => {
    for (const fault of line.faults) {
      report({
        id: fault.id,
        severity: stateOf(chain) === 'active' ? (fault.severity ?? 'error') : 'warning',
        place: placeOf(home, fault.token, fault.token),
        message: fault.message,
      });
    }
  };

  // ---- files ----

  const headerOf = (tokens: readonly Token[]): { name: string; quoted: boolean } | undefined => {
    const first = tokens[0];
    if (!first) return undefined;
    if (first.kind === 'header' || first.kind === 'string') {
      const open = first.text.indexOf(first.kind === 'string' ? '"' : (first.text[0] ?? ''));
      return { name: first.text.slice(open + 1, -1), quoted: first.text.endsWith('"') };
    }
    if (!isPunctuator(first, '<')) return undefined;
    const close = tokens.findIndex((token) => isPunctuator(token, '>'));
    if (close < 0) return undefined;
    const inner = tokens.slice(1, close);
    return { name: spell(inner), quoted: false };
  };

  const lookFor = (
    header: { name: string; quoted: boolean },
    from: string,
    place: Place,
    search = includePaths,
  ): Source | undefined => {
    const { source, absent } = reader.find(includeCandidates(header.name, header.quoted, from, search), from);
    if (absent.length > 0)
      missing.set(`${place.uri}\n${place.start}\n${header.name}`, { place, candidates: absent });
    return source;
  };

  const hasInclude = (spelling: string, from: string, place: Place): boolean | undefined => {
    const quoted = spelling.endsWith('"');
    const name = quoted ? (parseString(spelling) ?? spelling.slice(1, -1)) : spelling.slice(1, -1);
    if (lookFor({ name, quoted }, from, place)) return true;
    return quoted || !openWorld ? false : undefined;
  };

  const include = (line: ParsedLine, home: Home): void => {
    const place = directivePlace(line, home);
    const isPlain = line.rest[0]?.kind === 'header';
    let tokens: readonly Token[] = line.rest;
    if (!isPlain) {
      const host = expansionHost(() => place);
      tokens = settle(
        expand(
          line.rest.map((token) => withHome(token, home)),
          host,
        ),
      );
    }
    const header = headerOf(tokens);
    const first = line.rest[0];
    const last = line.rest[line.rest.length - 1];
    const namePlace = first && last ? placeOf(home, first, isPlain ? first : last) : place;
    if (!header) {
      const name = tokens[0];
      const hangs = name?.kind === 'identifier' && standing(name.text).kind === 'undecided';
      if (!hangs || !openWorld) {
        report({
          id: 'syntax/bad-directive',
          severity: 'error',
          place: namePlace,
          message: '#include needs a file name in "quotes" or <angle brackets>.',
        });
      }
      return;
    }
    if (isPlain) noteExtra(line, home, 1);
    const source = lookFor(header, home.uri, namePlace);
    if (!source) {
      if (header.quoted && stateOf(chain) === 'active') {
        report({
          id: 'syntax/missing-include',
          severity: 'warning',
          place: namePlace,
          message: `The file '${clip(header.name)}' is not there, so what it defines is not known. Correct the name, or add its folder to the include paths.`,
        });
      }
      return;
    }
    if (line.directive === 'import') once.add(source.uri);
    open(source, namePlace, line.directive === 'import');
  };

  const open = (source: Source, from: Place, first: boolean): void => {
    const known = sources.has(source.uri);
    if (once.has(source.uri) && known) return;
    if (first) once.add(source.uri);
    const guard = source.parsed.guard;
    if (known && guard !== undefined && certain(environment.get(guard))) return;
    if (refused.has(source.uri)) return;
    if (stack.length >= limits.includeDepth) {
      const cycle = stack.some((file) => file.source === source);
      for (const file of stack) refused.add(file.source.uri);
      report({
        id: cycle ? 'syntax/include-cycle' : 'syntax/include-depth',
        severity: 'error',
        place: from,
        message: cycle
          ? 'This file includes itself without end. Begin it with #pragma once, or with an include guard.'
          : `Files include each other more than ${limits.includeDepth} deep.`,
      });
      return;
    }
    if (++inclusions > limits.inclusions) {
      report({
        id: 'syntax/include-depth',
        severity: 'error',
        place: from,
        message: `More than ${limits.inclusions} files are included. The rest is not read.`,
      });
      return;
    }
    sources.set(source.uri, source);
    noteFileProblems(source);
    stack.push({ source, next: 0, floor: chain, lineShift: 0 });
  };

  /** Problems that hang on the text alone, not on the branch. */
  const noteFileProblems = (source: Source): void => {
    const { parsed, uri } = source;
    if (parsed.notText !== undefined) {
      report({
        id: 'syntax/not-text',
        severity: 'error',
        place: { uri, start: parsed.notText, end: parsed.notText + 1 },
        message: 'There are bytes here that no text has. Save the file as plain text in UTF-8.',
      });
    }
    if (parsed.openComment) {
      const { start, end: stop } = parsed.openComment;
      report({
        id: 'syntax/unterminated-comment',
        severity: 'error',
        place: { uri, start, end: stop },
        message: "The comment that opens here never ends. Close it with '*/'.",
      });
    }
    for (const { start, end: stop } of parsed.runOnComments) {
      report({
        id: 'syntax/comment-continues',
        severity: 'warning',
        place: { uri, start, end: stop },
        message:
          'The backslash at the line end carries this comment over to the next line, which is not read. Remove it.',
      });
    }
    for (const at of parsed.looseSplices) {
      report({
        id: 'syntax/blank-after-backslash',
        severity: 'info',
        place: { uri, start: at, end: at + 1 },
        message:
          'There are blanks behind this backslash; some compilers then do not join the lines. Remove them.',
      });
    }
  };

  const closeFile = (file: OpenFile): void => {
    while (chain && chain !== file.floor) {
      report({
        id: 'syntax/unterminated-condition',
        severity: 'error',
        place: chain.openedAt,
        message: `This '${chain.openedText}' is not closed. Add its #endif.`,
      });
      closeChain(chain);
    }
    stack.pop();
  };

  // ---- the other directives ----

  const message = (line: ParsedLine, home: Home): void => {
    if (stateOf(chain) !== 'active') return;
    const first = line.rest[0];
    const last = line.rest[line.rest.length - 1];
    const text = first && last ? spell(line.rest) : '';
    const stops = line.directive === 'error';
    report({
      id: stops ? 'syntax/stopped-build' : 'syntax/build-warning',
      severity: stops ? 'error' : 'warning',
      place: directivePlace(line, home),
      message: stops
        ? `The build stops here: ${clipText(text, 300)}`
        : `The build warns here: ${clipText(text, 300)}`,
      related: chain && [{ place: chain.place, message: `Because of ${chain.text}` }],
    });
  };

  const renumber = (line: ParsedLine, home: Home, file: OpenFile): void => {
    const given = line.nameToken?.kind === 'number' ? [line.nameToken, ...line.rest] : line.rest;
    const host = expansionHost(here);
    const tokens = settle(
      expand(
        given.map((token) => withHome(token, home)),
        host,
      ),
    );
    const digits = tokens[0];
    if (digits?.kind !== 'number' || !/^[0-9']+$/.test(digits.text)) {
      report({
        id: 'syntax/bad-directive',
        severity: 'error',
        place: directivePlace(line, home),
        message: '#line needs a line number behind it.',
      });
      return;
    }
    file.lineShift =
      Number(digits.text.replaceAll("'", '')) - (lineNumber(file.source, line.line.end - 1) + 1);
  };

  const pragma = (line: ParsedLine, home: Home): readonly Token[] | undefined => {
    const [first, open, text, close] = line.rest;
    if (first?.text === 'once' && line.rest.length === 1) {
      once.add(home.uri);
      return undefined;
    }
    if (first && /^(?:push|pop)_macro$/.test(first.text) && open?.text === '(' && close?.text === ')') {
      const name = text?.kind === 'string' ? parseString(text.text) : undefined;
      if (name === undefined) return undefined;
      const kept = saved.get(name) ?? [];
      saved.set(name, kept);
      if (first.text === 'push_macro') kept.push(environment.get(name));
      else {
        const slot = kept.pop();
        if (slot) environment.set(name, slot);
      }
      return undefined;
    }
    return passedOn(line, home);
  };

  /** A directive for later phases of the compiler, as one token. */
  const passedOn = (line: ParsedLine, home: Home): readonly Token[] | undefined => {
    const hash = line.tokens[0];
    if (!hash) return undefined;
    const text = `#${line.directive} ${spell(line.rest)}`.trimEnd();
    return [makeToken('pragma', text, hash.start, hash.end, true, home)];
  };

  const directive = (line: ParsedLine, home: Home, file: OpenFile): readonly Token[] | undefined => {
    const name = line.directive ?? '';
    if (CHAIN_DIRECTIVES.has(name)) {
      conditional(line, home, file);
      return undefined;
    }
    if (name === 'define') {
      define(line, home, file);
      return undefined;
    }
    if (stateOf(chain) === 'inactive') return undefined;
    switch (name) {
      case '':
        break;
      case 'undef':
        undef(line, home);
        break;
      case 'include':
      case 'include_next':
      case 'import':
        noteFaults(line, home);
        include(line, home);
        break;
      case 'error':
      case 'warning':
        message(line, home);
        break;
      case 'line':
        renumber(line, home, file);
        break;
      case 'pragma':
        return pragma(line, home);
      case 'ident':
      case 'sccs':
        return passedOn(line, home);
      default:
        if (IGNORED.has(name)) break;
        report({
          id: 'syntax/bad-directive',
          severity: stateOf(chain) === 'active' ? 'error' : 'warning',
          place: line.nameToken ? placeOf(home, line.nameToken, line.nameToken) : directivePlace(line, home),
          message: `'#${clip(line.nameToken?.text ?? '')}' is no directive of the language. Check its spelling.`,
        });
    }
    return undefined;
  };

  const nextText = (): readonly Token[] | undefined => {
    for (;;) {
      const file = stack[stack.length - 1];
      if (!file) {
        const uri = entries[entryIndex++];
        if (uri === undefined) return undefined;
        const source = reader.get(uri, uri);
        const place: Place = { uri, start: 0, end: 0 };
        if (source) open(source, place, false);
        else missing.set(uri, { place, candidates: [uri] });
        continue;
      }
      const line = file.source.parsed.lines[file.next];
      if (!line || linesRead > limits.lines) {
        closeFile(file);
        continue;
      }
      file.next++;
      linesRead++;
      const home: Home = { uri: file.source.uri, start: line.line.start };
      if (line.directive !== undefined) {
        const output = directive(line, home, file);
        if (output) return output;
        continue;
      }
      if (line.disabled) addDraft(line, home, line.disabled.definition, { disabled: line.disabled });
      if (line.tokens.length === 0 || stateOf(chain) === 'inactive') continue;
      if (stateOf(chain) === 'active') noteFaults(line, home);
      return line.tokens.map((token) => withHome(token, home));
    }
  };

  return {
    nextText,
    environment,
    drafts,
    problems,
    sources,
    get missing() {
      return [...missing.values()];
    },
    textHost,
    report,
  };
}

const unknown = (name: string): Slot => ({ definitions: [], mayBeAbsent: true, undecided: new Set([name]) });

const isGuardLine = (line: ParsedLine, guard: string | undefined): boolean =>
  guard !== undefined &&
  (line.directive === 'ifndef'
    ? line.rest[0]?.text === guard
    : line.directive === 'if' &&
      isPunctuator(line.rest[0], '!') &&
      line.rest.some((token) => token.text === guard));

const clipText = (text: string, length = 120): string =>
  text.length > length ? `${text.slice(0, length - 3)}...` : text;

function lineNumber(source: Source, offset: number): number {
  const starts = source.parsed.lineStarts();
  let low = 0;
  let high = starts.length;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if ((starts[middle] ?? 0) <= offset) low = middle;
    else high = middle;
  }
  return low + 1;
}
