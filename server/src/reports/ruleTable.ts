import type { Rule } from '../rules/rule';

/** The table of rules for the README: one row a rule, in the order of the catalogue. */
export function ruleTable(rules: readonly Rule[]): string {
  const rows = rules.map(
    ({ id, severity, what }) => `| \`${id}\` | ${severity.join(', ')} | ${cell(what)} |`,
  );
  return ['| rule | levels | what it says |', '| --- | --- | --- |', ...rows].join('\n');
}

const cell = (text: string): string => text.replaceAll('|', '\\|').replaceAll('\n', ' ');
