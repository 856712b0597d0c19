import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { codeLenses } from '../../server/src/features/codeLenses';
import { headerTokens } from '../../server/src/features/headerTokens';
import { inlayHints } from '../../server/src/features/inlayHints';
import { definitionsAt, highlightsAt, referencesAt } from '../../server/src/features/navigation';
import { search } from '../../server/src/features/navigation/search';
import { writerOf } from '../../server/src/lsp/answerText';
import type { Client } from '../../server/src/lsp/client';
import { outline } from '../../server/src/lsp/outline';
import { createTokens } from '../../server/src/lsp/tokens';
import { analyseProject } from '../../server/src/project';
import type { Analysis } from '../../server/src/project/analysis';
import { createMemory } from '../../server/src/project/memory';
import { edit, edited, project, sample, uris } from '../project/sampleEdits';

const keyOf = (uri: string): string => uri;
const trees = { symbolTree: true } as Client;
const headers = uris.filter((uri) => uri.endsWith('.h'));

function written(answer: object): string {
  let text = '';
  writerOf(answer)?.((piece) => {
    text += piece;
  });
  return text;
}

/** What an editor is told about the headers of an analysis, at a spot of them for what needs one. */
const told = (analysis: Analysis, at: number): string =>
  JSON.stringify(
    headers.map((uri) => {
      const length = analysis.texts.get(uri)?.length ?? 0;
      const spot = { uri, offset: Math.floor(at * length) };
      const window = { start: spot.offset, end: spot.offset + 300 };
      return {
        symbols: outline(uri, [analysis], trees, keyOf),
        symbolText: written(outline(uri, [analysis], trees, keyOf, true)),
        tokens: createTokens(keyOf).full({ textDocument: { uri } }, [analysis]),
        lenses: codeLenses(analysis, uri),
        hints: inlayHints(analysis, uri, { units: true, figures: true }, window),
        definitions: definitionsAt(analysis, spot),
        references: referencesAt(analysis, spot),
        highlights: highlightsAt(analysis, spot),
        found: search(analysis, 'tool s'),
      };
    }),
  );

describe('what answers take over from those before an edit', () => {
  it('does not show', async () => {
    await fc.assert(
      fc.asyncProperty(fc.array(edit, { minLength: 3, maxLength: 8 }), async (edits) => {
        const texts = new Map(sample);
        const host = { read: async (uri: string) => texts.get(uri) };
        const memory = createMemory();
        told(await analyseProject(project, host, undefined, { memory }), 0);
        for (const one of edits) {
          const uri = uris[one.file] as string;
          texts.set(uri, edited(texts.get(uri) as string, one));
          const carriedOn = told(await analyseProject(project, host, undefined, { memory }), one.at);
          const anew = told(await analyseProject(project, host), one.at);
          if (carriedOn !== anew) expect(JSON.parse(carriedOn)).toEqual(JSON.parse(anew));
        }
      }),
      { numRuns: 16, seed: 7 },
    );
  }, 300_000);

  it('tokens of a part are those of the whole that touch it', async () => {
    await fc.assert(
      fc.asyncProperty(
        edit,
        fc.double({ min: 0, max: 1, noNaN: true }),
        fc.nat(900),
        async (one, at, length) => {
          const texts = new Map(sample);
          const changed = uris[one.file] as string;
          texts.set(changed, edited(texts.get(changed) as string, one));
          const analysis = await analyseProject(project, { read: async (uri) => texts.get(uri) });
          for (const uri of headers) {
            const start = Math.floor(at * (texts.get(uri)?.length ?? 0));
            const within = { start, end: start + length };
            const touching = (tokens: ReturnType<typeof headerTokens>) =>
              tokens.filter((token) => token.end > within.start && token.start < within.end);
            expect(touching(headerTokens(analysis, uri, within))).toEqual(
              touching(headerTokens(analysis, uri)),
            );
          }
        },
      ),
      { numRuns: 60, seed: 8 },
    );
  }, 300_000);
});
