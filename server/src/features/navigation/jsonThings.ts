import { type Node, parseTree } from 'jsonc-parser';
import type { Place } from '../../model/place';
import { resolveSchema, type Schema } from '../../syntax/json';
import type { Occurrence, Thing, ThingKind } from './thing';

/** Names that exist in the project, for references that may mean one of two kinds of thing. */
export interface KnownNames {
  readonly connectors: ReadonlySet<string>;
  readonly outputs: ReadonlySet<string>;
}

/** Sections whose keys are names of things. */
const SECTIONS: Readonly<Record<string, ThingKind>> = {
  pins: 'pin',
  connectors: 'connector',
  outputs: 'output',
  fuses: 'fuse',
  rails: 'rail',
  motors: 'motor',
  drivers: 'driver',
};
const DEVICES = new Set(['links', 'axes', 'sensors', 'temperatureSensors', 'heaters', 'fans', 'loads']);
/** Sections of devices whose keys are parts of the machine at the same time, with the prefix of their settings. */
const PARTS: Readonly<Record<string, string>> = { axes: 'axis', links: 'link' };
const PART_FIELDS = new Set(['watches', 'zone', 'role']);

/**
 * Every name in a board profile or machine sheet, by the references that the schema states. Text that is no JSON has none.
 * @param onSheet whether it is a machine sheet: its keys under "drivers" name sockets of the board
 */
export function jsonThings(
  uri: string,
  text: string,
  root: Schema,
  onSheet: boolean,
  known: KnownNames,
): Occurrence[] {
  const tree = parseTree(text, [], { allowTrailingComma: true });
  const found: Occurrence[] = [];
  const visit = (node: Node, given: Schema, path: readonly string[]): void => {
    const schema = alternative(resolveSchema(given, root), node, root);
    if (node.type === 'object') {
      for (const property of node.children ?? []) visitProperty(property, schema, path);
      return;
    }
    if (node.type === 'array') {
      if (schema.items) for (const item of node.children ?? []) visit(item, schema.items, path);
      return;
    }
    if (node.type !== 'string' || typeof node.value !== 'string') return;
    const thing = referred(schema, node.value, path, known);
    if (thing) found.push({ thing, place: inside(uri, text, node), defines: false, literal: true });
  };
  const visitProperty = (property: Node, schema: Schema, path: readonly string[]): void => {
    const [key, value] = property.children ?? [];
    if (!key || typeof key.value !== 'string') return;
    const name = key.value;
    if (path.length === 1 && path[0] !== undefined) {
      const whole = { uri, start: property.offset, end: property.offset + property.length };
      const place = inside(uri, text, key);
      for (const { thing, defines } of named(path[0], name, onSheet))
        found.push({ thing, place, defines, whole, literal: true });
    }
    const own = schema.properties?.[name] ?? additional(schema);
    if (value && own) visit(value, own, [...path, name]);
  };
  if (tree) visit(tree, root, []);
  return found;
}

function named(section: string, name: string, onSheet: boolean): { thing: Thing; defines: boolean }[] {
  if (DEVICES.has(section)) {
    const device = { thing: { kind: 'device', name: `${section}.${name}` } as const, defines: true };
    const prefix = PARTS[section];
    const part = { thing: { kind: 'part', name: `${prefix}.${name}` } as const, defines: false };
    return prefix ? [device, part] : [device];
  }
  const kind = SECTIONS[section];
  return kind ? [{ thing: { kind, name }, defines: !(onSheet && kind === 'driver') }] : [];
}

function referred(
  schema: Schema,
  value: string,
  path: readonly string[],
  known: KnownNames,
): Thing | undefined {
  const name = value.trim();
  if (name === '') return undefined;
  if (PART_FIELDS.has(path.at(-1) ?? '') && path.length === 3) return { kind: 'part', name };
  if (schema.as === 'voltageOrRail') return /^[a-z_]/i.test(name) ? { kind: 'rail', name } : undefined;
  switch (schema.reference) {
    case 'pins':
      return { kind: 'pin', name };
    case 'connectors':
    case 'board.connectors':
      return { kind: 'connector', name };
    case 'board.motorConnectors':
      return { kind: known.connectors.has(name.toUpperCase()) ? 'connector' : 'driver', name };
    case 'board.outputs':
      return { kind: known.outputs.has(name.toUpperCase()) ? 'output' : 'connector', name };
    case 'board.drivers':
      return { kind: 'driver', name };
    case 'fuses':
      return { kind: 'fuse', name };
    case 'motors':
      return { kind: 'motor', name };
    case 'devices':
      return { kind: 'device', name };
    default:
      return undefined;
  }
}

/** Of a choice between forms, the one that this node has. */
function alternative(schema: Schema, node: Node, root: Schema): Schema {
  if (!schema.anyOf) return schema;
  const forms = schema.anyOf.map((form) => resolveSchema(form, root));
  return { ...schema, ...forms.find(({ type }) => type === node.type) };
}

const additional = ({ additionalProperties }: Schema): Schema | undefined =>
  typeof additionalProperties === 'object' ? additionalProperties : undefined;

/** The text between the quotes; the whole node when one of them is missing. */
function inside(uri: string, text: string, { offset, length }: Node): Place {
  const open = text[offset] === '"' ? 1 : 0;
  const close = length > 1 && text[offset + length - 1] === '"' ? 1 : 0;
  return { uri, start: offset + open, end: offset + length - close };
}
