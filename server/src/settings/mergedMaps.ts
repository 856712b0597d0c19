import type { ConceptTable } from './concepts';
import type { NameMap, NameSpec, Rename } from './nameMap';
import { neutralMap } from './neutralNames';

let lastMerged: { readonly maps: readonly NameMap[]; readonly merged: MergedMaps } | undefined;

/** Maps change seldom, and merging them costs more than reading a value. */
export function mergedMaps(ownMaps: readonly NameMap[], concepts: ConceptTable): MergedMaps {
  const neutral = neutralMap(concepts);
  const maps = [neutral, ...ownMaps];
  const same =
    lastMerged?.maps.length === maps.length && maps.every((map, index) => map === lastMerged?.maps[index]);
  if (lastMerged && same) return lastMerged.merged;
  lastMerged = { maps, merged: mergeMaps(maps, neutral) };
  return lastMerged.merged;
}

/** Stands for names that are known to carry no concept. */
export const NO_CONCEPT = 'no concept';

export interface MergedMaps {
  readonly specs: ReadonlyMap<string, NameSpec>;
  /** The spec under which a concept is written: the last map's that has one. */
  readonly specOf: ReadonlyMap<string, NameSpec>;
  /** Concepts that the project's own maps name. */
  readonly own: ReadonlySet<string>;
  readonly known: ReadonlySet<string>;
  /** Every name that a map knows, with its spec if it has one. */
  readonly meaning: ReadonlyMap<string, NameSpec | typeof NO_CONCEPT>;
  readonly oldNames: ReadonlySet<string>;
  readonly renamed: readonly Rename[];
  readonly complete: boolean;
  readonly version?: string;
}

function mergeMaps(maps: readonly NameMap[], neutral: NameMap): MergedMaps {
  const own = new Set<string>();
  const specs = new Map<string, NameSpec>();
  const specOf = new Map<string, NameSpec>();
  const known = new Set<string>();
  for (const map of maps) {
    for (const name of map.known) known.add(name);
    const ownConcepts = new Set<string>();
    for (const [name, spec] of map.specs) {
      specs.set(name, spec);
      for (const id of spec.concepts) {
        // Within one map a name of its own is better to write than a place in a list, and the first name better than an alias.
        if (id === '' || (ownConcepts.has(id) && (spec.list || !specOf.get(id)?.list))) continue;
        ownConcepts.add(id);
        if (map !== neutral) own.add(id);
        specOf.set(id, spec);
      }
    }
  }
  const renamed = maps.flatMap((map) => map.renamed);
  const oldNames = new Set(renamed.map(({ from }) => from));
  const silent = [...known, ...oldNames].map((name) => [name, NO_CONCEPT] as const);
  return {
    specs,
    specOf,
    known,
    meaning: new Map<string, NameSpec | typeof NO_CONCEPT>([...silent, ...specs]),
    own,
    oldNames,
    renamed,
    complete: maps.some((map) => map.complete),
    version: maps.findLast((map) => map.version !== undefined)?.version,
  };
}
