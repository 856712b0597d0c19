import type { Concept } from './concept';
import type { ConceptTable } from './concepts';
import type { NameMap, NameSpec } from './nameMap';

/** Unit words that are spelled out in a name; all others are written in capitals as they are. */
const UNIT_WORDS: Readonly<Record<string, string>> = {
  '°C': 'CELSIUS',
  K: 'KELVIN',
  Ω: 'OHM',
  µs: 'US',
  B: 'BYTES',
  Bd: 'BAUD',
  '%': 'PERCENT',
};

/** Suffix that a unit gives a name: "mm/s²" → "MM_PER_S2", "°C" → "CELSIUS", "" → "". */
export const unitSuffix = (unit: string | undefined): string =>
  (unit ?? '')
    .split('/')
    .map((word) => UNIT_WORDS[word] ?? word.replace('²', '2').replace('³', '3').toUpperCase())
    .join('_PER_');

/** "homePosition" → "HOME_POSITION"; dots become underscores. Digits stay with the word before them. */
export const upperSnake = (id: string): string =>
  id
    .replace(/([a-z0-9])([A-Z])/g, '$1_$2')
    .replace(/[.\-\s]+/g, '_')
    .toUpperCase();

/**
 * The shipped name of a concept: its id in upper snake case with its unit behind, unless the id ends in the unit already
 * (AXIS_X_STEPS_PER_MM, LINK_HOST_BAUD).
 */
export function neutralName(concept: Pick<Concept, 'id' | 'unit'>): string {
  const name = upperSnake(concept.id);
  const suffix = unitSuffix(concept.unit);
  return suffix === '' || name === suffix || name.endsWith(`_${suffix}`) ? name : `${name}_${suffix}`;
}

const neutralMaps = new WeakMap<ConceptTable, NameMap>();

/** The shipped name map: one name for each concept, by the rule above. Not complete: it belongs to no one firmware. */
export function neutralMap(concepts: ConceptTable): NameMap {
  const known = neutralMaps.get(concepts);
  if (known) return known;
  const specs = new Map<string, NameSpec>();
  for (const concept of concepts.values()) {
    const name = neutralName(concept);
    specs.set(name, { name, concepts: [concept.id], list: false, unit: concept.unit, scale: 1 });
  }
  const map: NameMap = { complete: false, specs, known: new Set(specs.keys()), renamed: [], problems: [] };
  neutralMaps.set(concepts, map);
  return map;
}

/** Documentation of the shipped naming: every concept with its name, in the order of the concept files. */
export const neutralNames = (
  concepts: ConceptTable,
): readonly { readonly concept: Concept; readonly name: string }[] =>
  [...concepts.values()].map((concept) => ({ concept, name: neutralName(concept) }));
