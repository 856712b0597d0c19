import type { Concept } from '../../settings/concept';
import { CONCEPTS } from '../../settings/concepts';
import {
  type Candidate,
  faultOf,
  isList,
  type MapEntry,
  mapEntryOf,
  specOf,
} from '../../settings/nameRanking';
import type { UnknownName } from './unknownNames';

/** One meaning that a name could be taught. */
export interface Meaning {
  /** Ids with what they have in common written once: "axis.{x, y, z}.maxSpeed (mm/min)". */
  readonly label: string;
  readonly title: string;
  readonly explain: string;
  /** What the name map would say. */
  readonly entry: MapEntry;
  readonly reasons: readonly string[];
  /** What would be wrong with the value then. */
  readonly fault?: string;
}

/** The likeliest meanings, best first. */
export const likelyMeanings = ({ entry, index, ranking }: UnknownName, most: number): readonly Meaning[] =>
  ranking
    .candidates(index)
    .slice(0, most)
    .map((candidate) => meaningOf(entry, candidate, ranking.reasons(index, candidate)));

/** Every concept there is: the likely ones first, the rest in the order of the concepts. */
export function allMeanings(unknown: UnknownName): readonly Meaning[] {
  const { entry, index, ranking } = unknown;
  const likely = likelyMeanings(unknown, Number.POSITIVE_INFINITY);
  const seen = new Set(likely.map(({ label }) => label));
  const rest: Meaning[] = [];
  for (const id of CONCEPTS.keys()) {
    const candidate = ranking.as(index, id);
    const meaning = candidate && meaningOf(entry, candidate, []);
    if (!meaning || seen.has(meaning.label)) continue;
    seen.add(meaning.label);
    rest.push(meaning);
  }
  return [...likely, ...rest];
}

function meaningOf(entry: UnknownName['entry'], candidate: Candidate, reasons: readonly string[]): Meaning {
  const written = mapEntryOf(candidate, isList(entry, candidate.concepts));
  const concepts = candidate.concepts.flatMap((id) => CONCEPTS.get(id) ?? []);
  const spec = specOf(entry.name, written);
  const fault = spec && faultOf(entry, spec);
  return {
    label: labelOf(candidate.concepts, unitOf(candidate, concepts[0])),
    title:
      concepts.length > 1
        ? `${concepts[0]?.title ?? ''} and ${concepts.length - 1} more`
        : (concepts[0]?.title ?? ''),
    explain: concepts[0]?.explain ?? '',
    entry: written,
    reasons,
    ...(fault !== undefined && { fault }),
  };
}

export const unitOf = ({ fit }: Candidate, concept: Concept | undefined): string | undefined =>
  fit.scale !== undefined ? `a share of ${Math.round(100 / fit.scale)}` : (fit.unit ?? concept?.unit);

/** "axis.{x, y}.maxSpeed (mm/s)". */
export function labelOf(ids: readonly string[], unit?: string): string {
  const [first = ''] = ids.filter((id) => id !== '');
  const start = common(
    ids.filter((id) => id !== ''),
    first,
    false,
  );
  const end = common(
    ids.filter((id) => id !== '').map((id) => id.slice(start.length)),
    first.slice(start.length),
    true,
  );
  const middle = ids.map((id) => (id === '' ? '–' : id.slice(start.length, id.length - end.length)));
  const text = ids.length === 1 ? first : `${start}{${middle.join(', ')}}${end}`;
  return unit === undefined ? text : `${text} (${unit})`;
}

/** What all texts begin, or end, with. */
function common(texts: readonly string[], first: string, atEnd: boolean): string {
  for (let length = first.length; length > 0; length--) {
    const part = atEnd ? first.slice(-length) : first.slice(0, length);
    if (texts.every((text) => (atEnd ? text.endsWith(part) : text.startsWith(part)) && text.length >= length))
      return part;
  }
  return '';
}
