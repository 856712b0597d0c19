import { withLazy } from '../../model/lazy';
import { once } from '../../model/once';
import type { Place } from '../../model/place';
import type { BranchStretch, SettingsText, SyntaxProblem, Uses } from '../entry';
import type { Consulted } from './consult';
import type { EntryContext } from './evaluate';
import { type Files, LineEntry } from './lineEntry';
import type { ReadOptions } from './options';
import type { Settled } from './settled';
import type { SettledIndex } from './settledIndex';
import { type Source, startOfLine } from './sources';
import { commentsWith, lineAt, type Use } from './text';
import type { Check, DeadArm, Translation } from './translation';
import { changesSince, type Version } from './version';

/** A finished reading, and what is needed to carry it on. */
export interface Reading {
  readonly options: ReadOptions;
  readonly translation: Translation;
  readonly consulted: Consulted;
  readonly context: EntryContext;
  readonly settled: readonly Settled[];
  readonly index: SettledIndex;
  /** Names of all definitions, once somebody has asked. */
  readonly names: { all?: ReadonlySet<string> };
  /** Problems of the translation itself, those of values and checks apart. */
  readonly problems: readonly SyntaxProblem[];
  readonly checks: readonly Check[];
  readonly missing: SettingsText['missing'];
  readonly files: Files;
  readonly version: Version;
  readonly text: SettingsText;
}

/**
 * The reading as others see it.
 * @param version of the reading
 */
export function finish(parts: Omit<Reading, 'text' | 'version'>, version: Version): Reading {
  const { translation, consulted, settled, files, missing, index } = parts;
  const inChecks = parts.checks.flatMap((check) => check.problems);
  const problems = inChecks.length > 0 ? [...parts.problems, ...inChecks] : parts.problems;
  const sources = [...files.values()];
  const made: LineEntry[] = [];
  const entry = (at: number): LineEntry => {
    made[at] ??= new LineEntry(
      at,
      settled[at] as Settled,
      files.get((settled[at] as Settled).draft.home.uri) as Source,
      files,
    );
    return made[at];
  };
  const sourceOf = (uri: string): Source | undefined =>
    files.get(uri) ?? consulted.files.find((source) => source.uri === uri);
  const entries = once(() => settled.map((_, at) => entry(at)));
  const others: Omit<SettingsText, 'entries'> = {
    version,
    structure: version.structure,
    since: (earlier) => changesSince(version, earlier),
    size: settled.length,
    entry,
    definedNames: () => {
      parts.names.all ??= new Set(settled.map(({ draft }) => draft.definition.macro.name));
      return parts.names.all;
    },
    problems: withValueProblems(problems, settled, index, files),
    uses: usesOf(sources, consulted),
    files: [...files.keys()],
    consulted: consulted.files.map(({ uri }) => uri).filter((uri) => !translation.sources.has(uri)),
    missing,
    entriesAt(uri, offset) {
      const source = files.get(uri);
      if (!source) return [];
      const now = lineAt(source.parsed.starts, offset);
      const line = source.moves ? source.moves.before(now) : now;
      return line === undefined ? [] : index.onLine(uri, line).map(entry);
    },
    branches: (uri) => branchesOf(parts, files.get(uri)),
    wordsOf(uri, name) {
      const source = sourceOf(uri);
      return source ? wordsIn(source, name) : [];
    },
    header: (uri) => sourceOf(uri)?.parsed,
    comments: (containing) => sources.flatMap((source) => commentsOf(source, containing)),
  };
  return { ...parts, version, text: lazyText(others, { entries }) };
}

const lazyText = withLazy<SettingsText>()('entries');

function withValueProblems(
  problems: readonly SyntaxProblem[],
  settled: readonly Settled[],
  index: SettledIndex,
  files: Files,
): readonly SyntaxProblem[] {
  const faulty = [...index.faulty()].sort((one, other) => one - other);
  if (faulty.length === 0) return problems;
  const keyOf = ({ id, place }: SyntaxProblem): string => `${id}\n${place.uri}\n${place.start}`;
  const all = [...problems];
  const seen = new Set(problems.map(keyOf));
  for (const at of faulty) {
    const { draft, problems: own } = settled[at] as Settled;
    const { uri, line } = draft.home;
    const source = files.get(uri);
    const base = source ? startOfLine(source, line) : 0;
    for (const { id, severity, start, end, message } of own) {
      const problem: SyntaxProblem = {
        id,
        severity,
        place: { uri, start: base + start, end: base + end },
        message,
      };
      if (seen.has(keyOf(problem))) continue;
      seen.add(keyOf(problem));
      all.push(problem);
    }
  }
  return all;
}

/** Names in plain text count where the project defines them; the rest are words of the language and of code. */
function usesOf(sources: readonly Source[], consulted: Consulted): Uses {
  let index: ReadonlyMap<string, readonly Place[]> | undefined;
  let asked = 0;
  const has = (name: string): boolean =>
    sources.some(
      ({ parsed }) =>
        parsed.usedNames().has(name) || (parsed.mentionedNames().has(name) && consulted.isDefined(name)),
    );
  return {
    has,
    times: (name) =>
      sources.reduce(
        (sum, { parsed }) =>
          sum +
          parsed.usedNames().times(name) +
          (consulted.isDefined(name) ? parsed.mentionedNames().times(name) : 0),
        0,
      ),
    places(name) {
      // Whoever asks about one name must not pay for all of them.
      if (!index && ++asked <= FEW_NAMES) return has(name) ? placesOf(name, sources, consulted) : NOWHERE;
      index ??= placesByName(sources, consulted);
      return index.get(name) ?? NOWHERE;
    },
  };
}

const NOWHERE: readonly Place[] = [];
const FEW_NAMES = 4;

const placesOf = (name: string, sources: readonly Source[], consulted: Consulted): readonly Place[] =>
  sources.flatMap(({ uri, parsed }) => {
    const mentions = consulted.isDefined(name) ? parsed.mentions(name) : [];
    return [...parsed.uses(name), ...mentions].map(({ start, end }) => ({ uri, start, end }));
  });

function placesByName(
  sources: readonly Source[],
  consulted: Consulted,
): ReadonlyMap<string, readonly Place[]> {
  const places = new Map<string, Place[]>();
  const add = (uri: string, { name, start, end }: Use): void => {
    const known = places.get(name);
    if (known) known.push({ uri, start, end });
    else places.set(name, [{ uri, start, end }]);
  };
  for (const { uri, parsed } of sources) {
    for (const use of parsed.uses()) add(uri, use);
    for (const mention of parsed.mentions()) if (consulted.isDefined(mention.name)) add(uri, mention);
  }
  return places;
}

/** Of a file that is read several times, an arm is left out where none of the readings compiles it; its include guard is one that covers it. */
function branchesOf(
  { translation: { run }, checks }: Pick<Reading, 'translation' | 'checks'>,
  source: Source | undefined,
): readonly BranchStretch[] {
  if (!source) return [];
  const { uri, parsed } = source;
  const visits = run.visits.get(uri) ?? 1;
  const all = [...run.deadArms, ...checks.flatMap(({ deadArms }) => deadArms)];
  const arms = all.filter((arm) => arm.uri === uri);
  const common = visits === 1 ? arms : arms.filter((arm) => isDeadInAll(arm, arms, visits));
  return common.map(({ opens, closes, state }) => {
    const open = startOfLine(source, opens);
    return {
      start: open + (parsed.lines[lineAt(parsed.starts, open)]?.length ?? 0),
      end: closes === undefined ? parsed.text.length : startOfLine(source, closes),
      state,
    };
  });
}

/** Only the first reading's arms speak: a later one's are the same lines again. */
function isDeadInAll({ opens, closes, visit }: DeadArm, arms: readonly DeadArm[], visits: number): boolean {
  if (visit !== 1 || arms.length > MOST_COMPARED) return false;
  const end = (line: number | undefined): number => line ?? Number.POSITIVE_INFINITY;
  const covering = arms.filter((arm) => arm.opens <= opens && end(arm.closes) >= end(closes));
  return new Set(covering.map((arm) => arm.visit)).size === visits;
}

/** More arms in a file that is read several times are left as they are. */
const MOST_COMPARED = 2000;

function wordsIn({ uri, parsed: { lines, starts, linesNaming } }: Source, name: string): Place[] {
  const found: Place[] = [];
  for (const index of linesNaming(name)) {
    const base = starts[index] ?? 0;
    for (const { kind, text, start, end } of lines[index]?.tokens ?? []) {
      if (text === name && kind === 'identifier') found.push({ uri, start: base + start, end: base + end });
    }
  }
  return found;
}

const commentsOf = ({ uri, parsed }: Source, containing: string): { place: Place; text: string }[] =>
  parsed.commented(containing).flatMap((line) => {
    const base = parsed.starts[line] ?? 0;
    return commentsWith(parsed.lines[line]?.all ?? [], containing).map(({ start, end, text }) => ({
      place: { uri, start: base + start, end: base + end },
      text,
    }));
  });
