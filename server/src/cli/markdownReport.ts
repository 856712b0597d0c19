import { code, literal } from '../features/markdown';
import type { Place } from '../model/place';
import type { Analysis } from '../project';
import { type Finding, type Severity, severities } from '../rules/rule';
import { LineTable, textsOf } from './lines';
import { relativePath } from './paths';
import { sortedFindings } from './sorted';
import { atLeast, type Counts, tally } from './tally';
import { oneLine, plural } from './text';

/** Output of `fettle check --format markdown`: short, for a comment on a change. */
export function markdownReport(analyses: readonly Analysis[], level: Severity, folder: string): string {
  return analyses.map((analysis) => project(analysis, level, folder)).join('\n');
}

function project(analysis: Analysis, level: Severity, folder: string): string {
  const { counts, wanted, allowed } = tally(analysis);
  const lines = new LineTable(textsOf(analysis));
  const at = ({ uri, start }: Place) => code(`${relativePath(uri, folder)}:${lines.at(uri, start).line}`);
  const name = analysis.files.projectFile ?? analysis.files.settings[0] ?? analysis.files.root;
  const shown = sortedFindings(analysis.findings, analysis).filter(({ severity }) =>
    atLeast(severity, level),
  );
  const hidden = analysis.findings.length - shown.length;
  const notes = [
    hidden > 0 && `${plural(hidden, 'finding')} below the level "${level}" not shown.`,
    allowed > 0 && `${plural(allowed, 'finding')} allowed by a comment.`,
    wanted[0] && `The fact that would help most: ${literal(oneLine(wanted[0].question))}`,
  ].filter(Boolean);
  return [
    `### ${literal(relativePath(name, folder))}: ${countsText(counts)}`,
    ...(shown.length > 0 ? [shown.map((finding) => item(finding, at)).join('\n')] : []),
    ...(notes.length > 0 ? [notes.join(' ')] : []),
  ]
    .join('\n\n')
    .concat('\n');
}

function item(
  { severity, message, rule, place, causes, remedies, caution }: Finding,
  at: (place: Place) => string,
): string {
  const rest = [
    ...causes.map((cause) => `because: ${literal(oneLine(cause.message))} (${at(cause.place)})`),
    ...remedies.map(({ title, edits }) => `${edits.length > 0 ? 'fix' : 'do'}: ${literal(oneLine(title))}`),
    ...(caution ? [`caution: ${literal(oneLine(caution))}`] : []),
  ];
  return [
    `- **${severity}** ${at(place)}: ${literal(oneLine(message))} (${code(rule)})`,
    ...rest.map((text) => `  - ${text}`),
  ].join('\n');
}

const nouns: Record<Severity, string> = { error: 'error', warning: 'warning', info: 'note', hint: 'hint' };

/** Says that nothing was found, never that the machine is safe. */
function countsText(counts: Counts): string {
  const present = severities.filter((severity) => counts[severity] > 0);
  return (
    present.map((severity) => plural(counts[severity], nouns[severity])).join(', ') ||
    'no contradiction found'
  );
}
