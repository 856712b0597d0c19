import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';

/** One published value; README.md says what the fields mean. */
export interface Row {
  readonly id: string;
  readonly domain: string;
  readonly quantity: string;
  readonly inputs: Readonly<Record<string, unknown>>;
  readonly expected: unknown;
  readonly unit: string;
  readonly tolerance: unknown;
  readonly source: string;
  readonly verified: string;
  readonly note?: string;
}

/** Computes what a row expects, in the same shape, from nothing but its inputs. */
export interface Checker {
  readonly id: RegExp;
  readonly compute: (row: Row, read: Reader) => unknown;
}

/** The row's inputs by name; a missing one fails the row. */
export interface Reader {
  (name: string): number;
  text(name: string): string;
  flag(name: string): boolean;
  list(name: string): number[];
  has(name: string): boolean;
}

/** Several results are right: the row's note says so (a tie that makers round differently). */
export class AnyOf {
  constructor(readonly results: readonly unknown[]) {}
}

/** The row states a bound that the result must keep below. */
export class AtMost {
  constructor(readonly value: number) {}
}

export const loadRows = (domain: string): Row[] =>
  JSON.parse(readFileSync(join(__dirname, 'values', `${domain}.json`), 'utf8')) as Row[];

export const published = (name: string): unknown =>
  JSON.parse(readFileSync(join(__dirname, 'published', `${name}.json`), 'utf8'));

/** Runs every row of a domain through the one checker that takes its id. */
export function checkRows(domain: string, checkers: readonly Checker[]): void {
  const rows = loadRows(domain);
  describe(`published values: ${domain}`, () => {
    it(`every one of the ${rows.length} rows has exactly one checker, and every checker a row`, () => {
      for (const row of rows) expect(checkersOf(row, checkers).length, row.id).toBe(1);
      for (const checker of checkers) {
        expect(
          rows.some((row) => checker.id.test(row.id)),
          String(checker.id),
        ).toBe(true);
      }
      expect(new Set(rows.map((row) => row.id)).size).toBe(rows.length);
    });
    for (const row of rows) {
      it(`${row.id}: ${row.source}`, () => {
        const [checker] = checkersOf(row, checkers);
        if (!checker) throw new Error('no checker takes this row');
        const result = checker.compute(row, reader(row));
        const found = (result instanceof AnyOf ? result.results : [result]).map((one) =>
          differences(row.expected, one, row.tolerance, row.id),
        );
        const closest = found.reduce((best, next) => (next.length < best.length ? next : best));
        expect(closest).toEqual([]);
      });
    }
  });
}

const checkersOf = (row: Row, checkers: readonly Checker[]): Checker[] =>
  checkers.filter((checker) => checker.id.test(row.id));

function reader(row: Row): Reader {
  const get = (name: string): unknown => {
    if (!(name in row.inputs)) throw new Error(`${row.id} has no input ${name}`);
    return row.inputs[name];
  };
  const typed = <T>(name: string, type: string): T => {
    const value = get(name);
    if (typeof value !== type) throw new Error(`${row.id}: input ${name} is no ${type}`);
    return value as T;
  };
  return Object.assign((name: string) => typed<number>(name, 'number'), {
    text: (name: string) => typed<string>(name, 'string'),
    flag: (name: string) => typed<boolean>(name, 'boolean'),
    list: (name: string) => get(name) as number[],
    has: (name: string) => name in row.inputs,
  });
}

/** Where result and row disagree, in words; empty when they agree. */
function differences(expected: unknown, result: unknown, tolerance: unknown, path: string): string[] {
  if (result === undefined) return [`${path}: nothing was computed`];
  if (Array.isArray(expected)) {
    if (!Array.isArray(result) || result.length !== expected.length) return [`${path}: ${String(result)}`];
    return expected.flatMap((one, i) => differences(one, result[i], tolerance, `${path}[${i}]`));
  }
  if (typeof expected === 'object' && expected !== null) {
    const fields = (result ?? {}) as Record<string, unknown>;
    return Object.entries(expected).flatMap(([name, one]) =>
      differences(one, fields[name], toleranceOf(tolerance, name), `${path}.${name}`),
    );
  }
  if (typeof expected !== 'number')
    return result === expected ? [] : [`${path}: ${String(result)}, not ${expected}`];
  if (result instanceof AtMost)
    return result.value <= expected ? [] : [`${path}: ${result.value} > ${expected}`];
  if (typeof result !== 'number') return [`${path}: ${String(result)} is no number`];
  const allowed = allowedError(tolerance, expected);
  return Math.abs(result - expected) <= allowed ? [] : [`${path}: ${result}, not ${expected} ± ${allowed}`];
}

/** Tolerances by field name; fields left out must match exactly. `{ rel }` and plain numbers hold for every field. */
function toleranceOf(tolerance: unknown, name: string): unknown {
  if (typeof tolerance !== 'object' || tolerance === null || 'rel' in tolerance) return tolerance;
  return (tolerance as Record<string, unknown>)[name] ?? 0;
}

/** "Exactly" still leaves the last digits of binary arithmetic. */
const ARITHMETIC = 1e-12;

function allowedError(tolerance: unknown, expected: number): number {
  const exact = ARITHMETIC * Math.abs(expected) + Number.MIN_VALUE;
  if (typeof tolerance === 'number') return Math.max(tolerance * (1 + 1e-9), exact);
  if (typeof tolerance === 'object' && tolerance !== null && 'rel' in tolerance) {
    return Math.abs(expected) * Number(tolerance.rel);
  }
  return exact;
}
