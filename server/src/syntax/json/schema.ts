import type { Kind } from '../../units';

/**
 * The part of JSON Schema draft-07 that Fettle's own schemas use, with four keywords of our own. An editor's JSON support
 * ignores those; the loader turns text into typed facts by them.
 */
export interface Schema {
  readonly $ref?: string;
  readonly title?: string;
  readonly description?: string;
  readonly type?: string | readonly string[];
  readonly enum?: readonly unknown[];
  readonly properties?: Readonly<Record<string, Schema>>;
  readonly required?: readonly string[];
  readonly additionalProperties?: boolean | Schema;
  readonly propertyNames?: Schema;
  readonly pattern?: string;
  readonly items?: Schema;
  readonly minItems?: number;
  readonly minimum?: number;
  readonly maximum?: number;
  readonly anyOf?: readonly Schema[];
  readonly definitions?: Readonly<Record<string, Schema>>;
  /** A physical value of this kind: text with a unit, or an object that also says how good the value is. */
  readonly quantity?: Kind;
  /** The text is a name that must exist elsewhere: a section of the same file, or `board.…`, or data that ships. */
  readonly reference?: string;
  /**
   * plain: the value as it stands, no fact. fact: the whole list is one fact. voltageOrRail: the text may be a rail's name.
   * address: a whole number, also as "0x…". extension: not read.
   */
  readonly as?: 'plain' | 'fact' | 'voltageOrRail' | 'address' | 'extension';
  /** What an entry is called in words, for labels: "motor" gives "rated current of motor x". */
  readonly noun?: string;
}

/** Resolved once for each place in a schema; a place belongs to one schema. */
const resolved = new WeakMap<Schema, Schema>();

/** Follows references inside one schema. What stands beside a `$ref` comes first. */
export function resolveSchema(schema: Schema, root: Schema): Schema {
  if (schema.$ref === undefined) return schema;
  const known = resolved.get(schema);
  if (known) return known;
  let result = schema;
  for (let steps = 0; result.$ref !== undefined && steps < 20; steps++) {
    const target = root.definitions?.[result.$ref.replace(/^#\/definitions\//, '')];
    if (!target) throw new Error(`The schema has no ${result.$ref}`);
    const { $ref: _, ...beside } = result;
    result = { ...target, ...beside };
  }
  resolved.set(schema, result);
  return result;
}

/** A schema that knows only some members of another one's root; for reading those ahead of the rest. */
export function onlyMembers(root: Schema, names: readonly string[]): Schema {
  const properties = Object.fromEntries(
    Object.entries(root.properties ?? {}).filter(([name]) => names.includes(name)),
  );
  return { ...root, required: [], properties };
}
