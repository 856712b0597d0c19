import { lastAtOrBefore } from '../../model/lines';
import type { Place } from '../../model/place';
import type { SyntaxProblem } from '../entry';
import { type BranchState, type Chain, type Condition, stateOf } from './branch';
import type { Arm, Environment, Live, Slot } from './environment';
import type { ExpansionHost, Reach } from './expand';
import type { LexerOptions } from './lexer';
import type { DisabledDefinition, ParsedLine } from './lines';
import type { Definition } from './macro';
import type { ReadLimits, ReadOptions } from './options';
import type { Source, Sources } from './sources';
import type { Home, Mark, Token } from './token';

/** One definition met during the translation, before it is known what becomes of it. */
export interface Draft {
  readonly home: Home;
  readonly line: ParsedLine;
  readonly definition: Definition;
  readonly disabled?: DisabledDefinition;
  readonly branch: BranchState;
  readonly condition?: Condition;
  readonly undecidedNames: ReadonlySet<string>;
  readonly live?: Live;
  readonly arm?: Arm;
  readonly isGuard: boolean;
}

export interface Translation {
  /** Reads on to the next line of plain text that is compiled, or may be; undefined at the end of its reach. */
  nextText(reach?: Reach, lines?: number): readonly Token[] | undefined;
  readonly environment: Environment;
  readonly drafts: readonly Draft[];
  readonly problems: readonly SyntaxProblem[];
  readonly sources: ReadonlyMap<string, Source>;
  readonly missing: readonly { place: Place; candidates: readonly string[] }[];
  readonly run: Run;
  /** How macros expand in plain text. */
  readonly textHost: ExpansionHost;
  report(problem: SyntaxProblem): void;
}

export interface OpenFile {
  readonly source: Source;
  next: number;
  /** The chain that was open where the file was included. */
  readonly floor: Chain | undefined;
  /** Index of the include path at which `#include_next` goes on. */
  readonly searchNext: number;
  /** What `#line` calls the file. */
  presumedName?: string;
  /** What `#line` adds to line numbers. */
  lineShift: number;
}

/** What a search for an included file came to. */
export interface Search {
  readonly found?: {
    readonly source: Source;
    /** Where `#include_next` in this file goes on along the include paths. */
    readonly searchNext: number;
  };
  readonly absent: readonly string[];
}

/**
 * A chain of conditions that only stops the build or warns: `#if X > 255`, `#error`, `#endif`. Whatever its conditions come to, it
 * defines nothing, so that an edit of what it looks at leaves all else as it was.
 */
export interface Check {
  readonly uri: string;
  /** Indices of its first and last line. */
  readonly first: number;
  readonly last: number;
  /** The chain around it, as it was. */
  readonly outer: Chain | undefined;
  /** What its conditions looked at, as it was at that point. */
  readonly looked: ReadonlyMap<string, Slot>;
  readonly problems: readonly SyntaxProblem[];
  readonly deadArms: readonly DeadArm[];
}

/** The lines between two directives of a chain that are not compiled, or may not be. */
export interface DeadArm {
  readonly uri: string;
  /** Indices of the directives before and behind it; an arm that is never closed has none behind it. */
  readonly opens: number;
  readonly closes?: number;
  readonly state: Exclude<BranchState, 'active'>;
  /** The how-manieth reading of its file it is of. */
  readonly visit: number;
}

/** A check that is being read. */
export interface OpenCheck {
  readonly uri: string;
  readonly first: number;
  readonly last: number;
  readonly outer: Chain | undefined;
  readonly looked: Map<string, Slot>;
  /** Number of problems and of dead arms before it. */
  readonly before: number;
  readonly armsBefore: number;
}

/** A translation while it runs. Each directive has a file of its own that works on this. */
export interface Run {
  readonly options: ReadOptions;
  readonly limits: ReadLimits;
  readonly lexer: LexerOptions;
  readonly entries: readonly string[];
  readonly includePaths: readonly string[];
  /** Names nothing defines are unknown rather than absent. */
  readonly openWorld: boolean;
  /** C23 or C++. */
  readonly modern: boolean;
  readonly reader: Sources;
  readonly environment: Environment;
  readonly drafts: Draft[];
  readonly problems: SyntaxProblem[];
  readonly seenProblems: Set<string>;
  /** Files read, by URI, in order of first inclusion. */
  readonly sources: Map<string, Source>;
  readonly missing: Map<string, { place: Place; candidates: readonly string[] }>;
  /** Searches for included files so far. */
  readonly searches: Map<string, Search>;
  /** Files with `#pragma once`. */
  readonly once: Set<string>;
  /** Names that decided over more than values: those that conditions, includes and `#line` looked at. */
  readonly structural: Set<string>;
  readonly checks: Check[];
  /** Those of checks apart, which have their own. In the order of their ends, so that inner ones come before the outer. */
  readonly deadArms: DeadArm[];
  /** The check that is being read. */
  check: OpenCheck | undefined;
  /** How often each name was defined by the options, or in branches that are compiled, or may be. */
  readonly definitions: Map<string, number>;
  /** How often each file was read. */
  readonly visits: Map<string, number>;
  /** What `#pragma push_macro` keeps. */
  readonly saved: Map<string, { readonly slot: Slot; readonly undone: boolean }[]>;
  /** Names of the compiler's own that an `#undef` or a `#define` took away. */
  readonly undone: Set<string>;
  readonly stack: OpenFile[];
  /** Files of a cycle, which are not entered again. */
  readonly refused: Set<string>;
  chain: Chain | undefined;
  inclusions: number;
  counter: number;
}

/** One directive where it stands. */
export interface Site {
  readonly line: ParsedLine;
  readonly home: Home;
  readonly file: OpenFile;
}

/** Each place has a problem of one kind once, however often its file is read. */
export function report(run: Run, problem: SyntaxProblem): void {
  const key = `${problem.id}\n${problem.place.uri}\n${problem.place.start}`;
  if (run.seenProblems.has(key)) return;
  run.seenProblems.add(key);
  run.problems.push(problem);
}

export const placeOf = (home: Home, from: { start: number }, to: { end: number }): Place => ({
  uri: home.uri,
  start: home.start + from.start,
  end: home.start + to.end,
});

/** Where line `index` of a file starts. */
export const homeOf = ({ uri, parsed }: Source, index: number): Home => ({
  uri,
  start: parsed.starts[index] ?? 0,
  line: index,
});

/** The directive without the blanks and comments around it. */
export function directivePlace(line: ParsedLine, home: Home): Place {
  const first = line.tokens[0];
  const last = line.tokens[line.tokens.length - 1];
  return first && last ? placeOf(home, first, last) : { uri: home.uri, start: home.start, end: home.start };
}

export function directiveMark(line: ParsedLine, home: Home): Mark {
  const first = line.tokens[0];
  const last = line.tokens[line.tokens.length - 1];
  return { home, start: first?.start ?? 0, end: last?.end ?? 0 };
}

/** Where a mark stands while its translation runs. */
export const placeOfMark = ({ home, start, end }: Mark): Place => ({
  uri: home.uri,
  start: home.start + start,
  end: home.start + end,
});

export const atToken = (token: Token | undefined, fallback: Place): Place =>
  token?.home ? placeOf(token.home, token, token) : fallback;

/** The line being read. */
export function here({ stack, entries }: Run): Place {
  const file = stack[stack.length - 1];
  const line = file?.source.parsed.lines[file.next - 1];
  return file && line
    ? directivePlace(line, homeOf(file.source, file.next - 1))
    : { uri: entries[0] ?? '', start: 0, end: 0 };
}

/** What is wrong in an arm that may not be compiled is no more than a warning. */
export const severityIn = (state: BranchState): 'error' | 'warning' =>
  state === 'active' ? 'error' : 'warning';

export const severity = (run: Run): 'error' | 'warning' => severityIn(stateOf(run.chain));

/** Faults of the line as text, which every reading of it has. */
export function noteFaults(run: Run, line: ParsedLine, home: Home): void {
  for (const fault of line.faults) {
    report(run, {
      id: fault.id,
      severity: stateOf(run.chain) === 'active' ? (fault.severity ?? 'error') : 'warning',
      place: placeOf(home, fault.token, fault.token),
      message: fault.message,
    });
  }
}

/** Tokens from index `from` on, which the compiler ignores behind this directive. */
export function noteExtra(run: Run, line: ParsedLine, home: Home, from: number): void {
  const extra = line.rest[from];
  const last = line.rest[line.rest.length - 1];
  if (!extra || !last) return;
  report(run, {
    id: 'syntax/extra-text',
    severity: 'info',
    place: placeOf(home, extra, last),
    message: `The compiler ignores what stands behind this #${line.directive}. Put it into a comment.`,
  });
}

export const clipText = (text: string, length = 120): string =>
  text.length > length ? `${text.slice(0, length - 3)}...` : text;

/** Number of the line, from 1, that `offset` stands on. */
export function lineNumber(source: Source, offset: number): number {
  return lastAtOrBefore(source.parsed.lineStarts(), offset) + 1;
}
