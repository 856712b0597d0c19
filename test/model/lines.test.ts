import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { lineStarts, lineStartsAfter } from '../../server/src/model/lines';

const text = fc
  .array(fc.constantFrom('a', 'bb', '\n', '\r', '\r\n', ' '), { maxLength: 12 })
  .map((all) => all.join(''));

describe('lines behind an edit', () => {
  // The oracle is the scan of the whole text.
  it('begin where a scan finds them', () => {
    fc.assert(
      fc.property(text, text, text, text, (head, old, fresh, tail) => {
        const [before, after] = [head + old + tail, head + fresh + tail];
        expect(lineStartsAfter(before, lineStarts(before), after)).toEqual(lineStarts(after));
      }),
      { numRuns: 5000, seed: 31 },
    );
  });
});
