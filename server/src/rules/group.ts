import type { Finding, Severity } from './rule';
import { severities } from './rule';

/**
 * One cause, one problem: findings that name the same wrong fact as their root are shown as one, the most severe in front and the
 * others hanging under it as causes.
 */
export function groupByRoot(findings: readonly Finding[]): Finding[] {
  const byRoot = new Map<string, Finding[]>();
  for (const finding of findings) {
    if (!finding.root) continue;
    const key = `${finding.root.uri}:${finding.root.start}:${finding.root.end}`;
    byRoot.set(key, [...(byRoot.get(key) ?? []), finding]);
  }
  const hidden = new Set<Finding>();
  const merged = new Map<Finding, Finding>();
  for (const group of byRoot.values()) {
    if (group.length < 2) continue;
    const [leader, ...others] = [...group].sort((a, b) => rank(a.severity) - rank(b.severity));
    if (!leader) continue;
    for (const other of others) hidden.add(other);
    merged.set(leader, {
      ...leader,
      causes: [
        ...leader.causes,
        ...others.map((other) => ({ place: other.place, message: `also ${other.rule}: ${other.message}` })),
      ],
    });
  }
  return findings.filter((finding) => !hidden.has(finding)).map((finding) => merged.get(finding) ?? finding);
}

const rank = (severity: Severity) => severities.indexOf(severity);
