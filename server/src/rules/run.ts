import { type Change, compareSettings } from '../machine/compare';
import type { Machine } from '../machine/machine';
import type { Fact } from '../model/fact';
import type { Place } from '../model/place';
import { finishSteps, type Steps } from '../model/steps';
import { type Key, READ_IDS } from '../settings/look';
import { type Reading, type ReadingSign, type Settings, signOf } from '../settings/reading';
import type { Watch } from '../settings/watch';
import { moveResults } from './move';
import type { Agreement, Base, Cause, Finding, Missing, Rule, RuleContext } from './rule';

export interface RuleResults {
  readonly findings: readonly Finding[];
  readonly agreements: readonly Agreement[];
  readonly missing: readonly Missing[];
  /** Rules that broke; a broken rule costs its own answers only. */
  readonly failures: readonly { readonly rule: string; readonly error: unknown }[];
}

/** What rules may ask beside their machine. */
export interface Surroundings {
  /** The rules to run. */
  readonly rules: readonly Rule[];
  /** All rules that one of them may ask. */
  readonly catalogue: readonly Rule[];
  readonly base?: Base;
  readonly watch: Watch;
  readonly earlier?: Earlier;
}

/** Runs rules on machines, each rule once on each, whoever asks first. */
interface Runner {
  run(rule: Rule, machine: Machine): Steps<Run>;
}

function createRunner(main: Machine, { catalogue, base, watch, earlier }: Surroundings): Runner {
  const known = new Map<Machine, Map<string, Run>>();
  const running = new Set<string>();
  const changes = watch.lazy(() =>
    base ? compareSettings(base.machine.settings, main.settings) : ([] as readonly Change[]),
  );
  const machineKey = (machine: Machine): Map<string, Run> => {
    const runs = known.get(machine) ?? new Map<string, Run>();
    known.set(machine, runs);
    return runs;
  };
  function* run(rule: Rule, machine: Machine): Steps<Run> {
    const runs = machineKey(machine);
    const done = runs.get(rule.id) ?? (machine === main && earlier && takeOver(earlier, rule.id));
    const made = done || (yield* fresh(rule, machine));
    if (done || made.parts) watch.noteAll(made.keys);
    runs.set(rule.id, made);
    return made;
  }
  function* fresh(rule: Rule, machine: Machine): Steps<Run> {
    running.add(rule.id);
    try {
      if (rule.judge) return yield* judgeAll(rule, machine);
      const work = runRule(rule, (context) => rule.check(context), contextOf(machine));
      const { result, keys } = yield* watch.duringSteps(work);
      return { results: result, keys };
    } finally {
      running.delete(rule.id);
    }
  }
  function* judgeAll(rule: Rule, machine: Machine): Steps<Run> {
    const around = contextOf(machine);
    const { settings } = machine;
    const taken = machine === main && earlier ? partTaker(earlier, rule.id, settings) : undefined;
    const parts: Part[] = [];
    const made: Part[] = [];
    for (let at = 0; at < settings.size; at++) {
      const known = taken?.(at);
      if (known) {
        parts.push(known);
        continue;
      }
      const reading = settings.at(at);
      const work = runRule(rule, (context) => rule.judge?.(context, reading), around);
      const { result, keys } = watch.during(() => finishSteps(work));
      const part: Part = { of: signOf(reading), results: result, keys };
      parts.push(part);
      made.push(part);
      if (at % READINGS_A_STEP === 0) yield;
    }
    return whole(parts, made, taken && earlier?.runs.get(rule.id)?.keys);
  }
  const contextOf = (machine: Machine): Around => ({
    machine,
    base: machine === main ? base : undefined,
    changes: () => (machine === main ? changes() : []),
    answersOf(wanted, about = machine) {
      const results = catalogue
        .filter((rule) => !running.has(rule.id) && wanted(rule))
        .map((rule) => finishSteps(run(rule, about)).results);
      return together(results);
    },
  });
  return { run };
}

type Around = Pick<RuleContext, 'machine' | 'base' | 'changes' | 'answersOf'>;

/** Runs one rule on one machine. Pure: the same machine gives the same answers in the same order. */
function* runRule(
  rule: Rule,
  check: (context: RuleContext) => void | Steps<void>,
  around: Around,
): Steps<RuleResults> {
  const findings: Finding[] = [];
  const agreements: Agreement[] = [];
  const missing: Missing[] = [];
  const context: RuleContext = {
    ...around,
    report: (finding) =>
      findings.push({ causes: [], remedies: [], caution: rule.caution, ...finding, rule: rule.id }),
    agree: (agreement) => agreements.push({ causes: [], ...agreement, rule: rule.id }),
    need: (fact, about, question) => {
      if (fact === undefined) missing.push({ rule: rule.id, place: placeOf(about), question });
      return fact;
    },
    cause,
  };
  try {
    const steps = check(context);
    if (steps) yield* steps;
  } catch (error) {
    return failed({ rule: rule.id, error });
  }
  if (findings.length === 0 && agreements.length === 0 && missing.length === 0) return SILENCE;
  return { findings, agreements, missing, failures: [] };
}

const SILENCE: RuleResults = { findings: [], agreements: [], missing: [], failures: [] };

const failed = (failure: RuleResults['failures'][number]): RuleResults => ({
  findings: [],
  agreements: [],
  missing: [],
  failures: [failure],
});

function together(all: readonly RuleResults[]): RuleResults {
  const findings: Finding[] = [];
  const agreements: Agreement[] = [];
  const missing: Missing[] = [];
  const failures: RuleResults['failures'][number][] = [];
  for (const results of all) {
    findings.push(...results.findings);
    agreements.push(...results.agreements);
    missing.push(...results.missing);
    failures.push(...results.failures);
  }
  return { findings, agreements, missing, failures };
}

/** What one rule answered, and the settings it looked at for it. */
interface Run {
  readonly results: RuleResults;
  readonly keys: ReadonlySet<Key>;
  /** Of a rule that judges each reading by itself, in the order of the readings. */
  readonly parts?: readonly Part[];
}

/** The answers about one reading. */
interface Part {
  readonly of: ReadingSign;
  readonly results: RuleResults;
  readonly keys: ReadonlySet<Key>;
}

const READINGS_A_STEP = 100;

export type Runs = ReadonlyMap<string, Run>;

/** Answers to the same rules on an earlier machine with the same base, board profile, machine sheet and name maps. */
export interface Earlier {
  readonly runs: Runs;
  /** Whether anything under this key is another now. */
  changed(key: Key): boolean;
  /** Whether two readings, of then and now, are the same, apart from where they stand. */
  same(before: ReadingSign, now: ReadingSign): boolean;
  /** The same by position, where there are readings of the same concepts in the same order. */
  sameAt?(index: number): boolean;
  /** Where a place stands now; nothing when it lies in text that has changed. */
  move(place: Place): Place | undefined;
}

/**
 * Runs all rules, with a pause after every step in which a newer edit can cancel the work. Answers that hang on nothing that has
 * changed are taken over.
 * @param pause rejects to end the run
 */
export async function runRules(
  machine: Machine,
  surroundings: Surroundings,
  pause: () => Promise<void> = async () => {},
): Promise<RuleResults & { readonly runs: Runs }> {
  const runner = createRunner(machine, surroundings);
  const runs = new Map<string, Run>();
  for (const rule of surroundings.rules) {
    await pause();
    const steps = runner.run(rule, machine);
    let step = steps.next();
    for (; !step.done; step = steps.next()) await pause();
    runs.set(rule.id, step.value);
  }
  return { ...together([...runs.values()].map(({ results }) => results)), runs };
}

function takeOver({ runs, changed, move }: Earlier, rule: string): Run | undefined {
  const run = runs.get(rule);
  if (!run || run.parts) return undefined;
  for (const key of run.keys) if (changed(key)) return undefined;
  const results = moveResults(run.results, move);
  return results && { results, keys: run.keys };
}

/** @param known keys of the last run: those of parts that were taken over, and perhaps more */
function whole(parts: readonly Part[], fresh: readonly Part[], known?: ReadonlySet<Key>): Run {
  const more = known ? fresh : parts;
  const isKnown = (part: Part): boolean => [part.of.id, ...part.keys].every((key) => known?.has(key));
  const keys = known && more.every(isKnown) ? known : new Set<Key>([...(known ?? []), READ_IDS]);
  if (keys instanceof Set && keys !== known) {
    for (const part of more) {
      keys.add(part.of.id);
      for (const key of part.keys) keys.add(key);
    }
  }
  const answering = parts.filter(({ results }) => results !== SILENCE).map(({ results }) => results);
  const failure = answering.find(({ failures }) => failures.length > 0)?.failures[0];
  return { results: failure ? failed(failure) : together(answering), keys, parts };
}

/** Gives the answers about a reading that is the same and hangs on nothing that has changed. */
function partTaker(
  { runs, same, sameAt, changed, move }: Earlier,
  rule: string,
  settings: Settings,
): ((at: number) => Part | undefined) | undefined {
  const parts = runs.get(rule)?.parts;
  if (!parts) return undefined;
  let byCore: Map<object | undefined, Part[]> | undefined;
  const find = (at: number): Part | undefined => {
    const there = parts[at];
    if (sameAt) return sameAt(at) ? there : undefined;
    const sign = signOf(settings.at(at));
    if (there && same(there.of, sign)) return there;
    byCore ??= partsByCore(parts);
    return byCore.get(sign.core)?.find((part) => same(part.of, sign));
  };
  return (at) => {
    const known = find(at);
    if (!known) return undefined;
    for (const key of known.keys) if (changed(key)) return undefined;
    if (known.results === SILENCE) return known;
    const results = moveResults(known.results, move);
    return results && (results === known.results ? known : { ...known, results });
  };
}

function partsByCore(parts: readonly Part[]): Map<object | undefined, Part[]> {
  const found = new Map<object | undefined, Part[]>();
  for (const part of parts) {
    const others = found.get(part.of.core);
    if (others) others.push(part);
    else found.set(part.of.core, [part]);
  }
  return found;
}

const placeOf = (about: Place | Reading): Place => ('concept' in about ? about.place : about);

function cause(fact: Fact<unknown> | undefined, message?: string): Cause[] {
  if (!fact?.place) return [];
  return [
    { place: fact.place, message: message ?? (fact.text ? `${fact.label}: ${fact.text}` : fact.label) },
  ];
}
