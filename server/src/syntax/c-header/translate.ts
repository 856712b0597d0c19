import type { Place } from '../../model/place';
import { stateOf } from './branch';
import { expansionHost } from './builtin';
import { beginCheck, endCheck, leaveCheck } from './checks';
import { CHAIN_DIRECTIVES, closeChain, conditional } from './conditional';
import { addDraft, define, undef } from './define';
import { ABSENT, createEnvironment, defined, type Environment, type Slot } from './environment';
import type { Reach } from './expand';
import { include, openFile } from './include';
import { type LexerOptions, lex } from './lexer';
import { clip, type Macro, parseDefinition } from './macro';
import { message } from './message';
import { LIMITS, lexerOptions, type ReadOptions } from './options';
import { ident, obey, pragma } from './pragma';
import { renumber } from './renumber';
import { createSources, type TextStore } from './sources';
import { type Token, withHome } from './token';
import {
  directivePlace,
  here,
  homeOf,
  noteFaults,
  type OpenFile,
  placeOf,
  type Run,
  report,
  type Site,
  severity,
  type Translation,
} from './translation';

export type { Draft, Translation } from './translation';

/** What `nextText` gives when it has read as many lines as it was asked to. */
export const MORE: readonly Token[] = [];

const IGNORED = new Set(['assert', 'unassert', 'embed']);

/**
 * Runs translation phases 2 to 4 over the entries of `options`. `isKnown` tells the names that are defined somewhere in
 * the project and so count as not defined, rather than unknown, until their definition is reached.
 */
export function translate(
  options: ReadOptions,
  isKnown: (name: string) => boolean,
  store?: TextStore,
): Translation {
  const run = begin(options, isKnown, store);
  let entryIndex = 0;
  let linesRead = 0;

  const nextText = (reach: Reach = 'on', lines = Number.POSITIVE_INFINITY): readonly Token[] | undefined => {
    const stopAt = linesRead + lines;
    for (;;) {
      if (linesRead >= stopAt) return MORE;
      const file = run.stack[run.stack.length - 1];
      if (!file) {
        if (reach === 'inFile' || reach === 'beforeDirective') return undefined;
        const uri = run.entries[entryIndex++];
        if (uri === undefined) return undefined;
        const source = run.reader.get(uri, uri);
        const place: Place = { uri, start: 0, end: 0 };
        if (source) openFile(run, source, place, false);
        else run.missing.set(uri, { place, candidates: [uri] });
        continue;
      }
      const line = file.source.parsed.lines[file.next];
      if (!line || linesRead > run.limits.lines) {
        if (reach === 'inFile' || reach === 'beforeDirective') return undefined;
        closeFile(run, file);
        continue;
      }
      if (reach === 'beforeDirective' && line.directive !== undefined) return undefined;
      file.next++;
      linesRead++;
      // Most lines of text concern nobody.
      if (line.directive === undefined && !line.disabled && reach === 'skip' && line.faults.length === 0)
        continue;
      const index = file.next - 1;
      const home = homeOf(file.source, index);
      if (line.directive !== undefined) {
        beginCheck(run, file.source, index, line);
        const output = directive(run, { line, home, file });
        endCheck(run, file.source, index);
        if (output && reach !== 'skip') return output;
        continue;
      }
      if (line.disabled) addDraft(run, line, home, line.disabled.definition, undefined, line.disabled);
      const state = stateOf(run.chain);
      if (line.tokens.length === 0 || state === 'inactive') continue;
      if (state === 'active') noteFaults(run, line, home);
      if (reach === 'skip') continue;
      return line.tokens.map((token) => withHome(token, home));
    }
  };

  return {
    nextText,
    run,
    environment: run.environment,
    drafts: run.drafts,
    problems: run.problems,
    sources: run.sources,
    get missing() {
      return [...run.missing.values()];
    },
    textHost: expansionHost(run, () => here(run), { pragmas: true, obey: (tokens) => obey(run, tokens) }),
    report: (problem) => report(run, problem),
  };
}

function begin(options: ReadOptions, isKnown: (name: string) => boolean, store?: TextStore): Run {
  const lexer = lexerOptions(options);
  const entries = options.entries ?? (options.entry === undefined ? [] : [options.entry]);
  const environment = firstEnvironment(options, lexer, isKnown);
  return {
    options,
    limits: { ...LIMITS, ...options.limits },
    lexer,
    entries,
    includePaths: options.includePaths ?? [],
    openWorld: options.unknownNames !== 'absent',
    modern: (options.language ?? 'c23') === 'c23' || options.language === 'c++',
    reader: createSources(options.read, options.resolve, lexer, entries, store),
    environment,
    drafts: [],
    problems: [],
    seenProblems: new Set(),
    sources: new Map(),
    missing: new Map(),
    searches: new Map(),
    once: new Set(),
    structural: new Set(),
    checks: [],
    deadArms: [],
    check: undefined,
    definitions: new Map(Array.from(environment.names(), (name) => [name, 1])),
    visits: new Map(),
    saved: new Map(),
    undone: new Set(),
    stack: [],
    refused: new Set(),
    chain: undefined,
    inclusions: 0,
    counter: 0,
  };
}

/** What the compiler and the build define before the first line. */
function firstEnvironment(
  options: ReadOptions,
  lexer: LexerOptions,
  isKnown: (name: string) => boolean,
): Environment {
  const undecidedByOption = new Set(options.undecided ?? []);
  const undefinedByOption = new Set(options.undefine ?? []);
  const openWorld = options.unknownNames !== 'absent';
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
      const macro = macroFromOption(name, value, lexer);
      if (macro) environment.set(macro.name, defined({ macro, predefined }));
    }
  }
  for (const name of undefinedByOption) environment.set(name, ABSENT);
  return environment;
}

const unknown = (name: string): Slot => ({ definitions: [], mayBeAbsent: true, undecided: new Set([name]) });

function macroFromOption(name: string, value: string, lexer: LexerOptions): Macro | undefined {
  const line = lex(`${name} ${value.replaceAll(/[\r\n]+/g, ' ')}`, lexer).lines[0];
  const tokens = line?.tokens.filter((token) => token.kind !== 'comment') ?? [];
  const first = tokens[0];
  return first && parseDefinition(first, tokens).definition?.macro;
}

/** Carries out one directive; gives what it hands on to the output. */
function directive(run: Run, site: Site): readonly Token[] | undefined {
  const { line, home } = site;
  const name = line.directive ?? '';
  if (CHAIN_DIRECTIVES.has(name)) {
    conditional(run, site);
    return undefined;
  }
  if (name === 'define') {
    define(run, site);
    return undefined;
  }
  if (stateOf(run.chain) === 'inactive') return undefined;
  switch (name) {
    case '':
      break;
    case 'undef':
      undef(run, site);
      break;
    case 'include':
    case 'include_next':
    case 'import':
      noteFaults(run, line, home);
      include(run, site);
      break;
    case 'error':
    case 'warning':
      message(run, site);
      break;
    case 'line':
      renumber(run, site);
      break;
    case 'pragma':
      return pragma(run, site);
    case 'ident':
    case 'sccs':
      return ident(run, site);
    default:
      if (IGNORED.has(name)) break;
      report(run, {
        id: 'syntax/bad-directive',
        severity: severity(run),
        place: line.nameToken ? placeOf(home, line.nameToken, line.nameToken) : directivePlace(line, home),
        message: `'#${clip(line.nameToken?.text ?? '')}' is no directive of the language. Check its spelling.`,
      });
  }
  return undefined;
}

function closeFile(run: Run, file: OpenFile): void {
  leaveCheck(run, file.source);
  for (let { chain } = run; chain && chain !== file.floor; chain = run.chain) {
    report(run, {
      id: 'syntax/unterminated-condition',
      severity: 'error',
      place: chain.openedAt,
      message: `This '${chain.openedText}' is not closed. Add its #endif.`,
    });
    closeChain(run, chain, file.source.uri);
  }
  run.stack.pop();
}
