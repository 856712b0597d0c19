import type { Analysis } from '../../../project/analysis';
import type { CompletionItem } from '../item';
import type { JsonSpot } from './spot';

/** What is asked in one JSON file of a project. */
export interface JsonQuestion {
  readonly analysis: Analysis;
  readonly uri: string;
  readonly spot: JsonSpot;
  /** Value that the text has at a path, as plain JSON, as far as it can be read. */
  readonly read: (path: JsonSpot['path']) => unknown;
}

/** An item without the quotes that JSON puts around it. */
export interface Offer extends Pick<CompletionItem, 'kind' | 'detail' | 'explain' | 'filter'> {
  readonly name: string;
  /** For keys: what comes behind the colon, in the protocol's snippet syntax. */
  readonly value?: string;
}

export const recordOf = (value: unknown): Readonly<Record<string, unknown>> =>
  typeof value === 'object' && value !== null && !Array.isArray(value)
    ? (value as Record<string, unknown>)
    : {};

export const textOf = (value: unknown): string | undefined => (typeof value === 'string' ? value : undefined);

/** Keys that the object around the cursor has already; the one that is being typed does not count. */
export const othersIn = ({ spot, read }: JsonQuestion): ReadonlySet<string> =>
  new Set(Object.keys(recordOf(read(spot.path))).filter((key) => key !== spot.typed));

/** By rank, those of one rank in the order they came. */
export const ranked = <T>(items: readonly (readonly [rank: number, item: T])[]): T[] =>
  [...items].sort(([one], [other]) => one - other).map(([, item]) => item);

export const words = (parts: readonly (string | undefined | false)[]): string =>
  parts.filter((part) => typeof part === 'string' && part !== '').join(', ');
