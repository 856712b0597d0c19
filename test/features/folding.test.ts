import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { foldsOf } from '../../server/src/features/folding';
import { parseText } from '../../server/src/syntax/c-header/text';

/** Folds as "first line … last line", by the text of the lines. */
const show = (text: string): string[] => {
  const lines = text.split(/\r\n|\n|\r/);
  return foldsOf(parseText(text)).map(
    ({ start, end, kind }) => `${lines[start]} … ${lines[end]}${kind === 'comment' ? ' (comment)' : ''}`,
  );
};

describe('conditions', () => {
  test('each arm by itself, nested ones too', () => {
    expect(
      show(
        '#if A\n#define B 1\n# ifdef C\n#define D\n# endif\n#elif E\n#define F\n#else\n#define G\n#endif\n',
      ),
    ).toEqual(['#if A … # endif', '# ifdef C … #define D', '#elif E … #define F', '#else … #define G']);
  });

  test('an arm without an end reaches to the end of the text, an end without a start is left alone', () => {
    expect(show('#endif\n#else\n#if A\n#define B\n\n')).toEqual(['#if A … #define B']);
  });

  test('directives in comments and texts are none', () => {
    expect(show('// #if A\n\nint b = "#if C";\n\n/*\n#if D\n*/\n\n#endif\n')).toEqual(['/* … */ (comment)']);
  });

  test('a condition over several lines starts at its last', () => {
    expect(show('#if A && \\\n  B\n#define C\n#endif\n')).toEqual(['  B … #define C']);
  });
});

describe('comments', () => {
  test('blocks and runs of lines', () => {
    expect(show('/* a\n b\n*/\n\n// c\n// d\n\n// e\n\nint f;\n')).toEqual([
      '/* a … */ (comment)',
      '// c … // d (comment)',
    ]);
  });

  test('settings that are commented out are definitions, not words', () => {
    expect(show('// #define A 1\n// #define B 2\n')).toEqual([]);
  });

  test('a block that never ends takes its line only', () => {
    expect(show('/* a\n#if B\n#define C\n#endif\n')).toEqual(['#if B … #define C']);
  });
});

describe('definitions under a heading', () => {
  test('right on top of them: to the next blank line', () => {
    expect(show('// X\n#define A 1\n// #define B 2\n\n#define C\n')).toEqual(['// X … // #define B 2']);
  });

  test('to the next heading', () => {
    expect(show('// X\n#define A 1\n// Y\n#define B 2\n')).toEqual([
      '// X … #define A 1',
      '// Y … #define B 2',
    ]);
  });

  test('with a blank line below it: to the next of its like, with the groups in it', () => {
    expect(
      show('// MOTION\n\n// X\n#define A 1\n\n// Y\n#define B 2\n\n// HEAT\n\n#define C 3\n\n#define D 4\n'),
    ).toEqual([
      '// MOTION … #define B 2',
      '// X … #define A 1',
      '// Y … #define B 2',
      '// HEAT … #define D 4',
    ]);
  });

  test('a heading of several lines leaves its last to the definitions', () => {
    expect(show('/*\n * X\n */\n#define A 1\n#define B 2\n')).toEqual([
      '/* …  * X (comment)',
      ' */ … #define B 2',
    ]);
  });

  test('conditions inside belong to it; it ends where its own arm ends', () => {
    expect(show('// X\n#define A 1\n#if B\n#define C\n#endif\n#define D\n')).toEqual([
      '// X … #define D',
      '#if B … #define C',
    ]);
    expect(show('#if A\n// X\n#define B\n#define C\n#else\n#define D\n#endif\n')).toEqual([
      '#if A … #define C',
      '// X … #define C',
      '#else … #define D',
    ]);
  });
});

// What editors ask of folds: one a first line, and of two that share a line one holds the other (the protocol leaves it open; VS Code
// drops folds that cross).
test('folds nest and lie in the text, for any lines', () => {
  const line = fc.constantFrom(
    '// a', '/* b', '*/', '', '#if A', '#else', '#elif B', '#endif', '#define C 1', '// #define D', 'int e;', '#define F \\', '"', '/* g */',
  ); // biome-ignore format: a plain list
  fc.assert(
    fc.property(fc.array(line, { maxLength: 30 }), fc.constantFrom('\n', '\r\n', '\r'), (lines, end) => {
      const text = lines.join(end);
      const folds = foldsOf(parseText(text));
      for (const [index, one] of folds.entries()) {
        expect(one.start).toBeGreaterThanOrEqual(0);
        expect(one.end).toBeGreaterThan(one.start);
        expect(one.end).toBeLessThan(Math.max(lines.length, 1));
        for (const other of folds.slice(index + 1)) {
          const apart = other.start > one.end;
          const inside = other.start > one.start && other.end <= one.end;
          expect(apart || inside, JSON.stringify([lines, one, other])).toBe(true);
        }
      }
    }),
    { numRuns: 2000 },
  );
});
