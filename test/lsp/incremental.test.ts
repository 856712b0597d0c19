import * as fc from 'fast-check';
import { expect, test } from 'vitest';
import { TextDocument } from 'vscode-languageserver-textdocument';
import { fakeCore } from './fakeCore';
import { items, start } from './kit';

const root = 'file:///home/demo/';
const uri = `${root}a.h`;
const files = {
  [`${root}fettle.json`]: '["a.h", "b.h"]',
  [uri]: 'BAD\r\nSAME=1\n',
  [`${root}b.h`]: 'SAME=2',
};

const piece = fc.constantFrom('BAD', 'SAME=1', 'SAME=2', '\n', '\r\n', '\r', '😀', 'é', ' ', '');
const edits = fc.array(fc.record({ from: fc.nat(40), length: fc.nat(6), text: piece }), {
  minLength: 1,
  maxLength: 12,
});

// Property: what is reported after any edits is what a new server reports for the text they lead to.
test('incremental is as from scratch', async () => {
  await fc.assert(
    fc.asyncProperty(edits, async (steps) => {
      const client = await start(files, { analyse: fakeCore().analyse, fileKinds: [] });
      const fresh = await start(files, { analyse: fakeCore().analyse, fileKinds: [] });
      try {
        await client.open(uri);
        const mirror = TextDocument.create(uri, 'c', 1, files[uri]!);
        let version = 1;
        for (const { from, length, text } of steps) {
          const start = mirror.positionAt(Math.min(from, mirror.getText().length));
          const end = mirror.positionAt(Math.min(from + length, mirror.getText().length));
          const change = { range: { start, end }, text };
          version++;
          TextDocument.update(mirror, [change], version);
          await client.edit(uri, version, change);
          if (version % 3 === 0) void client.pull(uri).catch(() => {});
        }
        await fresh.open(uri, mirror.getText());
        expect(items(await client.pull(uri))).toEqual(items(await fresh.pull(uri)));
      } finally {
        await client.stop();
        await fresh.stop();
      }
    }),
    { numRuns: 40 },
  );
});
