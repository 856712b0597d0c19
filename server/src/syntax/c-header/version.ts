import type { Changes } from '../entry';

/** Stands for one reading, and knows by which edits of one structure it followed from earlier ones. */
export interface Version {
  readonly structure: object;
  last?: { readonly base: Version; readonly changes: Changes; readonly length: number };
}

/** Edits that are remembered: a computation that missed more of them looks at everything. */
const MOST_EDITS = 64;

export const firstVersion = (): Version => ({ structure: {} });

export function nextVersion(base: Version, changes: Changes): Version {
  const length = (base.last?.length ?? 0) + 1;
  if (length <= MOST_EDITS) return { structure: base.structure, last: { base, changes, length } };
  // What came before the last one may be forgotten, or it would never be.
  base.last = undefined;
  return { structure: base.structure, last: { base, changes, length: 1 } };
}

export function changesSince(version: Version, earlier: object): Changes | undefined {
  const entries = new Set<number>();
  const uses = new Set<string>();
  for (let at: Version | undefined = version; at; at = at.last?.base) {
    if (at === earlier) return { entries, uses };
    for (const index of at.last?.changes.entries ?? []) entries.add(index);
    for (const name of at.last?.changes.uses ?? []) uses.add(name);
  }
  return undefined;
}
