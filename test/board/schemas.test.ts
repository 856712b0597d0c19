import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { resolveSchema, type Schema } from '../../server/src/syntax/json';
import { isKind } from '../../server/src/units';
import { validateByLibrary } from '../syntax/json/library';

const folder = new URL('../../schemas/', import.meta.url);
const load = (name: string): Schema => JSON.parse(readFileSync(new URL(name, folder), 'utf8'));
const own = [
  'board',
  'machine',
  'project',
  'names',
  'chip',
  'driver',
  'sensor',
  'wires',
  'materials',
  'connector-classes',
  'inputs',
  'fuses',
  'limits',
];

interface Spot {
  readonly path: string;
  readonly schema: Schema;
}

/** Every member, entry and item that a schema describes, with the path to it. */
function spots(root: Schema, schema: Schema = root, path = ''): Spot[] {
  const resolved = resolveSchema(schema, root);
  const inner: Spot[] = [];
  if (resolved.quantity) return [{ path, schema: resolved }];
  for (const [name, member] of Object.entries(resolved.properties ?? {}))
    inner.push(...spots(root, member, `${path}/${name}`));
  if (typeof resolved.additionalProperties === 'object')
    inner.push(...spots(root, resolved.additionalProperties, `${path}/*`));
  if (resolved.items) inner.push(...spots(root, resolved.items, `${path}/*`));
  for (const option of resolved.anyOf ?? []) {
    const target = resolveSchema(option, root);
    if (target.properties) inner.push(...spots(root, target, path));
  }
  return [{ path, schema: resolved }, ...inner];
}

describe.each(own)('%s.schema.json', (name) => {
  const schema = load(`${name}.schema.json`);
  const all = spots(schema);

  it('describes everything: it is the reference documentation', () => {
    const bare = all
      .filter((spot) => !spot.schema.title || !spot.schema.description)
      .map((spot) => spot.path);
    expect(bare).toEqual([]);
  });

  it('knows every key of every object', () => {
    const open = all.filter(
      ({ schema: { type, properties, additionalProperties } }) =>
        type === 'object' &&
        (properties ? additionalProperties !== false : typeof additionalProperties !== 'object'),
    );
    expect(open.map((spot) => spot.path)).toEqual([]);
  });

  it('describes every choice', () => {
    const bare = all.filter(({ schema: choice }) => {
      const { enumDescriptions } = choice as { enumDescriptions?: readonly string[] };
      return (choice.enum?.length ?? 0) > 1 && enumDescriptions?.length !== choice.enum?.length;
    });
    expect(bare.map((spot) => spot.path).filter((path) => !(name === 'sensor' && path === '/kind'))).toEqual(
      [],
    );
  });

  it('names kinds of quantity that the units know', () => {
    const kinds = all.flatMap((spot) => (spot.schema.quantity ? [spot.schema.quantity] : []));
    expect(kinds.filter((kind) => !isKind(kind))).toEqual([]);
  });

  it('is a schema that a general validator takes', async () => {
    const diagnostics = await validateByLibrary(schema, '{}');
    expect(diagnostics.filter(({ message }) => /schema/i.test(String(message)))).toEqual([]);
  });
});

/** Paths of a value in the notation of `spots`. */
function paths(value: unknown, maps: ReadonlySet<string>, path = ''): string[] {
  if (typeof value !== 'object' || value === null) return [path];
  const inner = Array.isArray(value)
    ? value.flatMap((item) => paths(item, maps, `${path}/*`))
    : Object.entries(value).flatMap(([key, member]) =>
        paths(member, maps, maps.has(path) ? `${path}/*` : `${path}/${key}`),
      );
  return [path, ...inner];
}

describe.each(['board', 'machine'])('full example of a %s file', (name) => {
  const schema = load(`${name}.schema.json`);
  const text = readFileSync(new URL(`../${name}/full.${name}.json`, import.meta.url), 'utf8');

  it('states everything that the schema knows', () => {
    const all = spots(schema);
    const maps = new Set(
      all
        .filter(({ schema: { type, properties } }) => type === 'object' && !properties)
        .map((spot) => spot.path),
    );
    const stated = new Set(paths(JSON.parse(text), maps));
    expect(all.map((spot) => spot.path).filter((path) => !stated.has(path) && path !== '/note/*')).toEqual(
      [],
    );
  });

  it('passes a general validator', async () => expect(await validateByLibrary(schema, text)).toEqual([]));
});

const data: Readonly<Record<string, string>> = {
  chips: 'chip',
  drivers: 'driver',
  sensors: 'sensor',
  wires: 'wires',
  materials: 'materials',
  connectors: 'connector-classes',
  inputs: 'inputs',
  fuses: 'fuses',
  limits: 'limits',
};
const shipped = Object.entries(data).flatMap(([group, name]) =>
  readdirSync(new URL(`${group}/`, folder)).map((file) => ({ file: `${group}/${file}`, name })),
);

describe.each(shipped)('$file', ({ file, name }) => {
  const text = readFileSync(new URL(file, folder), 'utf8');

  it('passes a general validator', async () =>
    expect(await validateByLibrary(load(`${name}.schema.json`), text)).toEqual([]));

  it('has a source for the whole and for every value', () => {
    const json = JSON.parse(text) as { sources: readonly string[] };
    expect(json.sources.length).toBeGreaterThan(0);
    expect(json.sources.every((source) => source.length > 10)).toBe(true);
    const bare: string[] = [];
    const visit = (value: unknown, path: string): void => {
      if (typeof value !== 'object' || value === null) return;
      if ('value' in value && !('source' in value && typeof value.source === 'string')) bare.push(path);
      for (const [key, member] of Object.entries(value)) visit(member, `${path}/${key}`);
      // A quantity as plain text would have nowhere to name its source; tables and switches rest on `sources`.
      for (const [key, member] of Object.entries(value)) {
        const unit = typeof member === 'string' && /^[\d.]+ ?[^\d\s]+$/.test(member);
        if (
          unit &&
          !path.startsWith('/table') &&
          !['$schema', 'value', 'id', 'title', 'package', 'flashBase', 'temperature', 'resistance'].includes(
            key,
          )
        )
          bare.push(`${path}/${key}`);
      }
    };
    visit(json, '');
    expect(bare).toEqual([]);
  });
});
