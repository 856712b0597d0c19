import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type AnalysedBase, analyseProject, baseOf } from '../../server/src/project';
import type { Analysis } from '../../server/src/project/analysis';
import { createMemory, mover } from '../../server/src/project/memory';
import { edit, edited, project, sample, uris } from './sampleEdits';

/** Everything that editor and command line show of an analysis. */
const shown = ({ findings, allowed, agreements, missing }: Analysis): string =>
  JSON.stringify({ findings, allowed, agreements, missing });

describe.each([
  ['without a base', false, 40],
  ['compared with the state before', true, 12],
])('what an analysis takes over from the last, %s', (_, compared, numRuns) => {
  it('does not show', async () => {
    const before = { read: async (uri: string) => sample.get(uri) };
    const base: AnalysedBase | undefined = compared
      ? baseOf(await analyseProject(project, before, undefined, { rules: [] }), 'the state before', true)
      : undefined;
    await fc.assert(
      fc.asyncProperty(fc.array(edit, { minLength: 4, maxLength: 12 }), async (edits) => {
        const texts = new Map(sample);
        const host = { read: async (uri: string) => texts.get(uri) };
        const memory = createMemory();
        const analyse = async (with_?: typeof memory) =>
          shown(await analyseProject(project, host, undefined, { memory: with_, base }));
        await analyse(memory);
        for (const one of edits) {
          const uri = uris[one.file] as string;
          texts.set(uri, edited(texts.get(uri) as string, one));
          const carriedOn = await analyse(memory);
          const anew = await analyse();
          if (carriedOn !== anew) expect(JSON.parse(carriedOn)).toEqual(JSON.parse(anew));
        }
      }),
      { numRuns, seed: 21 },
    );
  }, 300_000);
});

describe('a place in a text that was edited', () => {
  const before = 'one\ntwo\nthree\n';
  const move = mover(before, 'one\ntwotwo\nthree\n');
  const at = (start: number, end: number) => ({ uri: 'file:///a', start, end });

  it('stays before the line, is lost in it, moves behind it', () => {
    expect(move(at(0, 3))).toEqual(at(0, 3));
    expect(move(at(4, 7))).toBeUndefined();
    expect(move(at(8, 13))).toEqual(at(11, 16));
    expect(move(at(0, 13))).toBeUndefined();
  });
});
