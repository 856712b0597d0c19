import type { Machine } from '../machine/machine';
import type { Fact } from '../model/fact';
import type { Place } from '../model/place';
import type { Reading } from '../settings/reading';
import { createWatch, type Watch } from '../settings/watch';
import { moveResults } from './move';
import type { Agreement, Cause, Finding, Missing, Rule, RuleContext } from './rule';

export interface RuleResults {
  readonly findings: readonly Finding[];
  readonly agreements: readonly Agreement[];
  readonly missing: readonly Missing[];
  /** Rules that broke; a broken rule costs its own answers only. */
  readonly failures: readonly { readonly rule: string; readonly error: unknown }[];
}

/** Runs one rule on one machine. Pure: the same machine gives the same answers in the same order. */
export function runRule(rule: Rule, machine: Machine): RuleResults {
  const findings: Finding[] = [];
  const agreements: Agreement[] = [];
  const missing: Missing[] = [];
  const context: RuleContext = {
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

/** What one rule answered, and the settings it looked at for it. */
interface Run {
  readonly results: RuleResults;
  readonly keys: ReadonlySet<string>;
}

export type Runs = ReadonlyMap<string, Run>;

/** Answers to the same rules on an earlier machine with the same board profile, machine sheet and name maps. */
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
  rules: readonly Rule[],
  machine: Machine,
  pause: () => Promise<void> = async () => {},
  watch: Watch = createWatch(),
  earlier?: Earlier,
): Promise<RuleResults & { readonly runs: Runs }> {
  const runs = new Map<string, Run>();
  for (const rule of rules) {
    const taken = earlier && takeOver(earlier, rule.id);
    if (taken) {
      runs.set(rule.id, taken);
      continue;
    }
    await pause();
    const { result, keys } = watch.during(() => runRule(rule, machine));
    runs.set(rule.id, { results: result, keys });
  }
  const all = [...runs.values()].map(({ results }) => results);
  return {
    findings: all.flatMap((results) => results.findings),
    agreements: all.flatMap((results) => results.agreements),
    missing: all.flatMap((results) => results.missing),
    failures: all.flatMap((results) => results.failures),
    runs,
  };
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
