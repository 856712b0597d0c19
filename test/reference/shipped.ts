import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Interval } from '../../server/src/model/interval';
import { type Kind, parseQuantity } from '../../server/src/units';

type Value = string | number | { readonly value: string | number };

/** A data file that ships with Fettle. */
export const shipped = (path: string): Record<string, unknown> =>
  JSON.parse(readFileSync(join(__dirname, '..', '..', 'schemas', path), 'utf8')) as Record<string, unknown>;

/** A value of a shipped file, read as the product reads it. SI units. */
export function quantity(value: unknown, kind: Kind): Interval {
  const raw =
    typeof value === 'object' && value !== null && 'value' in value
      ? (value as { value: Value }).value
      : value;
  const parsed = parseQuantity(String(raw), kind);
  if (!parsed.ok) throw new Error(`${String(raw)}: ${parsed.message}`);
  return parsed.value;
}
