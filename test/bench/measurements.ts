import { type RequestName, requestNames, requests } from './requests';
import { median, percentile } from './statistics';

/** What is measured of a server, in the order of the table. */
export const rows = {
  start: { title: 'cold start to initialised', unit: 'ms' },
  open: { title: 'open to first diagnostics', unit: 'ms' },
  openKept: { title: 'open, answer kept', unit: 'ms' },
  digit: { title: 'digit typed to its diagnostics', unit: 'ms' },
  newLine: { title: 'new line to its diagnostics', unit: 'ms' },
  hover: { title: 'hover right behind an edit', unit: 'ms' },
  completion: { title: 'completion', unit: 'ms' },
  symbols: { title: 'document symbols', unit: 'ms' },
  tokens: { title: 'semantic tokens', unit: 'ms' },
  ...(Object.fromEntries(
    requestNames.map((name) => [name, { title: requests[name].title, unit: 'ms' }]),
  ) as Readonly<Record<RequestName, { readonly title: string; readonly unit: 'ms' }>>),
  memory: { title: 'peak memory', unit: 'MB' },
} as const;
export type Row = keyof typeof rows;
export const rowNames = Object.keys(rows) as Row[];

/** What was seen of one server at one thing. */
export interface Cell {
  readonly p50?: number;
  readonly p95?: number;
  readonly samples: number;
  /** Why the numbers do not count, or are missing. */
  readonly note?: string;
}

/** Collects samples and remarks, and tells what became of them. */
export interface Collector<Key extends string> {
  add(key: Key, sample: number | undefined): void;
  /** The remark stays, whatever is measured later. */
  remark(key: Key, note: string): void;
  cells(): Partial<{ readonly [key in Key]: Cell }>;
}

export function createCollector<Key extends string>(): Collector<Key> {
  const samples = new Map<Key, number[]>();
  const notes = new Map<Key, string>();
  return {
    add(key, sample) {
      if (sample === undefined) return;
      const known = samples.get(key);
      if (known) known.push(sample);
      else samples.set(key, [sample]);
    },
    remark(key, note) {
      notes.set(key, note);
    },
    cells() {
      const keys = new Set([...samples.keys(), ...notes.keys()]);
      return Object.fromEntries(
        [...keys].map((key) => [key, cellOf(samples.get(key) ?? [], notes.get(key))]),
      ) as Partial<{ [key in Key]: Cell }>;
    },
  };
}

const cellOf = (samples: readonly number[], note: string | undefined): Cell => ({
  ...(samples.length > 0 && { p50: median(samples), p95: percentile(samples, 0.95) }),
  samples: samples.length,
  ...(note !== undefined && { note }),
});
