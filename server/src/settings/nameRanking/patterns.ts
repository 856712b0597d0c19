import type { Concept } from '../concept';
import type { ConceptTable } from '../concepts';
import { WORDS, weighted } from './vocabulary';

export interface Feature {
  readonly sense: string;
  /** How much the setting is told by it, 0 to 1. */
  readonly weight: number;
  /** The weight by how rare the sense is. */
  readonly worth: number;
}

/** Concepts that differ in axis, tool or end only, and the senses that a name of theirs is made of. */
export interface Pattern {
  readonly key: string;
  readonly group: string;
  /** Which part of the machine it belongs to: 'bed.heater.', 'endstop.'. */
  readonly part: string;
  readonly concepts: readonly Concept[];
  /** Each is a way to say it; the part's own senses are in all of them. */
  readonly ways: readonly (readonly Feature[])[];
  /** Set for settings that one list holds together, in its order; `concepts` is empty then. */
  readonly series?: readonly Pattern[];
  readonly slots: { readonly axis: boolean; readonly end: boolean; readonly tool: boolean };
}

export interface PatternTable {
  readonly all: readonly Pattern[];
  /** Patterns that have a sense. */
  having(sense: string): readonly Pattern[];
  /** How telling a sense is: rare ones count more. About 1 on average. */
  rarity(sense: string): number;
  patternOf(conceptId: string): Pattern | undefined;
}

const tables = new WeakMap<ConceptTable, PatternTable>();

export function patternTable(concepts: ConceptTable): PatternTable {
  const known = tables.get(concepts);
  if (known) return known;
  const table = buildTable(concepts);
  tables.set(concepts, table);
  return table;
}

function buildTable(concepts: ConceptTable): PatternTable {
  const groups = new Map<string, Concept[]>();
  for (const concept of concepts.values()) {
    const key = concept.pattern.replace('{link}', concept.parts.link ?? '{link}');
    const others = groups.get(key);
    if (others) others.push(concept);
    else groups.set(key, [concept]);
  }
  const single = [...groups].map(([key, members]) => patternFrom(key, members));
  const plain = [...single, ...WORDS.together.flatMap((each) => seriesFrom(each, single))];
  const bySense = new Map<string, Pattern[]>();
  for (const pattern of plain) {
    for (const sense of new Set(pattern.ways.flatMap((way) => way.map((feature) => feature.sense)))) {
      const others = bySense.get(sense);
      if (others) others.push(pattern);
      else bySense.set(sense, [pattern]);
    }
  }
  const rarity = new Map(
    [...bySense].map(([sense, { length }]) => [
      sense,
      clamp(Math.log(1 + plain.length / length) / Math.log(1 + plain.length / 6)),
    ]),
  );
  const all = plain.map((pattern) => ({
    ...pattern,
    ways: pattern.ways.map((way) =>
      way.map((feature) => ({ ...feature, worth: feature.weight * (rarity.get(feature.sense) ?? 1) })),
    ),
  }));
  const byKey = new Map(all.map((pattern) => [pattern.key, pattern]));
  for (const [sense, patterns] of bySense)
    bySense.set(
      sense,
      patterns.map(({ key }) => byKey.get(key) as Pattern),
    );
  const byConcept = new Map(
    all.flatMap((pattern) => pattern.concepts.map(({ id }) => [id, pattern] as const)),
  );
  return {
    all,
    having: (sense) => bySense.get(sense) ?? [],
    rarity: (sense) => rarity.get(sense) ?? 1,
    patternOf: (id) => byConcept.get(id),
  };
}

const clamp = (value: number): number => Math.min(1.6, Math.max(0.7, value));

function patternFrom(key: string, concepts: readonly Concept[]): Pattern {
  const part = WORDS.parts.find(({ ids }) => key.startsWith(ids));
  const shared = featuresOf(part?.senses ?? '');
  const [first] = concepts;
  return {
    key,
    group: first?.group ?? '',
    part: part?.ids ?? '',
    concepts,
    ways: waysOf(key, first).map((way) => merged(shared, featuresOf(way))),
    slots: {
      axis: /\{axis\}/i.test(key),
      end: key.includes('{end}'),
      tool: key.includes('{n}'),
    },
  };
}

/** A way may ask for more of a sense than its part does. */
const merged = (shared: readonly Feature[], own: readonly Feature[]): Feature[] => [
  ...shared.filter(({ sense }) => !own.some((feature) => feature.sense === sense)),
  ...own,
];

function seriesFrom(
  { ids, senses }: { readonly ids: readonly string[]; readonly senses: string },
  single: readonly Pattern[],
): Pattern[] {
  const series = ids.flatMap((id) => single.filter(({ key }) => key === id));
  const [first] = series;
  if (!first || series.length < ids.length) return [];
  return [{ ...first, key: ids.join(' '), concepts: [], series, ways: [featuresOf(senses)] }];
}

const featuresOf = (text: string): Feature[] =>
  text
    .split(' ')
    .filter((each) => each !== '')
    .map((each) => {
      const [sense, weight] = weighted(each);
      return { sense, weight, worth: weight };
    });

/** By the whole id, by an id with gaps, or by its end; a concept that the words do not know yet goes by its own title. */
function waysOf(key: string, concept: Concept | undefined): readonly string[] {
  const exact = WORDS.settings[key];
  if (exact) return exact;
  for (const [id, ways] of Object.entries(WORDS.settings)) {
    if (id.includes('*') ? matches(key, id) : key.endsWith(`.${id}`)) return ways;
  }
  return [(concept?.title ?? '').toLowerCase().replace(/[^a-z ]/g, '')];
}

function matches(key: string, id: string): boolean {
  const [start = '', end = ''] = id.split('*');
  return key.startsWith(start) && key.endsWith(end) && key.length > start.length + end.length;
}
