import { type Change, compareSettings } from '../machine/compare';
import type { Machine } from '../machine/machine';
import type { Fact } from '../model/fact';
import type { Place } from '../model/place';
import { finishSteps, type Pause, type Steps } from '../model/steps';
import { type Reading, signOf } from '../settings/reading';
import type { Watch } from '../settings/watch';
import type { Earlier, Part, Run, Runs } from './kept';
import { moveResults } from './move';
import { judgeChanged, partsOf, partTaker, whole } from './parts';
import { failed, type RuleResults, SILENCE, together } from './results';
import type { Agreement, Base, Cause, Finding, Missing, Rule, RuleContext } from './rule';

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

/**
 * Runs rules on machines, each rule once on each, whoever asks first. Its functions lie outside: V8 keeps a generator function that was made
 * in another, and all that it sees, until the old heap is collected.
 */
interface Runner extends Surroundings {
  readonly main: Machine;
  readonly byMachine: Map<Machine, Map<string, Run>>;
  /** Rules that are at work, by their ids. */
  readonly running: Set<string>;
  readonly changes: () => readonly Change[];
}

function createRunner(main: Machine, surroundings: Surroundings): Runner {
  const { base, watch } = surroundings;
  const changes = watch.lazy(() =>
    base ? compareSettings(base.machine.settings, main.settings) : ([] as readonly Change[]),
  );
  return { ...surroundings, main, byMachine: new Map(), running: new Set(), changes };
}

function runsOn({ byMachine }: Runner, machine: Machine): Map<string, Run> {
  let runs = byMachine.get(machine);
  if (!runs) {
    runs = new Map();
    byMachine.set(machine, runs);
  }
  return runs;
}

/** The answers that are there already, or those of before, where they still hold. */
function known(runner: Runner, rule: Rule, machine: Machine): Run | undefined {
  const runs = runsOn(runner, machine);
  const { main, earlier } = runner;
  const done = runs.get(rule.id) ?? (machine === main && earlier ? takeOver(earlier, rule.id) : undefined);
  if (!done) return undefined;
  runner.watch.noteAll(done.keys);
  runs.set(rule.id, done);
  return done;
}

function* run(runner: Runner, rule: Rule, machine: Machine): Steps<Run> {
  const done = known(runner, rule, machine);
  if (done) return done;
  const made = yield* fresh(runner, rule, machine);
  if (made.parts || made.checks) runner.watch.noteAll(made.keys);
  runsOn(runner, machine).set(rule.id, made);
  return made;
}

function* fresh(runner: Runner, rule: Rule, machine: Machine): Steps<Run> {
  runner.running.add(rule.id);
  try {
    if (rule.judge) return yield* judgeAll(runner, rule, machine);
    if (rule.checks) return yield* checkAll(runner, rule, rule.checks, machine);
    return yield* checked(runner, rule, (context) => rule.check(context), contextOf(runner, machine));
  } finally {
    runner.running.delete(rule.id);
  }
}

function* checked({ watch }: Runner, rule: Rule, check: Rule['check'], around: Around): Steps<Run> {
  const { result, keys } = yield* watch.duringSteps(runRule(rule, check, around));
  return { results: result, keys };
}

function* checkAll(
  runner: Runner,
  rule: Rule,
  checks: readonly Rule['check'][],
  machine: Machine,
): Steps<Run> {
  const { main, earlier } = runner;
  const around = contextOf(runner, machine);
  const before = machine === main ? earlier?.runs.get(rule.id)?.checks : undefined;
  const runs: Run[] = [];
  for (const [at, check] of checks.entries()) {
    const known = before?.[at];
    const kept = known && earlier && keep(known, earlier);
    runs.push(kept ?? (yield* checked(runner, rule, check, around)));
  }
  return { results: joined(runs), keys: new Set(runs.flatMap(({ keys }) => [...keys])), checks: runs };
}

function* judgeAll(runner: Runner, rule: Rule, machine: Machine): Steps<Run> {
  const { main, earlier, watch } = runner;
  const around = contextOf(runner, machine);
  const { settings } = machine;
  const judged = (at: number): Part => {
    const reading = settings.at(at);
    const work = runRule(rule, (context) => rule.judge?.(context, reading), around);
    const { result, keys } = watch.during(() => finishSteps(work));
    return { of: signOf(reading), results: result, keys };
  };
  const before = machine === main ? earlier?.runs.get(rule.id) : undefined;
  if (before?.parts && earlier?.readings)
    return yield* judgeChanged(before, before.parts, earlier.readings, earlier, judged);
  const taken = before?.parts && earlier ? partTaker(earlier, before.parts, settings) : undefined;
  const parts: Part[] = [];
  for (let at = 0; at < settings.size; at++) {
    const known = taken?.(at);
    parts.push(known ?? judged(at));
    if (!known && at % READINGS_A_STEP === 0) yield;
  }
  return whole(partsOf(parts));
}

const contextOf = (runner: Runner, machine: Machine): Around => {
  const { main, base, catalogue, running, changes } = runner;
  return {
    machine,
    base: machine === main ? base : undefined,
    changes: () => (machine === main ? changes() : []),
    answersOf(wanted, about = machine) {
      const results = catalogue
        .filter((rule) => !running.has(rule.id) && wanted(rule))
        .map((rule) => finishSteps(run(runner, rule, about)).results);
      return together(results);
    },
  };
};

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

const READINGS_A_STEP = 25;

/**
 * Runs all rules, with a pause after every step in which a newer edit can cancel the work. Answers that hang on nothing that has
 * changed are taken over.
 * @param pause rejects to end the run
 */
export async function runRules(
  machine: Machine,
  surroundings: Surroundings,
  pause: Pause = () => undefined,
): Promise<RuleResults & { readonly runs: Runs }> {
  const runner = createRunner(machine, surroundings);
  const runs = new Map<string, Run>();
  for (const rule of surroundings.rules) {
    let rest = pause();
    if (rest) await rest;
    const kept = known(runner, rule, machine);
    if (kept) {
      runs.set(rule.id, kept);
      continue;
    }
    const steps = run(runner, rule, machine);
    let step = steps.next();
    for (; !step.done; step = steps.next()) {
      rest = pause();
      if (rest) await rest;
    }
    runs.set(rule.id, step.value);
  }
  return { ...together([...runs.values()].map(({ results }) => results)), runs };
}

function takeOver(earlier: Earlier, rule: string): Run | undefined {
  const run = earlier.runs.get(rule);
  return run && keep(run, earlier);
}

/** The same answers where everything stands now; nothing when one of them may be another. */
function keep(run: Run, earlier: Earlier): Run | undefined {
  const { keys } = run;
  if (run.parts || earlier.touches(keys)) return undefined;
  if (run.checks) {
    const checks = run.checks.map((check) => keep(check, earlier));
    if (!checks.every((check) => check !== undefined)) return undefined;
    const same = checks.every((check, at) => check === run.checks?.[at]);
    return same ? run : { results: joined(checks), keys, checks };
  }
  const results = moveResults(run.results, earlier.move);
  return results && (results === run.results ? run : { results, keys });
}

/** A rule that breaks at one of its checks says nothing else. */
function joined(runs: readonly Run[]): RuleResults {
  const failure = runs.find(({ results }) => results.failures.length > 0)?.results.failures[0];
  return failure ? failed(failure) : together(runs.map(({ results }) => results));
}

const placeOf = (about: Place | Reading): Place => ('concept' in about ? about.place : about);

function cause(fact: Fact<unknown> | undefined, message?: string): Cause[] {
  if (!fact?.place) return [];
  return [
    { place: fact.place, message: message ?? (fact.text ? `${fact.label}: ${fact.text}` : fact.label) },
  ];
}
