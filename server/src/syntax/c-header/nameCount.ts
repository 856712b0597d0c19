/** Names, and whether they are there at all. */
export interface Names extends Iterable<string> {
  has(name: string): boolean;
  /** In how many places it is. */
  times(name: string): number;
  readonly isEmpty: boolean;
}

/** How often each name is there. What comes out of it by an edit shares its names with it. */
export interface NameCount extends Names {
  /** The same without some names, and with others. */
  with(gone: Iterable<string>, come: Iterable<string>): NameCount;
}

/** With more differences than this, all are counted together. */
const MOST_DIFFERENCES = 64;

/** Counts names one by one. */
export function nameCounter(): { add(names: Iterable<string>): void; count(): NameCount } {
  const counts = new Map<string, number>();
  let total = 0;
  return {
    add(names) {
      for (const name of names) {
        counts.set(name, (counts.get(name) ?? 0) + 1);
        total++;
      }
    },
    count: () => countOf(counts, NONE, total),
  };
}

export function countNames(names: Iterable<string>): NameCount {
  const counter = nameCounter();
  counter.add(names);
  return counter.count();
}

const NONE: ReadonlyMap<string, number> = new Map();

function countOf(
  counts: ReadonlyMap<string, number>,
  more: ReadonlyMap<string, number>,
  total: number,
): NameCount {
  const times = (name: string): number => (counts.get(name) ?? 0) + (more.get(name) ?? 0);
  const has = (name: string): boolean => times(name) > 0;
  return {
    has,
    times,
    [Symbol.iterator]: () => namesIn(counts, more, has),
    isEmpty: total === 0,
    with(gone, come) {
      const now = new Map(more);
      let size = total;
      const add = (name: string, by: number): void => {
        now.set(name, (now.get(name) ?? 0) + by);
        size += by;
      };
      for (const name of gone) add(name, -1);
      for (const name of come) add(name, 1);
      if (now.size <= MOST_DIFFERENCES) return countOf(counts, now, size);
      const all = new Map(counts);
      for (const [name, by] of now) all.set(name, (all.get(name) ?? 0) + by);
      return countOf(all, NONE, size);
    },
  };
}

function* namesIn(
  counts: ReadonlyMap<string, number>,
  more: ReadonlyMap<string, number>,
  has: (name: string) => boolean,
): Iterator<string> {
  for (const name of counts.keys()) if (has(name)) yield name;
  for (const name of more.keys()) if (!counts.has(name) && has(name)) yield name;
}
