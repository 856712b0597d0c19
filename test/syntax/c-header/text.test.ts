import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { preprocess } from '../../../server/src/syntax/c-header';
import { type LexedText, lex } from '../../../server/src/syntax/c-header/lexer';
import { HEADERS } from './headers';
import { entryOf, readFiles, readOne, shown, table, uriOf } from './kit';
import { program } from './programs';

const LINE_END = /\r\n|\r|\n/g;

/** Throws unless lines, tokens and the gaps between them are exactly the text. */
function checkLossless(text: string, { lines }: LexedText): void {
  let rebuilt = '';
  for (const line of lines) {
    expect(line.start).toBe(rebuilt.length);
    let at = 0;
    for (const token of line.tokens) {
      const gap = text.slice(line.start + at, line.start + token.start);
      // Between tokens lie blanks and splices only; NUL and a byte order mark count as blanks.
      expect(gap.replace(/\\[ \t\v\f]*(?:\r\n|\r|\n)|[ \t\v\f\0\ufeff]/g, '')).toBe('');
      const raw = text.slice(line.start + token.start, line.start + token.end);
      expect(raw.replace(/\\[ \t\v\f]*(?:\r\n|\r|\n)/g, '')).toBe(token.text);
      rebuilt += gap + raw;
      at = token.end;
    }
    rebuilt += text.slice(line.start + at, line.end);
    expect(
      text.slice(line.start + at, line.end).replace(/\\[ \t\v\f]*(?:\r\n|\r|\n|$)|[ \t\v\f\0\ufeff]/g, ''),
    ).toMatch(/^(?:\r\n|\r|\n)?$/);
  }
  expect(rebuilt).toBe(text);
}

const scraps = fc
  .array(
    fc.constantFrom(
      '#',
      'define',
      'A',
      '0x1F',
      '1e+5',
      "'",
      '"',
      '\\',
      '\n',
      '\r\n',
      '\r',
      '\\\n',
      '\\\r\n',
      '\\ \n',
      ' ',
      '\t',
      '/*',
      '*/',
      '//',
      '(',
      ')',
      '<',
      '>',
      'include',
      '\0',
      '\ufeff',
      '\u00e9',
      '\u{1f600}',
      '%:',
      '##',
      'u8"x"',
      "L'",
      '\\u00e9',
      '@',
      '??/\n',
      '.',
      '...',
      '\ud800',
      'if',
      'else',
      'endif',
      ',',
      '{',
      '}',
    ),
    { maxLength: 40 },
  )
  .map((parts) => parts.join(''));

describe('the text', () => {
  it('is kept whole by the lexer', () => {
    fc.assert(
      fc.property(fc.oneof(scraps, program, fc.string({ unit: 'binary' })), (text) =>
        checkLossless(text, lex(text)),
      ),
      { numRuns: 1500, seed: 5 },
    );
    for (const files of Object.values(HEADERS))
      for (const text of Object.values(files)) checkLossless(text, lex(text));
  });

  it('never makes the reader fail, and every place lies in it', () => {
    fc.assert(
      fc.property(scraps, (text) => {
        const read = readOne(text);
        const places = [
          ...read.problems.map(({ place }) => place),
          ...read.entries.flatMap(({ place, namePlace }) => [place, namePlace]),
          ...read.comments('').map(({ place }) => place),
        ];
        for (const { start, end } of places) {
          expect(start).toBeGreaterThanOrEqual(0);
          expect(end).toBeGreaterThanOrEqual(start);
          expect(end).toBeLessThanOrEqual(text.length);
        }
        for (const { name, namePlace, valuePlace, rawText } of read.entries) {
          expect(text.slice(namePlace.start, namePlace.end).replace(/\\[ \t]*(?:\r\n|\r|\n)/g, '')).toBe(
            name,
          );
          if (valuePlace) expect(text.slice(valuePlace.start, valuePlace.end)).toBe(rawText);
        }
        preprocess(text);
      }),
      { numRuns: 1500, seed: 6 },
    );
  });

  it('reads the same with CRLF as with LF, but for the offsets', () => {
    fc.assert(
      fc.property(
        fc.oneof(
          program,
          scraps.map((text) => text.replace(LINE_END, '\n')),
        ),
        (text) => {
          const windows = text.replaceAll('\n', '\r\n');
          const back = (offset: number): number =>
            offset - (windows.slice(0, offset).match(/\r/g)?.length ?? 0);
          const plain = readOne(text);
          const read = readOne(windows);
          const facts = (one: typeof read, map: (offset: number) => number) => ({
            entries: one.entries.map((entry) => [
              entry.name,
              entry.state,
              shown(entry.value),
              entry.rawText.replaceAll('\r\n', '\n'),
              entry.trailingComment?.replaceAll('\r\n', '\n'),
              entry.undecidedNames,
              map(entry.place.start),
              map(entry.place.end),
            ]),
            problems: one.problems.map(({ id, place, message }) => [
              id,
              map(place.start),
              map(place.end),
              message,
            ]),
            uses: one.entries.map(({ name }) => one.uses.places(name).map(({ start }) => map(start))),
          });
          expect(facts(read, back)).toEqual(facts(plain, (offset) => offset));
        },
      ),
      { numRuns: 500, seed: 7 },
    );
  });

  it('may begin with a byte order mark', () => {
    const text = '\ufeff#define A 1\n';
    const entry = entryOf(readOne(text), 'A');
    expect([entry.place.start, entry.namePlace.start, shown(entry.value)]).toEqual([1, 9, '1']);
  });

  it('has trigraphs only when asked', () => {
    const text = '??=define A ??/\n 5\n';
    expect(table(readOne(text))).toEqual([]);
    expect(table(readOne(text, { trigraphs: true }))).toEqual(['A active 5']);
  });
});

describe('text that is not right', () => {
  // Each row: the text, and the problems with the stretch they mark.
  it.each<[string, [string, string][]]>([
    ['#if 1\n', [['syntax/unterminated-condition', '#if 1']]],
    ['#if 1\n#ifdef A\n#endif\n', [['syntax/unterminated-condition', '#if 1']]],
    ['#else\n', [['syntax/stray-else', '#else']]],
    ['#elif 1\n', [['syntax/stray-else', '#elif 1']]],
    ['#endif\n', [['syntax/stray-endif', '#endif']]],
    ['#if 1\n#else\n#else\n#endif\n', [['syntax/stray-else', '#else']]],
    ['#if 0\n#else\n#elif 1\n#endif\n', [['syntax/stray-else', '#elif 1']]],
    ['#if\n#endif\n', [['syntax/bad-condition', '#if']]],
    ['#if (1\n#endif\n', [['syntax/bad-condition', '(']]],
    ['#if 1)\n#endif\n', [['syntax/bad-condition', ')']]],
    ['#if 1 +\n#endif\n', [['syntax/bad-condition', '+']]],
    ['#if 1 2\n#endif\n', [['syntax/bad-condition', '2']]],
    ['#if 1 ? 2\n#endif\n', [['syntax/bad-condition', '?']]],
    ['#if 1 : 2\n#endif\n', [['syntax/bad-condition', ':']]],
    ['#if 1.5 > 1\n#endif\n', [['syntax/bad-condition', '1.5']]],
    ['#if "a" == "b"\n#endif\n', [['syntax/bad-condition', '"a"']]],
    ['#if 1 / 0\n#endif\n', [['syntax/bad-condition', '/']]],
    ['#if 08\n#endif\n', [['syntax/bad-condition', '08']]],
    ['#if defined\n#endif\n', [['syntax/bad-condition', 'defined']]],
    ['#if defined(A\n#endif\n', [['syntax/bad-condition', 'A']]],
    ['#if A = 1\n#endif\n', [['syntax/bad-condition', '=']]],
    ['#ifdef\n#endif\n', [['syntax/bad-condition', '#ifdef']]],
    ['#ifdef 5\n#endif\n', [['syntax/bad-condition', '5']]],
    ['#ifdef A B\n#endif\n', [['syntax/extra-text', 'B']]],
    ['#if 1\n#endif A\n', [['syntax/extra-text', 'A']]],
    ['#define\n', [['syntax/bad-directive', 'define']]],
    ['#define 5 A\n', [['syntax/bad-directive', '5']]],
    ['#define defined 1\n', [['syntax/bad-directive', 'defined']]],
    ['#define A-1\n', [['syntax/bad-directive', '-']]],
    ['#define A(x\n', [['syntax/bad-directive', 'x']]],
    ['#define A(x, x) 1\n', [['syntax/bad-directive', 'x']]],
    ['#define A(x y) 1\n', [['syntax/bad-directive', 'y']]],
    ['#define A(1) 1\n', [['syntax/bad-directive', '1']]],
    ['#define A(x) #y\n', [['syntax/bad-directive', '#']]],
    ['#define A(...) __VA_OPT__(x\n', [['syntax/bad-directive', '(']]],
    ['#define A __VA_ARGS__\n', [['syntax/bad-directive', '__VA_ARGS__']]],
    ['#define A ## B\n', [['syntax/bad-paste', '##']]],
    ['#define A B ##\n', [['syntax/bad-paste', '##']]],
    ['#define A + ## B\n', [['syntax/bad-paste', 'A']]],
    ['#undef\n', [['syntax/bad-directive', '#undef']]],
    ['#undef A B\n', [['syntax/extra-text', 'B']]],
    ['#defin A 1\n', [['syntax/bad-directive', 'defin']]],
    ['#include\n', [['syntax/bad-directive', '#include']]],
    ['#include gone\n', []],
    ['#include 5\n', [['syntax/bad-directive', '5']]],
    ['#include "gone.h"\n', [['syntax/missing-include', '"gone.h"']]],
    ['#include <gone.h>\n', []],
    ['#line x\n', [['syntax/bad-directive', 'x']]],
    ['#define A "x\n', [['syntax/unterminated-string', '"x']]],
    ["#define A 'x\n", [['syntax/unterminated-string', "'x"]]],
    ["int don't;\n", [['syntax/unterminated-string', "'t;"]]],
    ["#if 0\nint don't;\n#endif\n", []],
    ["#error don't\n", [['syntax/stopped-build', "#error don't"]]],
    ["#if 0\n#error don't\n#endif\n", []],
    ["#warning don't\n", [['syntax/build-warning', "#warning don't"]]],
    ['#define A 1\n/* open\n', [['syntax/unterminated-comment', '/* open']]],
    ['#define A 1\n#define A 2\n', [['syntax/redefinition', 'A']]],
    ['#define A 1\n#define A /* same */ 1\n', []],
    ['// C:\\\n#define A 1\n', [['syntax/comment-continues', '// C:\\\n#define A 1']]],
    ['// art \\\n\n', []],
    ['// art \\ \n  \\ \n\n', []],
    ['// #define A 1 + \\\n 2\n', []],
    ['#define A 1 + \\ \n 2\n', [['syntax/blank-after-backslash', '\\']]],
    ['#define F(x) x\n#define A F(1, 2)\n', [['syntax/macro-arguments', 'F']]],
    ['#define F(x) x\n#define A F(1\n', [['syntax/macro-arguments', 'F']]],
    ['#define F(x) x\n#if F(1, 2)\n#endif\n', [['syntax/macro-arguments', 'F']]],
    ['#define A 1\0\n', [['syntax/not-text', '\0']]],
    ['#pragma anything at all "\n#ident "x"\n#\n# 5 "file"\n', []],
  ])('%j', (text, expected) => {
    const read = readOne(text, { define: {} });
    expect(read.problems.map(({ id, place }) => [id, text.slice(place.start, place.end)])).toEqual(expected);
    for (const { message } of read.problems) expect(message).toMatch(/^\S.{15,}[^ ]$/s);
  });

  it('costs its own line only', () => {
    for (const line of [
      '#define',
      '#define A(',
      '#def',
      '#if (',
      '#define X "',
      "don't",
      '#include "',
      '/*',
      '#undef',
      'f(',
      '#define B \u0001',
    ]) {
      const ifs = line.startsWith('#if') ? '#endif\n' : '';
      const read = readOne(`#define BEFORE 1\n${line}\n${ifs}#define BEHIND (BEFORE + 1)\n`);
      expect(
        table(read)
          .filter((row) => row.startsWith('B'))
          .filter((row) => !row.startsWith('B ')),
      ).toEqual(['BEFORE active 1', 'BEHIND active 2']);
    }
  });

  it('reports a file of another kind once, and nothing from it', () => {
    const bytes = '\x7fELF\x02\x01\x01\0\0\0\0#define A "\n#if (\n\0\0\ufffd\ufffd'.repeat(20);
    const read = readOne(bytes);
    expect([read.problems.map(({ id }) => id), read.entries]).toEqual([['syntax/not-text'], []]);
  });

  it('ends inclusion without end at a place that tells why', () => {
    const files = {
      'main.h': '#include "a.h"\n#include "a.h"\n#define END 1\n',
      'a.h': '#include "b.h"\n#include "b.h"\n',
      'b.h': '#include "a.h"\n#include "a.h"\n',
    };
    const read = readFiles(files);
    expect(read.problems.map(({ id }) => id)).toEqual(['syntax/include-cycle']);
    expect(table(read)).toEqual(['END active 1']);
  });

  it('ends inclusion that doubles with every file', () => {
    const files: Record<string, string> = {};
    for (let index = 0; index < 60; index++) {
      files[`f${index}.h`] = `#include "f${index + 1}.h"\n#include "f${index + 1}.h"\n`;
    }
    files['f60.h'] = '#define END 1\n';
    const read = readFiles(files);
    expect(read.problems.map(({ id }) => id)).toContain('syntax/include-depth');
    expect(read.files).toHaveLength(61);
    expect(read.files[60]).toBe(uriOf('f60.h'));
  });

  it('says when a macro grows without bound, and reads on', () => {
    let text = '#define A0 x x\n';
    for (let index = 1; index <= 40; index++) text += `#define A${index} A${index - 1} A${index - 1}\n`;
    text += '#define B 5\n#if A40\n#endif\n';
    const read = readOne(text);
    expect(read.problems.map(({ id }) => id)).toContain('syntax/expansion-too-large');
    expect(shown(entryOf(read, 'B').value)).toBe('5');
    const calls = `#define F(x) x x\n#define C ${'F('.repeat(30)}1${')'.repeat(30)}\n#define D ${'F('.repeat(5000)}1${')'.repeat(5000)}\n`;
    expect(readOne(calls).problems.map(({ id }) => id)).toEqual([
      'syntax/expansion-too-large',
      'syntax/expansion-too-large',
    ]);
  });

  it.each<[string, string, string]>([
    ['100000 parentheses', `#define S ${'('.repeat(100_000)}1${')'.repeat(100_000)}\n`, '1'],
    ['100000 signs', `#define S ${'- '.repeat(100_000)}1\n`, '1'],
    ['100000 conditions in each other', `#define S ${'1 ? '.repeat(50_000)}1${' : 0'.repeat(50_000)}\n`, '1'],
    ['100000 open parentheses', `#define S 1\n#if ${'('.repeat(100_000)}\n#endif\n`, '1'],
    ['nested #if', `#define S 1\n${'#if X\n'.repeat(20_000)}${'#define T 1\n'.repeat(50)}`, '1'],
    [
      'long chain',
      `#define S 1\n#if X0\n${Array.from({ length: 20_000 }, (_, i) => `#elif X${i}\n#define T${i} 1\n`).join('')}#endif\n`,
      '1',
    ],
    [
      'many choices',
      `#define S 1\n${Array.from({ length: 3000 }, (_, i) => `#ifdef X${i}\n#undef T\n#define T ${i}\n#endif\n`).join('')}`,
      '1',
    ],
    [
      'many parameters',
      `#define F(${Array.from({ length: 50_000 }, (_, i) => `a${i}`).join(',')}) a1 a2\n#define S 1\n`,
      '1',
    ],
    ['one long line', `#define S 1\nint x = ${'1 + '.repeat(1_250_000)}1;\n`, '1'],
    ['one long word', `#define S 1\n#define L ${'x'.repeat(5_000_000)}\n`, '1'],
    ['one long number', `#define S 1\n#define L ${'9'.repeat(1_000_000)}\n`, '1'],
    ['one long comment', `#define S 1\n/*${'* '.repeat(2_500_000)}`, '1'],
    ['quotes without partners', `#define S 1\n${'/* " \n'.repeat(50_000)}`, '1'],
    ['long list', `#define S 1\n#define L { ${'1, '.repeat(300_000)} }\n`, '1'],
    ['deep list', `#define S 1\n#define L ${'{'.repeat(50_000)}1${'}'.repeat(50_000)}\n`, '1'],
    ['backslashes', `#define S 1\n#define L ${'\\'.repeat(1_000_000)}\n`, '1'],
    ['splices', `#define S 1 ${'\\\n'.repeat(300_000)}\n`, '1'],
    ['long string', `#define S 1\n#define L "${'\\n'.repeat(1_000_000)}"\n`, '1'],
    ['hashes', `#define S 1\n${'#'.repeat(1_000_000)}\n`, '1'],
  ])('%s ends, with its value', { timeout: 60_000 }, (_title, text, expected) => {
    const read = readOne(text);
    expect(shown(entryOf(read, 'S').value)).toBe(expected);
    preprocess(text);
  });
});
