import type { Node } from 'jsonc-parser';
import type { Fact, NumberFact, Quality } from '../../model/fact';
import type { Interval } from '../../model/interval';
import type { Place } from '../../model/place';
import { type Kind, kindRecord, parseQuantity } from '../../units';
import { nearest, suggestion } from './nearest';
import { type JsonProblem, sortProblems } from './problem';
import { type Member, membersOf, placeOf, readJson } from './read';
import { resolveSchema, type Schema } from './schema';

/** A name in the text that must exist elsewhere. */
export interface Reference {
  /** What it names, as the schema's `reference` says: 'connectors', 'board.outputs', 'curves' … */
  readonly to: string;
  readonly name: Fact<string>;
}

export interface Loaded<T> {
  /** Absent when nothing could be read. Broken parts are missing from it, the rest is there. */
  readonly value?: T;
  readonly problems: readonly JsonProblem[];
  readonly references: readonly Reference[];
}

export interface LoadOptions {
  /** Ends every label: "rated current of motor x (machine sheet)". */
  readonly source?: string;
  /** The text ships with Fettle: facts get no place, and the quality "datasheet". */
  readonly shipped?: boolean;
  /**
   * Voltage behind a rail's name. `undefined`: there is no such rail. `null`: there is, its voltage is not known here.
   * Without it every name is taken as unknown yet.
   */
  readonly rail?: (name: string) => NumberFact | null | undefined;
}

/**
 * Reads JSON text into the value that its schema describes. Never throws for bad text.
 *
 * - physical values become `NumberFact` (SI units, temperatures in °C), other leaves `Fact<T>`;
 * - an object with fixed members becomes an object with `place` (its key, or its whole text in a list) and, as an entry of
 *   a map, `name`; absent maps and lists of objects are empty, other absent members `undefined`;
 * - an object with free keys becomes a `Map` in the file's order;
 * - a list becomes an array, or one fact when the schema says `"as": "fact"`.
 *
 * A part that is wrong is left out and reported at its exact place; so is an object that lacks a member it cannot be without,
 * except the root.
 */
export function loadBySchema<T>(
  schema: Schema,
  uri: string,
  text: string,
  options: LoadOptions = {},
): Loaded<T> {
  const json = readJson(uri, text);
  if (!json.root) return { problems: json.problems, references: [] };
  const loader = new Loader(schema, uri, text, options, [...json.problems]);
  const value = loader.root(json.root) as T | undefined;
  const problems = loader.problems.filter((problem) => !followsFrom(problem, json.problems));
  return { value, problems: sortProblems(problems), references: loader.references };
}

/** What is wrong inside a half-typed text is no second mistake. */
const followsFrom = (problem: JsonProblem, ofText: readonly JsonProblem[]): boolean =>
  !ofText.includes(problem) &&
  ofText.some(
    ({ id, place }) =>
      id === 'files/syntax' && problem.place.start < place.end && place.start < problem.place.end,
  );

/** Where a value stands: for labels and places. */
interface Spot {
  readonly key?: Node;
  readonly name?: string;
  /** True for an entry of a map, which gets its key as `name`. */
  readonly entry?: boolean;
  /** Words for what contains it: "motor x". */
  readonly owner?: string;
}

const NOTHING = Symbol('left out');
const QUALITIES: readonly Quality[] = ['measured', 'datasheet', 'estimated'];
const isQuality = (value: unknown): value is Quality => QUALITIES.some((quality) => quality === value);

class Loader {
  readonly references: Reference[] = [];

  constructor(
    private readonly schema: Schema,
    private readonly uri: string,
    private readonly text: string,
    private readonly options: LoadOptions,
    readonly problems: JsonProblem[],
  ) {}

  root(node: Node): unknown {
    const value = this.value(node, this.schema, {});
    return value === NOTHING ? undefined : value;
  }

  private value(node: Node, raw: Schema, spot: Spot): unknown {
    const schema = resolveSchema(raw, this.schema);
    if (schema.as === 'extension') return NOTHING;
    if (schema.quantity) return this.quantity(node, schema, schema.quantity, spot);
    if (schema.as === 'address') return this.address(node, schema, spot);
    const fitting = schema.anyOf ? this.alternative(node, schema) : schema;
    if (!fitting || !this.typeFits(node, fitting)) return this.wrongType(node, schema);
    if (fitting.enum) return this.choice(node, fitting, spot);
    if (node.type === 'object') return this.object(node, fitting, spot);
    if (node.type === 'array') return this.list(node, fitting, spot);
    if (node.type === 'number' && !this.inRange(node, fitting)) return NOTHING;
    if (node.type === 'string' && !this.matches(node, fitting)) return NOTHING;
    return this.leaf(node, fitting, node.value, spot);
  }

  private alternative(node: Node, schema: Schema): Schema | undefined {
    for (const option of schema.anyOf ?? []) {
      const resolved = resolveSchema(option, this.schema);
      if (this.typeFits(node, resolved))
        return { ...resolved, title: schema.title, noun: schema.noun ?? resolved.noun };
    }
    return undefined;
  }

  private typeFits(node: Node, schema: Schema): boolean {
    const types = typeof schema.type === 'string' ? [schema.type] : (schema.type ?? []);
    if (types.length === 0) return true;
    if (node.type === 'number' && types.includes('integer')) return Number.isInteger(node.value);
    return types.includes(node.type);
  }

  private wrongType(node: Node, schema: Schema): typeof NOTHING {
    return this.fail(
      'files/wrong-shape',
      node,
      `${this.called(schema)} is ${wanted(schema, this.schema)}, not ${found(node)}.`,
    );
  }

  private choice(node: Node, schema: Schema, spot: Spot): unknown {
    const choices = schema.enum ?? [];
    if (choices.includes(node.value)) return this.leaf(node, schema, node.value, spot);
    const words = choices.map((choice) => (typeof choice === 'string' ? `"${choice}"` : String(choice)));
    const near = nearest(String(node.value), choices.map(String));
    const candidates = [...near, ...choices.map(String).filter((choice) => !near.includes(choice))];
    const message = `${this.called(schema)} is one of ${words.join(', ')}.${suggestion(near)}`;
    return this.fail('files/wrong-shape', node, message, candidates);
  }

  private inRange(node: Node, schema: Schema): boolean {
    const { minimum = Number.NEGATIVE_INFINITY, maximum = Number.POSITIVE_INFINITY } = schema;
    const value = Number(node.value);
    if (Number.isFinite(value) && value >= minimum && value <= maximum) return true;
    const limit = value < minimum ? `at least ${minimum}` : `at most ${Math.min(maximum, Number.MAX_VALUE)}`;
    this.fail('files/wrong-shape', node, `${this.called(schema)} is ${limit}.`);
    return false;
  }

  private matches(node: Node, schema: Schema): boolean {
    if (schema.pattern === undefined || new RegExp(schema.pattern, 'u').test(String(node.value))) return true;
    this.fail(
      'files/wrong-shape',
      node,
      `"${short(String(node.value))}" is no ${lowerFirst(schema.title ?? 'value of this kind')}.`,
    );
    return false;
  }

  private leaf(node: Node, schema: Schema, value: unknown, spot: Spot): unknown {
    if (schema.as === 'plain') return value;
    const fact = this.fact(node, schema, value, spot);
    if (schema.reference && typeof value === 'string') {
      this.references.push({ to: schema.reference, name: { ...fact, value } });
    }
    return fact;
  }

  private fact<V>(node: Node, schema: Schema, value: V, spot: Spot): Fact<V> {
    return {
      value,
      place: this.options.shipped ? undefined : placeOf(this.uri, node),
      quality: this.options.shipped ? 'datasheet' : 'stated',
      label: this.label(schema, spot),
    };
  }

  private label(schema: Schema, spot: Spot): string {
    const title = lowerFirst(schema.title ?? spot.name ?? 'value');
    const owner = spot.owner ? ` of ${spot.owner}` : '';
    const source = this.options.source ? ` (${this.options.source})` : '';
    return `${title}${owner}${source}`;
  }

  private object(node: Node, schema: Schema, spot: Spot): unknown {
    if (!schema.properties) return this.map(node, schema, spot);
    const owner = ownerOf(schema, spot);
    const result: Record<string, unknown> = this.emptyMembers(schema);
    if (!this.options.shipped) result.place = this.spotPlace(node, spot);
    if (spot.entry && !schema.properties.name) result.name = spot.name;
    for (const member of membersOf(node)) {
      const inner = Object.hasOwn(schema.properties, member.name)
        ? schema.properties[member.name]
        : undefined;
      if (!inner) this.unknownKey(member, schema);
      else if (member.value) {
        const value = this.value(member.value, inner, { key: member.key, name: member.name, owner });
        if (value !== NOTHING) result[member.name] = value;
      }
    }
    this.required(node, schema, spot);
    const whole = !node.parent || (schema.required ?? []).every((name) => result[name] !== undefined);
    return whole ? result : NOTHING;
  }

  private spotPlace(node: Node, spot: Spot): Place {
    if (spot.key) return placeOf(this.uri, spot.key);
    if (node.parent) return placeOf(this.uri, node);
    return { uri: this.uri, start: node.offset, end: Math.min(node.offset + 1, this.text.length) };
  }

  private emptyMembers(schema: Schema): Record<string, unknown> {
    const members: Record<string, unknown> = {};
    for (const [name, type] of collections(schema, this.schema))
      members[name] = type === 'array' ? [] : new Map();
    return members;
  }

  private required(node: Node, schema: Schema, spot: Spot): void {
    const names = new Set(membersOf(node).map((member) => member.name));
    for (const name of schema.required ?? []) {
      if (names.has(name)) continue;
      const place = spot.key
        ? placeOf(this.uri, spot.key)
        : { uri: this.uri, start: node.offset, end: node.offset + 1 };
      this.problems.push({
        id: 'files/wrong-shape',
        severity: 'error',
        place,
        message: `"${name}" is missing here.`,
      });
    }
  }

  private map(node: Node, schema: Schema, spot: Spot): ReadonlyMap<string, unknown> {
    const values = new Map<string, unknown>();
    const inner = typeof schema.additionalProperties === 'object' ? schema.additionalProperties : undefined;
    const noun = inner ? resolveSchema(inner, this.schema).noun : undefined;
    for (const member of membersOf(node)) {
      if (!inner || !member.value || !this.keyFits(member, schema)) continue;
      const owner = noun ? `${noun} ${member.name}` : spot.owner;
      const value = this.value(member.value, inner, {
        key: member.key,
        name: member.name,
        entry: true,
        owner,
      });
      if (value !== NOTHING) values.set(member.name, value);
    }
    return values;
  }

  private keyFits(member: Member, schema: Schema): boolean {
    const { pattern } = schema.propertyNames ?? {};
    if (pattern === undefined || new RegExp(pattern, 'u').test(member.name)) return true;
    const message = `"${short(member.name)}" cannot be a name here: ${schema.propertyNames?.description ?? pattern}.`;
    this.fail('files/wrong-shape', member.key, message);
    return false;
  }

  private list(node: Node, schema: Schema, spot: Spot): unknown {
    const inner = schema.items ?? {};
    const plain = schema.as === 'fact' || schema.as === 'plain';
    const items = node.children ?? [];
    if (items.length < (schema.minItems ?? 0)) {
      return this.fail(
        'files/wrong-shape',
        node,
        `${this.called(schema)} needs at least ${schema.minItems} entries.`,
      );
    }
    const values: unknown[] = [];
    for (const item of items) {
      const value = this.value(item, plain ? { ...inner, as: 'plain' } : inner, {
        owner: spot.owner,
        name: spot.name,
      });
      if (value !== NOTHING) values.push(value);
    }
    if (schema.as !== 'fact') return values;
    if (values.length < items.length) return NOTHING;
    return this.fact(node, schema, values, spot);
  }

  private quantity(node: Node, schema: Schema, kind: Kind, spot: Spot): NumberFact | typeof NOTHING {
    if (node.type === 'string') return this.quantityText(node, schema, kind, spot);
    if (node.type === 'number' && kindRecord(kind).bare) return this.bareNumber(node, schema, spot);
    if (node.type === 'object') return this.graded(node, schema, kind, spot);
    const { title, example } = kindRecord(kind);
    if (node.type === 'number') {
      return this.fail(
        'files/unit',
        node,
        `The unit of this ${title} is missing. Write it as text, like "${example}".`,
      );
    }
    return this.fail(
      'files/wrong-shape',
      node,
      `${this.called(schema)} is a ${title} such as "${example}", not ${found(node)}.`,
    );
  }

  private bareNumber(node: Node, schema: Schema, spot: Spot): NumberFact | typeof NOTHING {
    const value = Number(node.value);
    if (Number.isFinite(value)) return this.numberFact(node, schema, spot, exactly(value));
    return this.fail('files/unit', node, 'This number is too large to compute with.');
  }

  private quantityText(node: Node, schema: Schema, kind: Kind, spot: Spot): NumberFact | typeof NOTHING {
    const text = String(node.value);
    const rail = schema.as === 'voltageOrRail' ? this.railVoltage(node, text, schema, spot) : undefined;
    if (rail) return rail;
    const parsed = parseQuantity(text, kind);
    if (parsed.ok) return this.numberFact(node, schema, spot, parsed.value);
    this.problems.push({
      id: 'files/unit',
      severity: 'error',
      place: this.inside(node, text, parsed.start, parsed.end),
      message: parsed.message,
    });
    return NOTHING;
  }

  /** A rail's name wins over the voltage that it may look like; a text that begins like a number is no unknown name. */
  private railVoltage(
    node: Node,
    text: string,
    schema: Schema,
    spot: Spot,
  ): NumberFact | typeof NOTHING | undefined {
    const voltage = this.options.rail?.(text);
    const label = this.label(schema, spot);
    if (voltage) return { ...voltage, place: placeOf(this.uri, node), label, text };
    if (voltage === null) return NOTHING;
    if (/^\s*([-+−.≤≥<>~\d]|$)/u.test(text)) return undefined;
    if (this.options.rail) this.references.push({ to: 'rails', name: this.fact(node, schema, text, spot) });
    return NOTHING;
  }

  private graded(node: Node, schema: Schema, kind: Kind, spot: Spot): NumberFact | typeof NOTHING {
    const members = membersOf(node);
    const member = (name: string) => members.find((candidate) => candidate.name === name)?.value;
    for (const candidate of members) {
      if (!['value', 'quality', 'source'].includes(candidate.name)) {
        this.unknownKey(candidate, { properties: { value: {}, quality: {}, source: {} } });
      }
    }
    const value = member('value');
    if (!value) return this.fail('files/wrong-shape', node, '"value" is missing here.');
    const fact =
      value.type === 'object'
        ? this.wrongType(value, { ...schema, anyOf: undefined, type: 'string' })
        : this.quantity(value, schema, kind, spot);
    if (fact === NOTHING || typeof fact === 'symbol') return NOTHING;
    const quality = member('quality')?.value;
    if (member('quality') && !isQuality(quality)) {
      this.fail(
        'files/wrong-shape',
        member('quality') ?? node,
        `The quality is one of ${QUALITIES.map((q) => `"${q}"`).join(', ')}.`,
        QUALITIES,
      );
    }
    const source = member('source')?.value;
    return {
      ...fact,
      quality: isQuality(quality) ? quality : fact.quality,
      source: typeof source === 'string' ? source : fact.source,
    };
  }

  private address(node: Node, schema: Schema, spot: Spot): NumberFact | typeof NOTHING {
    const text = String(node.value);
    const value = /^(0x[0-9a-f]{1,12}|\d{1,15})$/i.test(text) ? Number(text) : Number.NaN;
    if (Number.isFinite(value)) return this.numberFact(node, schema, spot, exactly(value));
    return this.fail('files/wrong-shape', node, `${this.called(schema)} is an address such as "0x08000000".`);
  }

  private numberFact(node: Node, schema: Schema, spot: Spot, value: Interval): NumberFact {
    return { ...this.fact(node, schema, value, spot), text: String(node.value) };
  }

  /** Offsets in the decoded string are offsets in the file as long as nothing is escaped. */
  private inside(node: Node, text: string, start: number, end: number): Place {
    const raw = this.text.slice(node.offset + 1, node.offset + node.length - 1);
    if (raw !== text || end <= start) return placeOf(this.uri, node);
    return { uri: this.uri, start: node.offset + 1 + start, end: node.offset + 1 + end };
  }

  private unknownKey(member: Member, schema: Schema): void {
    const known = Object.keys(schema.properties ?? {}).filter((name) => name !== '$schema');
    const near = nearest(member.name, known);
    const owner = schema.title ? ` in ${lowerFirst(schema.title)}` : ' here';
    const message = `"${short(member.name)}" is not known${owner}, so it was not read.${suggestion(near)}`;
    this.fail('files/unknown-key', member.key, message, near);
  }

  private called(schema: Schema): string {
    return schema.title ?? 'This';
  }

  private fail(
    id: JsonProblem['id'],
    node: Node,
    message: string,
    candidates?: readonly string[],
  ): typeof NOTHING {
    const problem: JsonProblem = { id, severity: 'error', place: placeOf(this.uri, node), message };
    this.problems.push(candidates?.length ? { ...problem, candidates } : problem);
    return NOTHING;
  }
}

const knownCollections = new WeakMap<Schema, readonly (readonly [string, 'array' | 'map'])[]>();

/** Members that are lists of objects or maps: these are empty when absent. */
function collections(schema: Schema, root: Schema): readonly (readonly [string, 'array' | 'map'])[] {
  const known = knownCollections.get(schema);
  if (known) return known;
  const found = Object.entries(schema.properties ?? {}).flatMap(
    ([name, raw]): [string, 'array' | 'map'][] => {
      const inner = resolveSchema(raw, root);
      if (inner.as || inner.anyOf) return [];
      if (inner.type === 'array') return [[name, 'array']];
      return inner.type === 'object' && !inner.properties ? [[name, 'map']] : [];
    },
  );
  knownCollections.set(schema, found);
  return found;
}

const exactly = (value: number): Interval => ({ lo: value, nom: value, hi: value });

function ownerOf(schema: Schema, spot: Spot): string | undefined {
  if (!schema.noun) return spot.owner;
  if (spot.owner?.startsWith(`${schema.noun} `)) return spot.owner;
  return spot.owner ? `${schema.noun} of ${spot.owner}` : schema.noun;
}

const short = (text: string): string => (text.length > 60 ? `${text.slice(0, 57)}…` : text);

/** "Rated current" → "rated current"; "ADC bits" stays. */
const lowerFirst = (text: string): string =>
  /^\p{Lu}\p{Ll}/u.test(text) ? text[0]?.toLowerCase() + text.slice(1) : text;

const NOUNS: Readonly<Record<string, string>> = {
  object: 'an object { … }',
  array: 'a list [ … ]',
  string: 'a text in double quotes',
  number: 'a plain number',
  integer: 'a whole number',
  boolean: 'true or false',
  null: 'null',
};

function wanted(schema: Schema, root: Schema): string {
  const options = schema.anyOf?.map((option) => resolveSchema(option, root)) ?? [schema];
  const types = options.flatMap((option) =>
    typeof option.type === 'string' ? [option.type] : (option.type ?? []),
  );
  return [...new Set(types)].map((type) => NOUNS[type] ?? type).join(' or ');
}

const found = (node: Node): string =>
  node.type === 'number' && !Number.isInteger(node.value)
    ? 'a broken number'
    : (NOUNS[node.type] ?? node.type);
