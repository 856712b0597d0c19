import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type AnalysedBase, analyseProject, baseOf } from '../../server/src/project';
import type { Analysis } from '../../server/src/project/analysis';
import { createMemory, mover } from '../../server/src/project/memory';

const ROOT = 'file:///sample/';
const folder = join(__dirname, '../../client/sample/half-ported');
const sample = new Map(
  readdirSync(folder)
    .filter((name) => /\.(?:h|json)$/.test(name))
    .map((name) => [ROOT + name, readFileSync(join(folder, name), 'utf8')]),
);
const uris = [...sample.keys()];

/** Everything that editor and command line show of an analysis. */
const shown = ({ findings, allowed, agreements, missing }: Analysis): string =>
  JSON.stringify({ findings, allowed, agreements, missing });

const edit = fc.record({
  file: fc.nat(uris.length - 1),
  at: fc.double({ min: 0, max: 1, noNaN: true }),
  kind: fc.constantFrom('digit', 'digit', 'digit', 'newline', 'comment', 'cut', 'join', 'allow'),
  digit: fc.constantFrom('0', '1', '9', ''),
});

function edited(text: string, { at, kind, digit }: { at: number; kind: string; digit: string }): string {
  const offset = Math.floor(at * text.length);
  const digits = [...text.matchAll(/(?<=#define \w+ +\S*)\d/g)];
  const found = digits[Math.floor(at * digits.length)]?.index ?? offset;
  const line = text.lastIndexOf('\n', offset) + 1;
  switch (kind) {
    case 'digit':
      return `${text.slice(0, found)}${digit}${text.slice(found + 1)}`;
    case 'newline':
      return `${text.slice(0, line)}\n${text.slice(line)}`;
    case 'comment':
      return `${text.slice(0, line)}// ${text.slice(line)}`;
    case 'cut':
      return text.slice(0, offset) + text.slice(offset + 3);
    case 'allow':
      return `${text.slice(0, line)}// fettle: allow inputs/pull-without-effect because it is known\n${text.slice(line)}`;
    default:
      return text.slice(0, Math.max(0, line - 1)) + text.slice(line);
  }
}

describe.each([
  ['without a base', false, 40],
  ['compared with the state before', true, 12],
])('what an analysis takes over from the last, %s', (_, compared, numRuns) => {
  it('does not show', async () => {
    const before = { read: async (uri: string) => sample.get(uri) };
    const project = `${ROOT}fettle.json`;
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
