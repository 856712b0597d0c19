import type { Finding, Severity } from '../rules/rule';

export type Level = Severity | 'off';
/** Rule id, or a group with `/*`, to the level that the project wants. */
export type Levels = ReadonlyMap<string, Level>;

export const levelOf = (levels: Levels, rule: string): Level | undefined =>
  levels.get(rule) ?? levels.get(`${rule.split('/')[0]}/*`);

/** The project's own level replaces whatever severity a rule computed. */
export function applyLevels(findings: readonly Finding[], levels: Levels): readonly Finding[] {
  if (levels.size === 0) return findings;
  return findings.flatMap((finding) => {
    const level = levelOf(levels, finding.rule);
    if (level === undefined) return [finding];
    return level === 'off' ? [] : [{ ...finding, severity: level }];
  });
}
