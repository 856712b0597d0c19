import { readFileSync, statSync } from 'node:fs';
import { isatty } from 'node:tty';
import { decode, largestFile } from '../project/decode';
import { programKey } from './build';
import { hashOf } from './hash';
import type { Store } from './store';

export type PathKind = 'folder' | 'file' | 'other';

/** Everything that a check asked the disk, and what it was answered. */
export interface CheckTrace {
  /** Hash of the text by path; null for a file that is not there. */
  readonly reads: readonly (readonly [path: string, hash: string | null])[];
  readonly kinds: readonly (readonly [path: string, kind: PathKind])[];
}

export interface CheckAnswer extends CheckTrace {
  /** What goes to standard output. */
  readonly out: string;
  readonly code: number;
}

/** Raised whenever the shape or the meaning of what is kept changes. */
const format = 1;

/** All that shapes the answer of `fettle check` beside the files. @param args as they were typed, with `check` in front */
export const checkKey = (args: readonly string[], build: string): readonly unknown[] => [
  'check',
  format,
  ...programKey(build),
  process.argv[1] ?? '',
  process.cwd(),
  args,
  isatty(1) ? [process.stdout.columns, process.env.NO_COLOR, process.env.TERM] : [],
];

/** The kept answer, if asking the disk anew would get every answer that it was made from. */
export function findCheck(store: Store, key: readonly unknown[]): CheckAnswer | undefined {
  const answer = asAnswer(store.find(key));
  if (!answer) return undefined;
  try {
    const holds =
      answer.kinds.every(([path, kind]) => kindOf(path) === kind) &&
      answer.reads.every(([path, hash]) => hash === readHash(path));
    return holds ? answer : undefined;
  } catch {
    return undefined;
  }
}

/** @throws when it is there and cannot be told */
function kindOf(path: string): PathKind {
  const state = statSync(path);
  if (state.isDirectory()) return 'folder';
  return state.isFile() ? 'file' : 'other';
}

/** @throws when the file is there and cannot be read, as far as a check reads files */
function readHash(path: string): string | null {
  try {
    const state = statSync(path);
    if (!state.isFile() || state.size > largestFile) throw new Error('no file to read');
    return hashOf(decode(readFileSync(path)));
  } catch (error) {
    const code = (error as NodeJS.ErrnoException).code;
    if (code === 'ENOENT' || code === 'ENOTDIR') return null;
    throw error;
  }
}

function asAnswer(value: unknown): CheckAnswer | undefined {
  if (typeof value !== 'object' || value === null) return undefined;
  const { reads, kinds, out, code } = value as Record<string, unknown>;
  const isRead = (item: unknown): boolean =>
    Array.isArray(item) && typeof item[0] === 'string' && (item[1] === null || typeof item[1] === 'string');
  const isKind = (item: unknown): boolean =>
    Array.isArray(item) && typeof item[0] === 'string' && typeof item[1] === 'string';
  if (!Array.isArray(reads) || !reads.every(isRead)) return undefined;
  if (!Array.isArray(kinds) || !kinds.every(isKind)) return undefined;
  if (typeof out !== 'string' || (code !== 0 && code !== 1)) return undefined;
  return { reads, kinds, out, code };
}
