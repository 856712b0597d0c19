import type { Analysis } from '../project';
import { type Severity, severities } from '../rules/rule';

export type Counts = Readonly<Record<Severity, number>>;

export interface Tally {
  readonly counts: Counts;
  readonly allowed: number;
  readonly filesRead: number;
  /** Rules that came to a verdict: a finding, an allowed finding, or the word that all is well. */
  readonly rulesComputed: number;
  /** Rules that came to no verdict because a fact is missing. */
  readonly rulesWaiting: number;
  /** What is missing, with the rules that ask for it; what serves most rules first. */
  readonly wanted: readonly { readonly question: string; readonly rules: readonly string[] }[];
}

export const noCounts: Counts = { error: 0, warning: 0, info: 0, hint: 0 };

export const addCounts = (a: Counts, b: Counts): Counts => ({
  error: a.error + b.error,
  warning: a.warning + b.warning,
  info: a.info + b.info,
  hint: a.hint + b.hint,
});

export function tally(analysis: Analysis): Tally {
  const counts = { ...noCounts };
  for (const finding of analysis.findings) counts[finding.severity]++;

  const computed = new Set([
    ...analysis.findings.map((finding) => finding.rule),
    ...analysis.allowed.map(({ finding }) => finding.rule),
    ...analysis.agreements.map((agreement) => agreement.rule),
  ]);
  const askers = new Map<string, Set<string>>();
  const waiting = new Set<string>();
  for (const { rule, question } of analysis.missing) {
    if (!computed.has(rule)) waiting.add(rule);
    askers.set(question, (askers.get(question) ?? new Set()).add(rule));
  }
  const wanted = [...askers]
    .map(([question, rules]) => ({ question, rules: [...rules].sort() }))
    .sort((a, b) => b.rules.length - a.rules.length || compare(a.question, b.question));

  return {
    counts,
    allowed: analysis.allowed.length,
    filesRead: analysis.texts.size,
    rulesComputed: computed.size,
    rulesWaiting: waiting.size,
    wanted,
  };
}

export const atLeast = (severity: Severity, level: Severity): boolean =>
  severities.indexOf(severity) <= severities.indexOf(level);

/** By code unit: the same on every machine and in every language. */
export const compare = (a: string, b: string): number => (a < b ? -1 : a > b ? 1 : 0);
