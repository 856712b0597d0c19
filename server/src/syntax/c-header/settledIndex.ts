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

export function createIndex(settled: readonly Settled[]): SettledIndex {
  let lines: Map<string, Map<number, number[]>> | undefined;
  let lookers: Map<string, number[]> | undefined;
  const faulty = new Set<number>();
  for (let index = 0; index < settled.length; index++) {
    if ((settled[index] as Settled).problems.length > 0) faulty.add(index);
  }
  const note = (into: Map<string, number[]>, name: string, index: number): void => {
    const known = into.get(name);
    if (!known) into.set(name, [index]);
    else if (!known.includes(index)) known.push(index);
  };
  return {
    onLine(uri, line) {
      if (!lines) {
        lines = new Map();
        for (const [index, { draft }] of settled.entries()) {
          let file = lines.get(draft.home.uri);
          if (!file) {
            file = new Map();
            lines.set(draft.home.uri, file);
          }
          const there = file.get(draft.home.line);
          if (there) there.push(index);
          else file.set(draft.home.line, [index]);
        }
      }
      return lines.get(uri)?.get(line) ?? [];
    },
    lookingAt(name) {
      if (!lookers) {
        lookers = new Map();
        for (const [index, { looked }] of settled.entries()) {
          for (const other of looked) {
            const known = lookers.get(other);
            if (known) known.push(index);
            else lookers.set(other, [index]);
          }
        }
      }
      return lookers.get(name) ?? [];
    },
    faulty: () => faulty,
    update(index, { looked, problems }) {
      if (lookers) for (const name of looked) note(lookers, name, index);
      if (problems.length > 0) faulty.add(index);
      else faulty.delete(index);
    },
  };
}
