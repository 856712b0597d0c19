import type { Analysis } from '../../server/src/project/analysis';
import { rules } from '../../server/src/rules';

/** What a rule said about a machine, the loudest first: a finding, "agrees", a question, or nothing. */
export function answerOf(analysis: Analysis, rule: string): string {
  const findings = analysis.findings.filter((finding) => finding.rule === rule);
  for (const severity of ['error', 'warning', 'info', 'hint'])
    if (findings.some((finding) => finding.severity === severity)) return severity;
  const asks = analysis.missing.some((missing) => missing.rule === rule);
  const agrees = analysis.agreements.some((agreement) => agreement.rule === rule);
  if (agrees) return asks ? 'agrees, asks' : 'agrees';
  return asks ? 'asks' : '-';
}

/** Rule × machine as text, for people. */
export function answerTable(analyses: ReadonlyMap<string, Analysis>): string {
  const names = [...analyses.keys()];
  const rows = rules.map(({ id }) => [
    id,
    ...names.map((name) => answerOf(analyses.get(name) as Analysis, id)),
  ]);
  const all = [['rule', ...names], ...rows];
  const widths = ['rule', ...names].map((_, column) =>
    Math.max(...all.map((row) => row[column]?.length ?? 0)),
  );
  return all
    .map((row) =>
      row
        .map((cell, column) => cell.padEnd(widths[column] ?? 0))
        .join('  ')
        .trimEnd(),
    )
    .join('\n');
}
