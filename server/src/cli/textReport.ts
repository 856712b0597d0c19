import type { TextEdit } from '../model/place';
import type { Analysis } from '../project';
import type { Finding, Severity } from '../rules/rule';
import { severities } from '../rules/rule';
import { excerpt } from './excerpt';
import { LineTable, textsOf } from './lines';
import { relativePath } from './paths';
import { sortedFindings } from './sorted';
import { atLeast, type Counts, type Tally, tally } from './tally';
import type { Terminal } from './terminal';
import { columns, crop, oneLine, plural, wrap } from './text';

/** Findings and closing summary of one project, for people. Paths are relative to the current folder, so that terminals open them. */
export function textReport(analysis: Analysis, level: Severity, terminal: Terminal): string {
  const lines = new LineTable(textsOf(analysis));
  const shown = sortedFindings(analysis.findings, analysis).filter((finding) =>
    atLeast(finding.severity, level),
  );
  const blocks = shown.map((finding) => findingBlock(finding, lines, terminal));
  return [...blocks, summary(analysis, level, terminal)].join('\n\n').concat('\n');
}

function findingBlock(finding: Finding, lines: LineTable, terminal: Terminal): string {
  const { colours, width } = terminal;
  const position = (uri: string, offset: number) => {
    const { line, column } = lines.at(uri, offset);
    return `${relativePath(uri, terminal.folder)}:${line}:${column}`;
  };
  const row = (label: string, text: string) => {
    const first = `    ${colours.dim(label)} `;
    return wrap(text, width, first, ' '.repeat(columns(first)));
  };

  const word = severityColour(finding.severity, terminal)(finding.severity);
  const head = `${colours.bold(position(finding.place.uri, finding.place.start))}: ${word}: ${oneLine(finding.message)} ${colours.dim(`[${finding.rule}]`)}`;
  const block = [wrap(head, width, '', '    ')];

  const source = excerpt(finding.place, lines, width - 16);
  if (source) {
    const gutter = Math.max(5, source.number.length);
    block.push(`    ${colours.dim(`${source.number.padStart(gutter)} |`)} ${source.source}`);
    block.push(
      `    ${colours.dim(`${' '.repeat(gutter)} |`)} ${severityColour(finding.severity, terminal)(source.marks)}`,
    );
  }
  for (const cause of finding.causes) {
    block.push(
      row('because:', `${oneLine(cause.message)}  (${position(cause.place.uri, cause.place.start)})`),
    );
  }
  for (const remedy of finding.remedies) {
    if (remedy.edits.length === 0) {
      block.push(row('do:', oneLine(remedy.title)));
      continue;
    }
    block.push(row('fix:', oneLine(remedy.title)));
    for (const edit of remedy.edits) {
      const where = position(edit.place.uri, edit.place.start);
      block.push(wrap(`${editText(edit, lines)}  (${where})`, width, '         ', '         '));
    }
  }
  if (finding.caution) block.push(row('caution:', oneLine(finding.caution)));
  return block.join('\n');
}

function editText(edit: TextEdit, lines: LineTable): string {
  const short = (text: string) => crop.head(oneLine(text), 72);
  const old = lines.textAt(edit.place);
  if (old === '') return `insert ${short(edit.newText)}`;
  if (edit.newText === '') return `remove ${short(old)}`;
  return `${short(old)} → ${short(edit.newText)}`;
}

/** How many of the missing facts are named; the rest is in the JSON output and in the editor's hovers. */
const wantedShown = 3;

function summary(analysis: Analysis, level: Severity, terminal: Terminal): string {
  const { colours, width, folder } = terminal;
  const figures = tally(analysis);
  const { files } = analysis;
  const name =
    files.projectFile ?? files.settings[0] ?? files.board ?? files.machine ?? files.names[0] ?? files.root;
  const parts: string[] = [
    `${colours.bold(relativePath(name, folder))}: ${countsText(figures.counts, terminal)}.`,
    whatWasRead(analysis, figures),
    ...(analysis.base ? [`Compared with ${oneLine(analysis.base.title)}.`] : []),
  ];
  const hidden = hiddenCount(figures.counts, level);
  if (hidden > 0) {
    parts.push(
      `${plural(hidden, 'finding')} below the level "${level}" not shown; show all with --level hint.`,
    );
  }
  if (figures.allowed > 0) parts.push(`${plural(figures.allowed, 'finding')} allowed by a comment.`);
  parts.push(
    figures.rulesWaiting === 0 && figures.wanted.length > 0
      ? `${plural(figures.rulesComputed, 'rule')} could compute, ${new Set(figures.wanted.flatMap(({ rules }) => rules)).size} of them only in part.`
      : `${plural(figures.rulesComputed, 'rule')} could compute; ${figures.rulesWaiting} ${figures.rulesWaiting === 1 ? 'waits' : 'wait'} for a missing fact.`,
  );
  const block = parts.map((part) => wrap(part, width, '', '  '));
  if (figures.wanted.length > 0) {
    block.push('Facts that would help most:');
    for (const { question, rules } of figures.wanted.slice(0, wantedShown)) {
      block.push(
        wrap(
          `${oneLine(question)} ${colours.dim(`(${plural(rules.length, 'rule')})`)}`,
          width,
          '  - ',
          '    ',
        ),
      );
    }
  }
  return block.join('\n');
}

function whatWasRead(analysis: Analysis, figures: Tally): string {
  const read = `${plural(figures.filesRead, 'file')} read`;
  const board = analysis.boardName ? `board: ${oneLine(analysis.boardName)}` : 'no board profile';
  const machine = analysis.machineName ? `machine: ${oneLine(analysis.machineName)}` : 'no machine sheet';
  return `${read}; ${board}; ${machine}.`;
}

const hiddenCount = (counts: Counts, level: Severity): number =>
  severities
    .filter((severity) => !atLeast(severity, level))
    .reduce((sum, severity) => sum + counts[severity], 0);

/** "2 errors, 1 warning", or the plain statement that nothing was found; never that the machine is safe. */
export function countsText(counts: Counts, terminal: Terminal): string {
  const words: Record<Severity, readonly [string, string]> = {
    error: ['error', 'errors'],
    warning: ['warning', 'warnings'],
    info: ['note', 'notes'],
    hint: ['hint', 'hints'],
  };
  const present = severities
    .filter((severity) => counts[severity] > 0)
    .map((severity) => severityColour(severity, terminal)(plural(counts[severity], ...words[severity])));
  return present.length > 0 ? present.join(', ') : terminal.colours.green('no contradiction found');
}

function severityColour(severity: Severity, { colours }: Terminal): (text: string) => string {
  switch (severity) {
    case 'error':
      return colours.red;
    case 'warning':
      return colours.yellow;
    case 'info':
      return colours.cyan;
    case 'hint':
      return colours.dim;
  }
}
