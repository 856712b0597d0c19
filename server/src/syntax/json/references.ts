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
  /** Other names are fine too, nothing is known of them then: what to do about that. */
  readonly open?: string;
}

/** One problem for every reference whose kind is in `known` and whose name is not there. */
export function danglingReferences(
  references: readonly Reference[],
  known: Readonly<Record<string, Names>>,
): JsonProblem[] {
  return references.flatMap((reference): JsonProblem[] => {
    const target = known[reference.to];
    const { place, value } = reference.name;
    if (!target || !place) return [];
    const { names } = target;
    if (names.some((name) => same(name, value, target.ignoreCase))) return [];
    const near = nearest(value, names);
    const candidates = byNearness(value, names)
      .slice(0, 12)
      .map((candidate) => candidate.name);
    const problem = { id: 'files/dangling-reference', place, candidates } as const;
    if (target.open !== undefined) {
      const message = `No data ship for the ${target.noun} "${value}". ${target.open}${suggestion(near)}`;
      return [{ ...problem, severity: near.length > 0 ? 'warning' : 'info', message }];
    }
    const others = suggestion(near) || listed(target.noun, names);
    const message = `There is no ${target.noun} "${value}" ${target.where}.${others}`;
    return [{ ...problem, severity: 'error', message }];
  });
}

const same = (a: string, b: string, ignoreCase = false): boolean =>
  ignoreCase ? a.toUpperCase() === b.toUpperCase() : a === b;

function listed(noun: string, names: readonly string[]): string {
  if (names.length === 0) return ` There is no ${noun} at all.`;
  if (names.length > 12) return '';
  const quoted = names.map((name) => `"${name}"`);
  const list =
    quoted.length === 1 ? `${quoted[0]} only` : `${quoted.slice(0, -1).join(', ')} and ${quoted.at(-1)}`;
  return ` There is ${list}.`;
}
