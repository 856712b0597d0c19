import Table from 'cli-table3';
import { literal, literalCell } from '../features/markdown';
import type { Analysis } from '../project';
import { type BranchRow, type Figure, loadSheet, type PartUse } from '../reports/loads';
import { formatInterval, formatQuantity } from '../units';
import { relativePath } from './paths';
import type { Terminal } from './terminal';
import { oneLine, wrap } from './text';

type Format = 'text' | 'markdown';

interface Chapter {
  readonly title: string;
  readonly head: readonly string[];
  readonly rows: readonly (readonly string[])[];
}

/** The load sheet of one project as tables, for people. Figures that wait for a fact point to its question below. */
export function loadsText({ files, machine }: Analysis, format: Format, terminal: Terminal): string {
  const sheet = loadSheet(machine);
  const notes = footnotes();
  const name = relativePath(files.projectFile ?? files.settings[0] ?? files.root, terminal.folder);
  const chapters: Chapter[] = [
    {
      title: 'Supply',
      head: ['voltage', 'made for', 'everything on takes', 'use'],
      rows: sheet.supply
        ? [[sheet.supply.voltage, sheet.supply.rated, sheet.supply.drawn, sheet.supply.use].map(notes.cell)]
        : [],
    },
    {
      title: 'Branches',
      head: ['load', 'power', 'current', 'output', 'transistor', 'fuse', 'wire', 'plug', 'left'],
      rows: sheet.branches.map((row) => branchCells(row, notes)),
    },
    {
      title: 'Steps',
      head: ['axis', 'motors turning', 'needs', 'board makes', 'use'],
      rows: sheet.steps.map(({ title, motors, needs, makes, use }) => [
        title,
        motors === undefined ? '' : String(motors),
        notes.cell(needs),
        notes.cell(makes),
        notes.cell(use),
      ]),
    },
    {
      title: 'Lines of commands a second',
      head: ['link', 'carries', 'job needs', 'use', 'in time up to'],
      rows: sheet.lines.map(({ title, carries, needs, use, speedLimit }) => [
        title,
        notes.count(carries),
        notes.count(needs),
        notes.cell(use),
        notes.cell(speedLimit),
      ]),
    },
    {
      title: 'Timers',
      head: ['timer', 'used by', 'channel', 'frequency'],
      rows: sheet.timers.flatMap(({ timer, users }) =>
        users.map(({ title, channel, frequency, sure }) => [
          timer ?? 'not known',
          sure ? title : `${title} (likely)`,
          channel ?? '',
          notes.cell(frequency),
        ]),
      ),
    },
  ];
  const blocks = chapters
    .filter(({ rows }) => rows.length > 0)
    .map((chapter) => (format === 'markdown' ? markdownTable(chapter) : textTable(chapter, terminal)));
  const empty = blocks.length === 0 ? ['Nothing is known that loads this machine.'] : [];
  const heading = `${name}: loads`;
  return [
    format === 'markdown' ? `# ${literal(heading)}` : terminal.colours.bold(heading),
    ...blocks,
    ...empty,
    ...notes.text(format, terminal),
    ...unstatedNote(sheet.branches),
    'Each branch with everything on; motors by the phase current of one of them. ~ rests on an estimate, ≥ not all loads are known. That a use is low does not make a machine safe.',
  ]
    .map((block) => (format === 'text' && !block.includes('\n') ? wrap(block, terminal.width) : block))
    .join('\n\n')
    .concat('\n');
}

interface Notes {
  cell(figure: Figure | undefined): string;
  /** A rate of lines: a number without a unit. */
  count(figure: Figure | undefined): string;
  text(format: Format, terminal: Terminal): string[];
}

function footnotes(): Notes {
  const questions: string[] = [];
  const show = (
    figure: Figure | undefined,
    print: (figure: Figure & { value: unknown }) => string,
  ): string => {
    if (!figure) return '';
    if ('value' in figure) return print(figure);
    let at = questions.indexOf(figure.question);
    if (at < 0) at = questions.push(figure.question) - 1;
    return `[${at + 1}]`;
  };
  const signed = (figure: Figure, text: string): string =>
    `${'atLeast' in figure && figure.atLeast ? '≥ ' : ''}${'estimated' in figure && figure.estimated ? '~' : ''}${text}`;
  return {
    cell: (figure) =>
      show(figure, (one) =>
        'kind' in one ? signed(one, formatInterval(one.value, one.kind, { digits: 3 })) : '',
      ),
    count: (figure) =>
      show(figure, (one) =>
        'kind' in one ? signed(one, formatInterval(one.value, 'count', { digits: 3 })) : '',
      ),
    text: (format, { width }) =>
      questions.length === 0
        ? []
        : [
            questions
              .map((question, index) =>
                format === 'markdown'
                  ? `${index + 1}. ${literal(oneLine(question))}`
                  : wrap(oneLine(question), width, `[${index + 1}] `, '    '),
              )
              .join('\n'),
          ],
  };
}

/** Fuses, wires and plugs that nobody described: one remark for all, since they are asked for in one place and are many. */
const UNSTATED = '?';

function unstatedNote(rows: readonly BranchRow[]): string[] {
  const open = rows.flatMap(({ id, title, unstated }) => {
    const parts = (['fuse', 'wire', 'plug'] as const).filter((part) => unstated[part]);
    return parts.length > 0 ? [`${title} ("${id}"): ${parts.join(', ')}`] : [];
  });
  return open.length > 0
    ? [
        oneLine(
          `${UNSTATED} not stated. An entry of "wires" on the machine sheet that "serves" the load tells size, length, fuse and plug. ${open.join('; ')}.`,
        ),
      ]
    : [];
}

function branchCells(row: BranchRow, notes: Notes): string[] {
  const part = ({ title, rating, use }: PartUse): string =>
    `${short(title)}: ${notes.cell(use)} of ${notes.cell(rating)}`;
  const parts = (list: readonly PartUse[], unstated: Figure | undefined, none = ''): string =>
    list.length > 0 ? list.map(part).join('; ') : unstated ? UNSTATED : none;
  const wires = row.wires.map(
    ({ size, rating, use, drop }) =>
      `${notes.cell(size)}: ${notes.cell(use)} of ${notes.cell(rating)}, drop ${notes.cell(drop)}`,
  );
  return [
    row.title,
    notes.cell(row.power),
    notes.cell(row.current),
    row.output ? part(row.output) : '',
    notes.cell(row.transistor),
    parts(row.fuses, row.unstated.fuse, row.noFuse ? 'none' : ''),
    wires.length > 0 ? wires.join('; ') : row.unstated.wire ? UNSTATED : '',
    parts(row.plugs, row.unstated.plug),
    row.left ? `${formatQuantity(row.left.share, 'ratio', { digits: 3 })} (${short(row.left.part)})` : '',
  ];
}

/** "the connector HB" is HB: the column says what it is. */
const short = (title: string): string => title.replace(/^(?:the )?(?:output|fuse|connector) (?=\S+$)/, '');

function markdownTable({ title, head, rows }: Chapter): string {
  const line = (cells: readonly string[]) =>
    `| ${cells.map((cell) => literalCell(oneLine(cell))).join(' | ')} |`;
  return [`## ${title}`, '', line(head), line(head.map(() => '---')), ...rows.map(line)].join('\n');
}

/** Widest column that is not broken into lines: the table of branches has many. */
const widest = 24;

function textTable(chapter: Chapter, { colours, width }: Terminal): string {
  const { title, head, rows } = chapter;
  const widths = head.map(
    (_, column) =>
      Math.min(widest, Math.max(...[head, ...rows].map((row) => [...(row[column] ?? '')].length))) + 2,
  );
  if (widths.reduce((sum, one) => sum + one, 0) > width) return textList(chapter, colours, width);
  const table = new Table({
    head: [...head],
    colWidths: widths,
    wordWrap: true,
    style: { head: [], border: [], compact: true },
    chars: plainFrame,
  });
  table.push(...rows.map((row) => row.map(oneLine)));
  return `${colours.bold(title)}\n${table
    .toString()
    .split('\n')
    .map((line) => line.trimEnd())
    .join('\n')}`;
}

/** Row by row, a line for each figure: what a table wider than the terminal would make unreadable. */
function textList({ title, head, rows }: Chapter, colours: Terminal['colours'], width: number): string {
  const label = Math.max(...head.map((text) => text.length)) + 2;
  const items = rows.map(([name = '', ...cells]) =>
    [
      wrap(oneLine(name), width, ' '),
      ...cells.flatMap((cell, index) =>
        cell === ''
          ? []
          : [
              wrap(
                oneLine(cell),
                width,
                `   ${(head[index + 1] ?? '').padEnd(label)}`,
                ' '.repeat(label + 3),
              ),
            ],
      ),
    ].join('\n'),
  );
  return [colours.bold(title), ...items].join('\n');
}

/** Columns by blanks, a line below the heads: the same on every terminal and in every log. */
const plainFrame = {
  top: '',
  'top-mid': '',
  'top-left': '',
  'top-right': '',
  bottom: '',
  'bottom-mid': '',
  'bottom-left': '',
  'bottom-right': '',
  left: '',
  'left-mid': '',
  right: '',
  'right-mid': '',
  mid: '─',
  'mid-mid': '─',
  middle: ' ',
};
