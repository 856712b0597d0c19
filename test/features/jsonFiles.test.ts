import { describe, expect, test } from 'vitest';
import { createJsonFiles, type FileKind } from '../../server/src/features/jsonFiles';
import { hasOwnSchema } from '../../server/src/features/jsonSchemaOf';
import { fileKinds } from '../../server/src/features/schemas';

const kinds: FileKind[] = [
  {
    pattern: '*.board.json',
    schemaName: 'board.schema.json',
    schema: {
      type: 'object',
      properties: {
        clock: { type: 'string', title: 'Clock', description: 'Of the crystal.' },
        kind: { enum: ['usb', 'serial'] },
      },
    },
  },
];

const at = (marked: string) => {
  const before = marked.slice(0, marked.indexOf('$0')).split('\n');
  const position = { line: before.length - 1, character: before.at(-1)!.length };
  return [marked.replace('$0', ''), position] as const;
};
const json = createJsonFiles(kinds);
const complete = async (uri: string, marked: string) =>
  (await json.complete(uri, ...at(marked)))?.items.map(({ label }) => label) ?? null;

describe('JSON files by their names', () => {
  test('complete keys and values, in half-typed text too', async () => {
    expect(await complete('file:///a/x.board.json', '{ "$0" }')).toEqual(['clock', 'kind']);
    expect(await complete('file:///a/x.board.json', '// note\n{ "kind": $0')).toEqual(['"usb"', '"serial"']);
    // Where no schema is known, the library offers to name one.
    expect(await complete('file:///a/other.json', '{ "$0" }')).toEqual(['$schema']);
  });

  test('explain keys', async () => {
    const hover = await json.hover('file:///a/x.board.json', ...at('{ "cl$0ock": "16 MHz" }'));
    expect(hover?.contents).toEqual(['Clock\n\nOf the crystal.']);
    expect(await json.hover('file:///a/x.board.json', ...at('{ "cl$0'))).toBeNull();
  });

  test('find their schema by its file name wherever the text says it lies, and fetch none', async () => {
    const own = '{ "$schema": "https://example.invalid/board.schema.json", "$0" }';
    expect(await complete('file:///a/x.json', own)).toEqual(['clock', 'kind']);
    const foreign = '{ "$schema": "https://example.invalid/other.json", "$0" }';
    expect(await complete('file:///a/x.json', foreign)).toEqual([]);
    expect(await complete('untitled:x', '{ "$schema": "::bad::", "$0" }')).toEqual([]);
  });
});

test('the shipped schemas offer something at the top of each kind of file', async () => {
  const shipped = createJsonFiles(fileKinds);
  for (const { pattern } of fileKinds) {
    const list = await shipped.complete(`file:///a/${pattern.replace('*', 'x')}`, ...at('{ "$0" }'));
    expect(list?.items.length, pattern).toBeGreaterThan(1);
  }
});

test('a schema of its own is one at the top only', () => {
  expect(hasOwnSchema('{ "$schema": "x", }')).toBe(true);
  expect(hasOwnSchema('{ "a": { "$schema": "x" } }')).toBe(false);
  expect(hasOwnSchema('{ "$schema": 3 }')).toBe(false);
  expect(hasOwnSchema('[')).toBe(false);
  expect(hasOwnSchema('')).toBe(false);
});
