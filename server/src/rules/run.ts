import type { Machine } from '../machine/machine';
import type { Fact } from '../model/fact';
import type { Place } from '../model/place';
import type { Reading } from '../settings/reading';
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

/**
 * Runs all rules, with a pause between any two in which a newer edit can cancel the work.
 * @param pause rejects to end the run
 */
export async function runRules(
  rules: readonly Rule[],
  machine: Machine,
  pause: () => Promise<void> = async () => {},
): Promise<RuleResults> {
  const all: RuleResults[] = [];
  for (const rule of rules) {
    await pause();
    all.push(runRule(rule, machine));
  }
  return {
    findings: all.flatMap((results) => results.findings),
    agreements: all.flatMap((results) => results.agreements),
    missing: all.flatMap((results) => results.missing),
    failures: all.flatMap((results) => results.failures),
  };
}

const placeOf = (about: Place | Reading): Place => ('concept' in about ? about.place : about);

function cause(fact: Fact<unknown> | undefined, message?: string): Cause[] {
  if (!fact?.place) return [];
  return [
    { place: fact.place, message: message ?? (fact.text ? `${fact.label}: ${fact.text}` : fact.label) },
  ];
}
