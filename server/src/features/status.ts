import type { Analysis } from '../project/analysis';
import type { Severity } from '../rules/rule';

/** How many findings of each severity there are. */
export function countFindings(analysis: Analysis): Record<Severity, number> {
  const counts: Record<Severity, number> = { error: 0, warning: 0, info: 0, hint: 0 };
  for (const { severity } of analysis.findings) counts[severity]++;
  return counts;
}
