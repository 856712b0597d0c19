import type { Reference } from './load';
import { byNearness, nearest, suggestion } from './nearest';
import type { JsonProblem } from './problem';

/** Names that exist under one kind of reference. */
export interface Names {
  /** "connector", for messages. */
  readonly noun: string;
  /** Where they are: "in this board profile". */
  readonly where: string;
  readonly names: readonly string[];
  readonly ignoreCase?: boolean;
}

/** One problem for every reference whose kind is in `known` and whose name is not there. */
export function danglingReferences(
  references: readonly Reference[],
  known: Readonly<Record<string, Names>>,
): JsonProblem[] {
  return references.flatMap((reference) => {
    const target = known[reference.to];
    const { place, value } = reference.name;
    if (!target || !place) return [];
    const { names } = target;
    if (names.some((name) => same(name, value, target.ignoreCase))) return [];
    const near = nearest(value, names);
    const rest = byNearness(value, names).map((candidate) => candidate.name);
    const list = names.length > 0 && names.length <= 12 ? ` There is ${listed(names)}.` : '';
    const none = names.length === 0 ? ` There is no ${target.noun} at all.` : '';
    return [
      {
        id: 'files/dangling-reference',
        severity: 'error',
        place,
        message: `There is no ${target.noun} "${value}" ${target.where}.${suggestion(near) || list}${none}`,
        candidates: rest.slice(0, 12),
      } satisfies JsonProblem,
    ];
  });
}

const same = (a: string, b: string, ignoreCase = false): boolean =>
  ignoreCase ? a.toUpperCase() === b.toUpperCase() : a === b;

function listed(names: readonly string[]): string {
  const quoted = names.map((name) => `"${name}"`);
  return quoted.length === 1 ? `${quoted[0]} only` : `${quoted.slice(0, -1).join(', ')} and ${quoted.at(-1)}`;
}
