import type { Steps } from '../../model/steps';
import type { Settled } from './settled';

/**
 * Where to find the definitions of one reading, by their index. Readings that follow from one another by small edits share it: it may
 * name definitions that no longer look at a name, but never leaves one out.
 */
export interface SettledIndex {
  /** Definitions on a line. */
  onLine(uri: string, line: number): readonly number[];
  /** Definitions whose value looks at a name. */
  lookingAt(name: string): readonly number[];
  /** Definitions with a problem in their value. */
  faulty(): Iterable<number>;
  /** A definition has another value now. */
  update(index: number, settled: Settled): void;
}

/** Definitions that are looked through in one step: next to nothing is done with each. */
const ENTRIES_A_STEP = 2000;

/** Names that are looked for one by one, before all are put in order. */
const FEW_NAMES = 8;

export function* createIndex(settled: readonly Settled[]): Steps<SettledIndex> {
  const files = yield* byFile(settled);
  /** Of the names that were asked for; of all, once these were too many. */
  const lookers = new Map<string, number[]>();
  let isWhole = false;
  const updated = new Map<number, Settled>();
  const faulty = new Set<number>();
  for (let index = 0; index < settled.length; index++) {
    if ((settled[index] as Settled).problems.length > 0) faulty.add(index);
    if (index % ENTRIES_A_STEP === ENTRIES_A_STEP - 1) yield;
  }
  const note = (name: string, index: number): void => {
    const known = lookers.get(name);
    if (known && !known.includes(index)) known.push(index);
    else if (!known && isWhole) lookers.set(name, [index]);
  };
  const find = (name: string): number[] => {
    const found: number[] = [];
    for (let index = 0; index < settled.length; index++)
      if (settled[index]?.looked.has(name)) found.push(index);
    for (const [index, { looked }] of updated)
      if (looked.has(name) && !found.includes(index)) found.push(index);
    return found;
  };
  const findAll = (): void => {
    isWhole = true;
    lookers.clear();
    for (const [index, { looked }] of settled.entries()) {
      for (const name of looked) {
        const known = lookers.get(name);
        if (known) known.push(index);
        else lookers.set(name, [index]);
      }
    }
    for (const [index, { looked }] of updated) for (const name of looked) note(name, index);
  };
  const lineOf = (index: number): number => settled[index]?.draft.home.line ?? 0;
  return {
    onLine(uri, line) {
      const own = files.get(uri) ?? [];
      let from = 0;
      for (let to = own.length; from < to; ) {
        const middle = (from + to) >> 1;
        if (lineOf(own[middle] as number) < line) from = middle + 1;
        else to = middle;
      }
      let end = from;
      while (end < own.length && lineOf(own[end] as number) === line) end++;
      return own.slice(from, end);
    },
    lookingAt(name) {
      const known = lookers.get(name);
      if (known || isWhole) return known ?? [];
      if (lookers.size >= FEW_NAMES) {
        findAll();
        return lookers.get(name) ?? [];
      }
      const found = find(name);
      lookers.set(name, found);
      return found;
    },
    faulty: () => faulty,
    update(index, now) {
      const { looked, problems } = now;
      updated.set(index, now);
      for (const name of looked) note(name, index);
      if (problems.length > 0) faulty.add(index);
      else faulty.delete(index);
    },
  };
}

/** The definitions of each file in the order of its lines. */
function* byFile(settled: readonly Settled[]): Steps<ReadonlyMap<string, readonly number[]>> {
  const files = new Map<string, number[]>();
  const unsorted = new Set<number[]>();
  const lineOf = (index: number): number => (settled[index] as Settled).draft.home.line;
  let uri: string | undefined;
  let own: number[] = [];
  let before = -1;
  for (let index = 0; index < settled.length; index++) {
    const { home } = (settled[index] as Settled).draft;
    if (home.uri !== uri) {
      uri = home.uri;
      own = files.get(uri) ?? [];
      files.set(uri, own);
      before = own.length > 0 ? lineOf(own[own.length - 1] as number) : -1;
    }
    if (before > home.line) unsorted.add(own);
    before = home.line;
    own.push(index);
    if (index % ENTRIES_A_STEP === ENTRIES_A_STEP - 1) yield;
  }
  for (const list of unsorted) list.sort((one, other) => lineOf(one) - lineOf(other) || one - other);
  return files;
}
