import type { Place } from '../model/place';
import { unitExists } from '../units/convert';
import type { Concept } from './concept';
import type { ConceptTable } from './concepts';

/** How one name of a settings file carries one concept, or a list of them. */
export interface NameSpec {
  readonly name: string;
  /** One id, or for lists the id of each item in order; '' for an item that carries no concept. */
  readonly concepts: readonly string[];
  readonly list: boolean;
  /** Unit the file writes it in; the concept's own unit when absent. */
  readonly unit?: string;
  /** Written number · scale = value in `unit`. */
  readonly scale: number;
  /** Text in the file → 'on', 'off', a choice's id, a curve's id, a pin or a number. */
  readonly tokens?: ReadonlyMap<string, string>;
  /** For switches and choices of two that the file tells by defining the name or not: the value when it is defined. */
  readonly definedMeans?: string;
  /** Text in the file that stands for "nothing here" ('none') or for a token. */
  readonly sentinel?: ReadonlyMap<string, string>;
  /** True when the firmware needs a power of two here, false when it does not; absent when that is not known. */
  readonly powerOfTwo?: boolean;
  /** Lists with fewer items than concepts: a fault when absent; else the last item counts for the rest, or the rest has none. */
  readonly short?: 'repeatLast' | 'allowed';
  /** Text of the value that counts when no line sets it. */
  readonly default?: string;
  readonly place?: Place;
}

/** A name that a version of the firmware gave up for another one. */
export interface Rename {
  readonly from: string;
  readonly to: string;
  readonly since?: string;
  readonly sense: 'same' | 'inverted';
  /** Unit of the old name, when it differs. */
  readonly unit?: string;
  readonly place?: Place;
}

export interface NameMapProblem {
  /** Path in the JSON, for instance ['names', 'qSteps', 'list', 2]. */
  readonly path: readonly (string | number)[];
  readonly place?: Place;
  readonly message: string;
}

export interface NameMap {
  readonly firmware?: string;
  readonly version?: string;
  /** True when no further name exists in this firmware. */
  readonly complete: boolean;
  readonly specs: ReadonlyMap<string, NameSpec>;
  /** Every name that the firmware reads, with a concept or without. */
  readonly known: ReadonlySet<string>;
  readonly renamed: readonly Rename[];
  readonly problems: readonly NameMapProblem[];
}

export type PlaceLookup = (path: readonly (string | number)[]) => Place | undefined;

/**
 * A name map from the parsed JSON of a `*.names.json`. Never throws: what cannot be used is left out and named in `problems`.
 * `placeOf` finds the text of a path, for problems and for "go to".
 */
export function readNameMap(
  json: unknown,
  concepts: ConceptTable,
  placeOf: PlaceLookup = () => undefined,
): NameMap {
  const problems: NameMapProblem[] = [];
  const problem = (path: readonly (string | number)[], message: string) =>
    problems.push({ path, message, place: placeOf(path) });
  const root = record(json);
  const specs = new Map<string, NameSpec>();
  for (const [name, value] of Object.entries(record(root.names))) {
    const path = ['names', name];
    const spec = readSpec(name, value, concepts, (tail, message) => problem([...path, ...tail], message));
    if (spec) specs.set(name, { ...spec, place: placeOf(path) });
  }
  const renamed = array(root.renamed).flatMap((value, index) =>
    readRename(value, placeOf(['renamed', index])),
  );
  const known = new Set(array(root.known).filter((name): name is string => typeof name === 'string'));
  for (const name of specs.keys()) known.add(name);
  return {
    firmware: text(root.firmware),
    version: text(root.version),
    complete: root.complete === true,
    specs,
    known,
    renamed,
    problems,
  };
}

type Report = (tail: readonly (string | number)[], message: string) => void;

function readSpec(
  name: string,
  value: unknown,
  concepts: ConceptTable,
  report: Report,
): NameSpec | undefined {
  const fields = typeof value === 'string' ? { concept: value } : record(value);
  const list = Array.isArray(fields.list);
  const ids = list ? array(fields.list).map((id) => text(id) ?? '') : [text(fields.concept) ?? ''];
  let sound = true;
  ids.forEach((id, index) => {
    if (list && id === '') return;
    const tail = list ? ['list', index] : typeof value === 'string' ? [] : ['concept'];
    if (id !== '' && concepts.has(id)) return;
    sound = false;
    report(tail, id === '' ? `"${name}" names no concept.` : `There is no concept "${id}".`);
  });
  if (!sound) return undefined;
  const first = ids.map((id) => concepts.get(id)).find((concept) => concept !== undefined);
  const unit = text(fields.unit);
  if (unit !== undefined && !fits(unit, ids, concepts)) {
    report(['unit'], `"${unit}" is no unit of ${first?.title ?? name}.`);
    return undefined;
  }
  const scale = fields.scale ?? 1;
  if (typeof scale !== 'number' || !Number.isFinite(scale) || scale === 0) {
    report(['scale'], 'A scale is a number other than 0.');
    return undefined;
  }
  const definedMeans = text(fields.definedMeans);
  if (definedMeans !== undefined && first && opposite(first, definedMeans) === undefined) {
    report(['definedMeans'], `"${definedMeans}" is no value of ${first.title} that has one opposite.`);
    return undefined;
  }
  const short = fields.short;
  return {
    name,
    concepts: ids,
    list,
    unit,
    scale,
    tokens: textMap(fields.tokens),
    definedMeans,
    sentinel: textMap(fields.sentinel),
    powerOfTwo: typeof fields.powerOfTwo === 'boolean' ? fields.powerOfTwo : undefined,
    short: short === 'repeatLast' || short === 'allowed' ? short : undefined,
    default: list ? undefined : text(fields.default),
  };
}

const fits = (unit: string, ids: readonly string[], concepts: ConceptTable): boolean =>
  ids.every((id) => {
    const quantity = concepts.get(id)?.quantity;
    return id === '' || (quantity !== undefined && unitExists(unit, quantity));
  });

/** The other value of a switch ('on', 'off') or of a choice of two. */
export function opposite(concept: Concept, value: string): string | undefined {
  const values = concept.type === 'switch' ? ['on', 'off'] : (concept.choices ?? []).map(({ id }) => id);
  if (values.length !== 2 || !values.includes(value)) return undefined;
  return values.find((other) => other !== value);
}

function readRename(value: unknown, place: Place | undefined): Rename[] {
  const { from, to, since, sense, unit } = record(value);
  if (typeof from !== 'string' || typeof to !== 'string') return [];
  return [
    {
      from,
      to,
      since: text(since),
      sense: sense === 'inverted' ? 'inverted' : 'same',
      unit: text(unit),
      place,
    },
  ];
}

function textMap(value: unknown): ReadonlyMap<string, string> | undefined {
  const entries = Object.entries(record(value)).filter(
    (entry): entry is [string, string] => typeof entry[1] === 'string',
  );
  return entries.length > 0 ? new Map(entries) : undefined;
}

const record = (value: unknown): Readonly<Record<string, unknown>> =>
  typeof value === 'object' && value !== null && !Array.isArray(value)
    ? (value as Record<string, unknown>)
    : {};

const array = (value: unknown): readonly unknown[] => (Array.isArray(value) ? value : []);

const text = (value: unknown): string | undefined => (typeof value === 'string' ? value : undefined);
