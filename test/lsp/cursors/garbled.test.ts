import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import fc from 'fast-check';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { TextDocument } from 'vscode-languageserver-textdocument';
import { start, type TestClient } from '../kit';
import { features } from './ask';
import { richClient } from './richClient';

const folder = fileURLToPath(new URL('../../../client/sample/half-ported/', import.meta.url));
const root = 'file:///garbled/';
const names = readdirSync(folder).filter((name) => /\.(?:h|json)$/.test(name));
const files = Object.fromEntries(names.map((name) => [root + name, readFileSync(folder + name, 'utf8')]));

let client: TestClient;
beforeAll(async () => {
  client = await start(files, { capabilities: richClient });
  for (const uri of Object.keys(files)) await client.open(uri);
  await client.hover(`${root}settings.h`, 0, 0);
}, 120_000);
afterAll(() => client.stop());

/** One thing that happens to a text: `at` and `size` are shares of its length. */
type Harm =
  | { readonly kind: 'cut'; readonly at: number }
  | { readonly kind: 'remove'; readonly at: number; readonly size: number }
  | { readonly kind: 'insert'; readonly at: number; readonly text: string }
  | { readonly kind: 'lineEnds'; readonly by: string };

const share = fc.double({ min: 0, max: 1, noNaN: true });
const harm: fc.Arbitrary<Harm> = fc.oneof(
  fc.record({ kind: fc.constant('cut' as const), at: share }),
  fc.record({
    kind: fc.constant('remove' as const),
    at: share,
    size: fc.double({ min: 0, max: 0.1, noNaN: true }),
  }),
  fc.record({
    kind: fc.constant('insert' as const),
    at: share,
    text: fc.oneof(
      fc.constantFrom(
        '"',
        "'",
        '/*',
        '*/',
        '//',
        '\\\n',
        '#if ',
        '#endif\n',
        '#define ',
        '{',
        '}',
        ',',
        '\0',
        '\r',
        '\uFEFF',
      ),
      fc.constantFrom('\u{1F600}', '\uD83D', '\uDE00', '// fettle: allow ', '$0', '\u2028', '(', '\t'),
      fc.string({ unit: 'binary', maxLength: 12 }),
    ),
  }),
  fc.record({ kind: fc.constant('lineEnds' as const), by: fc.constantFrom('\r\n', '\r', '\n\n') }),
);

function harmed(text: string, { kind, ...how }: Harm): string {
  const at = 'at' in how ? Math.floor(how.at * text.length) : 0;
  if (kind === 'cut') return text.slice(0, at);
  if ('text' in how) return text.slice(0, at) + how.text + text.slice(at);
  if ('by' in how) return text.replaceAll('\n', how.by);
  return text.slice(0, at) + text.slice(at + ('size' in how ? Math.floor(how.size * text.length) : 0));
}

let version = 1;

test('whatever happens to a file, every question at any place is answered within the text', async () => {
  await fc.assert(
    fc.asyncProperty(
      fc.constantFrom(...names),
      fc.array(harm, { minLength: 1, maxLength: 4 }),
      share,
      async (name, harms, where) => {
        const uri = root + name;
        const text = harms.reduce(harmed, files[uri] ?? '');
        await client.edit(uri, ++version, { text });
        const texts = new Map([...Object.entries(files), [uri, text] as const]);
        const document = TextDocument.create(uri, 'text', 0, text);
        const position = document.positionAt(Math.floor(where * text.length));
        for (const [feature, ask] of Object.entries(features)) {
          const lines = await ask(
            { client, uri, position, texts },
            feature === 'rename' ? 'NEW_NAME' : 'fan',
          );
          expect(Array.isArray(lines), feature).toBe(true);
        }
        expect(client.log.filter((line) => line.includes('failed'))).toEqual([]);
        await client.edit(uri, ++version, { text: files[uri] ?? '' });
      },
    ),
    { numRuns: Number(process.env.FETTLE_GARBLED_RUNS ?? 30), interruptAfterTimeLimit: 240_000 },
  );
}, 600_000);
