import { expect, it } from 'vitest';
import { link, literal, literalCell, plain } from '../../server/src/features/markdown';

// CommonMark 0.31.2: 2.4 backslash escapes, 6.2 emphasis (a run with blanks on both sides opens and closes nothing; underscores inside
// words are no emphasis), 6.3 links, 6.6 raw HTML, 5.1 block quotes.
it.each([
  ['TOOL_COUNT > 1 and A * B < C [mm] | D', 'TOOL_COUNT > 1 and A * B < C [mm] | D'],
  ['2*3', '2\\*3'],
  ['_x_ a_b', '\\_x\\_ a_b'],
  ['a [b](c) [d]: e', 'a \\[b](c) \\[d]: e'],
  ['[ ] open', '\\[ ] open'],
  ['<b> </b> <!-- -->', '\\<b> \\</b> \\<!-- -->'],
  ['> quoted', '\\> quoted'],
  ['`code` \\', '\\`code\\` \\\\'],
])('%s is escaped where its signs would mean something, and read back', (text, escaped) => {
  expect(literal(text)).toBe(escaped);
  expect(plain(escaped)).toBe(text);
});

it('a label of a link and a cell of a table keep what would end them', () => {
  // CommonMark 0.31.2, 6.3: brackets in a label are balanced or escaped.
  expect(link('a ] b', 'c')).toBe('[a \\] b](c)');
  expect(literalCell('a | b')).toBe('a \\| b');
});
