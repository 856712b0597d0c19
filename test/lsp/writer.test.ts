import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { CancellationToken } from 'vscode-languageserver';
import type { Client } from '../../server/src/lsp/client';
import type { Documents } from '../../server/src/lsp/documents';
import type { Earlier } from '../../server/src/lsp/earlier';
import { bytesOf } from '../../server/src/lsp/node/writer';
import { outline } from '../../server/src/lsp/outline';
import type { Projects } from '../../server/src/lsp/projects';
import { pullDocument } from '../../server/src/lsp/pull';
import { createReporter } from '../../server/src/lsp/report';
import { analyseProject } from '../../server/src/project';
import { createMemory } from '../../server/src/project/memory';
import { project, sample, uris } from '../project/sampleEdits';

const textOf = (message: Parameters<typeof bytesOf>[0]): string => bytesOf(message).toString('utf8');

/** As any client reads it: RFC 8259. */
const read = (text: string): unknown => JSON.parse(text);
// biome-ignore lint/suspicious/noControlCharactersInRegex: ASCII begins with them.
const ascii = /^[\u0000-\u007f]*$/;

describe('messages as they are written', () => {
  it('are ASCII and say what JSON.stringify says', () => {
    const content = fc.jsonValue({ noUnicodeString: false, maxDepth: 4 });
    fc.assert(
      fc.property(content, fc.oneof(fc.nat(), fc.string()), (result, id) => {
        const message = { jsonrpc: '2.0', id, result };
        const text = textOf(message);
        expect(text).toMatch(ascii);
        expect(read(text)).toEqual(read(JSON.stringify(message)));
      }),
      { numRuns: 500, seed: 3 },
    );
  });

  it('keep signs beyond the basic plane, half of one, and none at all', () => {
    for (const result of ['4,7 kΩ ± 1 % · 25 °C', '𝄞', '\ud834', '', null]) {
      const message = { jsonrpc: '2.0', id: 1, result };
      expect(read(textOf(message))).toEqual(read(JSON.stringify(message)));
    }
  });

  it('of an outline say what its symbols say, first and after an edit', async () => {
    const client = { symbolTree: true } as Client;
    const texts = new Map(sample);
    const memory = createMemory();
    const header = uris.find((uri) => uri.endsWith('heat.h')) as string;
    for (const edit of ['', '// one line more, in µm\n', '#define OWN_LIST { 1, \\\n  2 }\n']) {
      texts.set(header, `${edit}${texts.get(header)}`);
      const host = { read: async (uri: string) => texts.get(uri) };
      const analysis = await analyseProject(project, host, undefined, { memory });
      const told = (asText: boolean) => ({
        jsonrpc: '2.0',
        id: 7,
        result: outline(header, [analysis], client, (uri) => uri, asText),
      });
      const text = textOf(told(true));
      expect(text).toMatch(ascii);
      expect(text.length).toBeGreaterThan(5000);
      expect(read(text)).toEqual(read(JSON.stringify(told(false))));
    }
  });

  it('of diagnostics say what they are, first and after an edit', async () => {
    const keyOf = (uri: string): string => uri;
    const texts = new Map(sample);
    const memory = createMemory();
    const token = { isCancellationRequested: false } as CancellationToken;
    const reporter = createReporter({ get: () => undefined } as unknown as Documents, keyOf, {} as Client);
    const earlier = { all: async () => undefined } as Earlier;
    const header = uris.find((uri) => uri.endsWith('heat.h')) as string;
    for (const edit of ['', '// µ\n', '#define SPARE_NAME "Ω'.concat('\n')]) {
      texts.set(header, `${edit}${texts.get(header)}`);
      const analysis = await analyseProject(project, { read: async (uri) => texts.get(uri) }, undefined, {
        memory,
      });
      const projects = { of: async () => [analysis] } as unknown as Projects;
      for (const uri of texts.keys()) {
        const answer = await pullDocument({ textDocument: { uri } }, token, projects, reporter, earlier);
        const text = textOf({ jsonrpc: '2.0', id: 7, result: answer } as Parameters<typeof bytesOf>[0]);
        expect(text).toMatch(ascii);
        expect(read(text)).toEqual(read(JSON.stringify({ jsonrpc: '2.0', id: 7, result: answer })));
      }
    }
  });
});
