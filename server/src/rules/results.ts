import type { Agreement, Finding, Missing } from './rule';

export interface RuleResults {
  readonly findings: readonly Finding[];
  readonly agreements: readonly Agreement[];
  readonly missing: readonly Missing[];
  /** Rules that broke; a broken rule costs its own answers only. */
  readonly failures: readonly { readonly rule: string; readonly error: unknown }[];
}

export const SILENCE: RuleResults = { findings: [], agreements: [], missing: [], failures: [] };

export const failed = (failure: RuleResults['failures'][number]): RuleResults => ({
  findings: [],
  agreements: [],
  missing: [],
  failures: [failure],
});

export function together(all: readonly RuleResults[]): RuleResults {
  const findings: Finding[] = [];
  const agreements: Agreement[] = [];
  const missing: Missing[] = [];
  const failures: RuleResults['failures'][number][] = [];
  for (const results of all) {
    if (results === SILENCE) continue;
    for (const finding of results.findings) findings.push(finding);
    for (const agreement of results.agreements) agreements.push(agreement);
    for (const need of results.missing) missing.push(need);
    for (const failure of results.failures) failures.push(failure);
  }
  return { findings, agreements, missing, failures };
}
