// How Fettle should stand beside the others. For information: nothing fails when a target is missed.
import { type CommandCells, commandTitles } from './commands';
import { type Row, rowNames, rows } from './measurements';
import { requestNames } from './requests';
import type { ServerResult } from './servers';

export interface SizeResult {
  readonly settings: number;
  readonly servers: Readonly<Record<string, ServerResult>>;
  readonly commands: CommandCells;
}

/** A ratio of Fettle's median to what it is compared with. */
export interface Target {
  readonly settings: number;
  readonly what: string;
  readonly beside: string;
  /** Absent: Fettle has no answer. */
  readonly ratio?: number;
  readonly most: number;
  readonly isMet: boolean;
}

/** Median of a cell. A hover that tells what was true before is no answer, and an empty list is none either. */
const counts = (server: ServerResult | undefined, row: Row): number | undefined => {
  const cell = server?.cells[row];
  return cell?.note === undefined ? cell?.p50 : undefined;
};

/** The quickest of the others whose answer counts. The empty server answers nothing, so it is none of them. */
function best(size: SizeResult, row: Row): { name: string; p50: number } | undefined {
  return Object.entries(size.servers)
    .filter(([name]) => name !== 'fettle' && name !== 'empty')
    .flatMap(([name, server]) => {
      const p50 = counts(server, row);
      return p50 === undefined ? [] : [{ name, p50 }];
    })
    .sort((a, b) => a.p50 - b.p50)[0];
}

/** ms that no request may take at 5,000 settings. */
const longest = 50;

export function targetsOf(sizes: readonly SizeResult[]): readonly Target[] {
  return [...sizes.flatMap(ofSize), ...growth(sizes)];
}

function ofSize(size: SizeResult): Target[] {
  const { settings, servers } = size;
  if (!servers.fettle) return [];
  const made: Target[] = [];
  const target = (what: string, beside: string, own?: number, other?: number, most?: number): void => {
    if (!other || most === undefined) return;
    made.push({ settings, what, beside, ...compared(own, other, most) });
  };
  const besideOne = (row: Row, name: string, most: number): void =>
    target(rows[row].title, name, counts(servers.fettle, row), counts(servers[name], row), most);
  const besideBest = (row: Row, most: number | undefined): void => {
    const other = best(size, row);
    if (other) target(rows[row].title, other.name, counts(servers.fettle, row), other.p50, most);
  };

  besideOne('start', 'empty', 1.25);
  besideOne('open', 'ccls', 0.7);
  // What ccls keeps on the disk is off, so there is one figure of its own to stand beside both.
  const opened = counts(servers.ccls, 'open');
  if (opened !== undefined) {
    target(rows.openKept.title, 'ccls', counts(servers.fettle, 'openKept'), opened, 0.7);
  }
  besideBest('digit', atSize(settings, { 5000: 0.3, 50000: 0.25 }));
  besideBest('hover', 0.5);
  for (const row of ['completion', 'symbols', 'tokens'] as const) besideBest(row, 1);
  if (settings === 5000) besideOne('memory', 'ccls', 1);

  if (settings === 5000) {
    for (const row of ['completion', 'symbols', 'tokens', ...requestNames] as const) {
      const own = counts(servers.fettle, row);
      if (own !== undefined) target(rows[row].title, `${longest} ms`, own, longest, 1);
    }
  }

  const { kept, check, gcc, node } = size.commands;
  if (gcc?.p50 !== undefined && node?.p50 !== undefined) {
    const most = node.p50 + 1.5 * gcc.p50;
    target(commandTitles.kept, 'node + 1.5 × gcc', kept?.p50, most, 1);
    target(commandTitles.check, 'node + 1.5 × gcc', check?.p50, most, 1);
  }
  return made;
}

function compared(own: number | undefined, other: number, most: number) {
  const ratio = own === undefined ? undefined : own / other;
  return { ratio, most, isMet: ratio !== undefined && ratio <= most };
}

const atSize = (settings: number, values: Readonly<Record<number, number>>): number | undefined =>
  values[settings];

/** Ten times the settings take about ten times as long, in every row. */
function growth(sizes: readonly SizeResult[]): Target[] {
  const [small, large] = [5000, 50000].map((settings) => sizes.find((size) => size.settings === settings));
  if (!small || !large) return [];
  return rowNames.flatMap((row) => {
    const [before, after] = [counts(small.servers.fettle, row), counts(large.servers.fettle, row)];
    if (!before) return [];
    return [
      { settings: 50000, what: rows[row].title, beside: 'itself at 5,000', ...compared(after, before, 12) },
    ];
  });
}
