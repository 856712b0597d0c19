import { commandNames, commandTitles } from './commands';
import { type Cell, rowNames, rows } from './measurements';
import type { SizeResult, Target } from './targets';

export interface Column {
  readonly name: string;
  readonly title: string;
}

const none = '–';

/** One table of everything: a block for each size, a column for each server, "p50 / p95" in the cells. */
export function resultTable(sizes: readonly SizeResult[], columns: readonly Column[]): string {
  const lines: string[][] = [];
  for (const { settings, servers, commands } of sizes) {
    if (lines.length > 0) lines.push([]);
    lines.push([`${settings.toLocaleString('en')} settings`, ...columns.map(({ title }) => title)]);
    for (const row of rowNames) {
      const { title, unit } = rows[row];
      lines.push([`  ${title} (${unit})`, ...columns.map(({ name }) => cellText(servers[name]?.cells[row]))]);
    }
    if (Object.keys(commands).length === 0) continue;
    lines.push(['  whole process (ms)', ...commandNames.map((name) => commandTitles[name])]);
    lines.push(['', ...commandNames.map((name) => cellText(commands[name]))]);
  }
  return aligned(lines);
}

function cellText(cell: Cell | undefined): string {
  if (!cell) return none;
  const { p50, p95, samples, note } = cell;
  if (p50 === undefined || p95 === undefined) return note ?? none;
  const numbers = samples === 1 ? number(p50) : `${number(p50)} / ${number(p95)}`;
  return note === undefined ? numbers : `${numbers} ${note}`;
}

/** Three figures, no more. */
const number = (value: number): string =>
  value >= 100 ? value.toFixed(0) : value >= 10 ? value.toFixed(1) : value.toFixed(2);

export function targetTable(targets: readonly Target[]): string {
  const heading = ['Fettle: beside what', 'settings', 'ratio', 'at most', ''];
  const lines = targets.map(({ what, beside, settings, ratio, most, isMet }) => [
    `${what}: ${beside}`,
    settings.toLocaleString('en'),
    ratio?.toFixed(2) ?? none,
    String(most),
    ratio === undefined ? 'no answer' : isMet ? 'met' : 'missed',
  ]);
  return aligned([heading, ...lines]);
}

/** First column to the left, the others to the right. */
function aligned(lines: readonly (readonly string[])[]): string {
  const widths: number[] = [];
  for (const line of lines) {
    for (const [at, text] of line.entries()) widths[at] = Math.max(widths[at] ?? 0, text.length);
  }
  const fit = (text: string, at: number) =>
    at === 0 ? text.padEnd(widths[at] ?? 0) : text.padStart(widths[at] ?? 0);
  return lines.map((line) => line.map(fit).join('   ').trimEnd()).join('\n');
}
