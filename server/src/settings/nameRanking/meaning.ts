import type { Entry } from '../../syntax/entry';
import { CONCEPTS, type ConceptTable } from '../concepts';
import { readEntry } from '../entryReadings';
import { type NameSpec, readNameMap } from '../nameMap';
import type { Candidate } from './score';

/** What a name map writes behind a name. */
export type MapEntry = string | Readonly<Record<string, unknown>>;

/** A reading as the name map would write it: the id alone, or an object with list, unit, scale and tokens. */
export function mapEntryOf(
  { concepts, fit, pattern }: Pick<Candidate, 'concepts' | 'fit' | 'pattern'>,
  list: boolean,
): MapEntry {
  const { unit, scale, tokens, definedMeans } = fit;
  const own = pattern.concepts[0]?.unit;
  const rest = {
    ...(unit !== undefined && unit !== own && { unit }),
    ...(scale !== undefined && { scale: Number(scale.toPrecision(15)) }),
    ...(tokens && { tokens }),
    ...(definedMeans !== undefined && { definedMeans }),
  };
  if (list) return { list: [...concepts], ...rest };
  const [concept = ''] = concepts;
  return Object.keys(rest).length > 0 ? { concept, ...rest } : concept;
}

/** True when the value is written as a list and each item has a meaning of its own. */
export const isList = ({ value }: Entry, concepts: readonly string[]): boolean =>
  value.kind === 'list' && (concepts.length > 1 || value.items.length === 1);

/** The spec that a map with this entry would give; undefined when no map may say that. */
export function specOf(
  name: string,
  entry: MapEntry,
  concepts: ConceptTable = CONCEPTS,
): NameSpec | undefined {
  return readNameMap({ names: { [name]: entry } }, concepts).specs.get(name);
}

/** What is wrong with the value once its name means that; undefined when all is well. */
export function faultOf(entry: Entry, spec: NameSpec, concepts: ConceptTable = CONCEPTS): string | undefined {
  for (const { reading } of readEntry(entry, spec, concepts)) {
    if (reading.value.kind === 'bad') return reading.value.problem.message;
  }
  return undefined;
}
