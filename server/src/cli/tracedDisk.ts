import type { CheckTrace, PathKind } from '../kept/checkAnswer';
import { hashOf } from '../kept/hash';
import type { Disk } from './diskHost';
import { pathOf } from './paths';

/** A disk that takes down all that it is asked. */
export interface TracedDisk {
  readonly disk: Disk;
  /** Nothing when an answer may be another the next time, though the disk is as it was. */
  trace(): CheckTrace | undefined;
}

export function traced(inner: Disk): TracedDisk {
  const reads = new Map<string, string | undefined>();
  const kinds = new Map<string, PathKind>();
  let isTorn = false;
  const note = <T>(notes: Map<string, T>, key: string, value: T): T => {
    if (notes.has(key) && notes.get(key) !== value) isTorn = true;
    notes.set(key, value);
    return value;
  };
  // All that a host can be asked, so that nothing new goes by unnoticed.
  const disk: Required<Disk> = {
    failures: inner.failures,
    ignoreCase: inner.ignoreCase === true,
    read: async (uri) => note(reads, uri, await inner.read(uri)),
    kindOf: async (path) => note(kinds, path, await inner.kindOf(path)),
  };
  return {
    disk,
    trace: () =>
      isTorn || inner.failures.size > 0
        ? undefined
        : {
            reads: [...reads].map(([uri, text]) => [pathOf(uri), text === undefined ? null : hashOf(text)]),
            kinds: [...kinds],
          },
  };
}
