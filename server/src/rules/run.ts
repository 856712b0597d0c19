import { type Change, compareSettings } from '../machine/compare';
import type { Machine } from '../machine/machine';
import type { Fact } from '../model/fact';
import type { Place } from '../model/place';
import type { Reading } from '../settings/reading';
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
  run(rule: Rule, machine: Machine): Run;
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
  const run = (rule: Rule, machine: Machine): Run => {
    const runs = machineKey(machine);
    const done = runs.get(rule.id);
    if (done) {
      for (const key of done.keys) watch.note(key);
      return done;
    }
    const taken = machine === main && earlier ? takeOver(earlier, rule.id) : undefined;
    if (taken) for (const key of taken.keys) watch.note(key);
    const made = taken ?? fresh(rule, machine);
    runs.set(rule.id, made);
    return made;
  };
  const fresh = (rule: Rule, machine: Machine): Run => {
    running.add(rule.id);
    try {
      const { result, keys } = watch.during(() => runRule(rule, machine, surroundingsOf(machine)));
      return { results: result, keys };
    } finally {
      running.delete(rule.id);
    }
  };
  const surroundingsOf = (machine: Machine): Around => ({
    base: machine === main ? base : undefined,
    changes: () => (machine === main ? changes() : []),
    answersOf(wanted, about = machine) {
      const results = catalogue
        .filter((rule) => !running.has(rule.id) && wanted(rule))
        .map((rule) => run(rule, about).results);
      return together(results);
    },
  });
  return { run };
}

type Around = Pick<RuleContext, 'base' | 'changes' | 'answersOf'>;

/** Runs one rule on one machine. Pure: the same machine gives the same answers in the same order. */
function runRule(rule: Rule, machine: Machine, around: Around): RuleResults {
  const findings: Finding[] = [];
  const agreements: Agreement[] = [];
  const missing: Missing[] = [];
  const context: RuleContext = {
    ...around,
    machine,
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
    rule.check(context);
  } catch (error) {
    return { findings: [], agreements: [], missing: [], failures: [{ rule: rule.id, error }] };
  }
  return { findings, agreements, missing, failures: [] };
}

const together = (all: readonly RuleResults[]): RuleResults => ({
  findings: all.flatMap((results) => results.findings),
  agreements: all.flatMap((results) => results.agreements),
  missing: all.flatMap((results) => results.missing),
  failures: all.flatMap((results) => results.failures),
});

/** What one rule answered, and the settings it looked at for it. */
interface Run {
  readonly results: RuleResults;
  readonly keys: ReadonlySet<string>;
}

export type Runs = ReadonlyMap<string, Run>;

/** Answers to the same rules on an earlier machine with the same base, board profile, machine sheet and name maps. */
export interface Earlier {
  readonly runs: Runs;
  /** Whether anything under this key is another now. */
  changed(key: string): boolean;
  /** Where a place stands now; nothing when it lies in text that has changed. */
  move(place: Place): Place | undefined;
}

/**
 * Runs all rules, with a pause between any two in which a newer edit can cancel the work. Answers that hang on nothing that has
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
    runs.set(rule.id, runner.run(rule, machine));
  }
  return { ...together([...runs.values()].map(({ results }) => results)), runs };
}

function takeOver({ runs, changed, move }: Earlier, rule: string): Run | undefined {
  const run = runs.get(rule);
  if (!run) return undefined;
  for (const key of run.keys) if (changed(key)) return undefined;
  const results = moveResults(run.results, move);
  return results && { results, keys: run.keys };
}

const placeOf = (about: Place | Reading): Place => ('concept' in about ? about.place : about);

function cause(fact: Fact<unknown> | undefined, message?: string): Cause[] {
  if (!fact?.place) return [];
  return [
    { place: fact.place, message: message ?? (fact.text ? `${fact.label}: ${fact.text}` : fact.label) },
  ];
}
