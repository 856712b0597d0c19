import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { createReader, readSettings } from '../../../server/src/syntax/c-header';
import { parseText, reparseText } from '../../../server/src/syntax/c-header/text';
import type { SettingsText } from '../../../server/src/syntax/entry';
import { expectAsAnew, seen, URI, wrongIn } from './seen';

/**
 * The oracle is the reader itself on a text it has never seen: what an edit is taken over for must not show in the answer.
 * Pieces are chosen so that lines are often unfinished, joined, commented out, or change places with directives.
 */
const piece = fc.constantFrom(
  '#define A 1\n',
  '#define A 2\n',
  '#define B A\n',
  '#define C (A + B) * 2 // note\n',
  '#define D {A, B, "x"}\n',
  '#define F(x) x + A\n',
  '#define G F(B)\n',
  '#define H F(\n',
  '// #define A 3\n',
  '#if A > 1\n',
  '#ifdef B\n',
  '#ifndef Z\n',
  '#elif C\n',
  '#else\n',
  '#endif\n',
  '#undef A\n',
  '#include "b.h"\n',
  '#include "c.h"\n',
  '#pragma once\n',
  '#if A > 1\n#error "A is too large"\n#endif\n',
  '#if defined(B) && A > C\n#warning look at B\n#elif A == 7\n#error seven\n#endif\n',
  '#define L __LINE__\n',
  '#define J A ## B\n',
  'int x = A;\n',
  '/* open ',
  ' close */',
  '\\\n',
  '\\ \n',
  '\n',
  '\r\n',
  ' ',
  '1',
  'A',
  '"',
  "'",
  '#',
  'define ',
  '//',
  '\ufeff',
  '(',
  ')',
);
const texts = fc.array(piece, { maxLength: 14 }).map((pieces) => pieces.join(''));
const edit = fc.record({
  file: fc.constantFrom('a.h', 'b.h', 'c.h'),
  at: fc.double({ min: 0, max: 1, noNaN: true }),
  remove: fc.integer({ min: 0, max: 12 }),
  insert: fc.array(piece, { maxLength: 2 }).map((pieces) => pieces.join('')),
  /** Most of what is typed is one value after another; then come lines that say nothing. */
  kind: fc.constantFrom('digit', 'digit', 'line', 'any'),
});

function edited(
  text: string,
  { at, remove, insert, kind }: { at: number; remove: number; insert: string; kind: string },
) {
  const digits = [...text.matchAll(/\d|A|B/g)];
  const found = digits[Math.floor(at * digits.length)];
  if (kind === 'line') return withLine(text, at, remove);
  if (kind === 'digit' && found)
    return `${text.slice(0, found.index)}${insert.slice(0, 1) || '7'}${text.slice(found.index + 1)}`;
  const start = Math.floor(at * text.length);
  return text.slice(0, start) + insert + text.slice(start + remove);
}

/** Takes away a line that says nothing, or puts one or two in. */
function withLine(text: string, at: number, remove: number): string {
  const ends = [0, ...Array.from(text.matchAll(/\n/g), ({ index }) => index + 1)];
  const start = ends[Math.floor(at * ends.length)] ?? 0;
  const [quiet] = /^(?:[ \t]*(?:\/\/[^#\n]*)?\r?\n)+/.exec(text.slice(start)) ?? [];
  if (quiet && remove < 6) return text.slice(0, start) + text.slice(start + quiet.length);
  const line = ['\n', '// A 1\n', '\r\n', '/* A */ \n\n', '  // x\n\n'][remove % 5] ?? '\n';
  return text.slice(0, start) + line + text.slice(start);
}

describe('an edit', () => {
  it('leads to the same lines as parsing anew', () => {
    fc.assert(
      fc.property(texts, fc.array(edit, { minLength: 1, maxLength: 5 }), (start, edits) => {
        let text = start;
        let parsed = parseText(text, { digitSeparators: true });
        for (const one of edits) {
          text = edited(text, one);
          parsed = reparseText(parsed, text, { digitSeparators: true });
          const anew = parseText(text, { digitSeparators: true });
          expect([...parsed.starts]).toEqual([...anew.starts]);
          expect(parsed.lines).toEqual(anew.lines);
          expect([...parsed.joins]).toEqual([...anew.joins]);
          expect(parsed.openComment).toBe(anew.openComment);
          expect(parsed.guard()).toBe(anew.guard());
          expect([...parsed.defined()].sort()).toEqual([...anew.defined()].sort());
          expect(parsed.defined().isEmpty).toBe(anew.defined().isEmpty);
          expect(parsed.commented('b')).toEqual(anew.commented('b'));
          expect([...parsed.usedNames()].sort()).toEqual([...anew.usedNames()].sort());
          expect([...parsed.mentionedNames()].sort()).toEqual([...anew.mentionedNames()].sort());
        }
      }),
      { numRuns: 6000, seed: 11 },
    );
  }, 300_000);

  it('leads to the same reading as reading anew', () => {
    fc.assert(
      fc.property(texts, texts, fc.array(edit, { minLength: 1, maxLength: 6 }), (a, b, edits) => {
        const files = new Map([
          [`${URI}a.h`, a],
          [`${URI}b.h`, b],
        ]);
        const more = { define: { K: '1' }, undecided: ['U'] };
        expectAsAnew(files, more, edits, edited);
      }),
      { numRuns: 14000, seed: 12 },
    );
  }, 300_000);

  // Each is the least sequence on which a reading was once carried over wrongly.
  it.each<[string, readonly Readonly<Record<string, string>>[]]>([
    [
      'a definition that is switched off gets another kind',
      [{ 'a.h': '//#define G(B)\n' }, { 'a.h': '//#define G(7)\n' }],
    ],
    [
      "a name becomes one of the compiler's own",
      [
        { 'a.h': '#define __LINE_ 7\n#define W __LINE__\n' },
        { 'a.h': '#define __LINE__ 7\n#define W __LINE__\n' },
      ],
    ],
    [
      'a name becomes one that another spelling looks at',
      [
        { 'a.h': '#define \\u00e9p 7\n#define W \u00e9\n' },
        { 'a.h': '#define \\u00e9 7\n#define W \u00e9\n' },
      ],
    ],
    [
      'a blank before a name',
      [{ 'a.h': '#define A 1\n#define B A\n' }, { 'a.h': '#define  A 1\n#define B A\n' }],
    ],
    [
      'a file that was only asked for goes',
      [
        { 'a.h': '#if __has_include("b.h")\n#define A 1\n#endif\n', 'b.h': '' },
        { 'a.h': '#if __has_include("b.h")\n#define A 1\n#endif\n' },
      ],
    ],
    [
      'another file is asked for through a name',
      [
        { 'a.h': '#define A __has_include("b.h")\n#if A\n#error a\n#endif\n' },
        { 'a.h': '#define A __has_include("c.h")\n#if A\n#error a\n#endif\n' },
      ],
    ],
    [
      'a name becomes a question for a file',
      [
        { 'a.h': '#define A 0\n#if A\n#error a\n#endif\n', 'b.h': '' },
        { 'a.h': '#define A __has_include("b.h")\n#if A\n#error a\n#endif\n', 'b.h': '' },
        { 'a.h': '#define A __has_include("b.h")\n#if A\n#error a\n#endif\n' },
      ],
    ],
  ])('leads to the same reading: %s', (_title, states) => {
    const reader = createReader();
    let last: SettingsText | undefined;
    for (const files of states) {
      const options = { entry: `${URI}a.h`, read: (uri: string) => files[uri.slice(URI.length)] };
      const now = reader.read(options);
      expect(last ? wrongIn(last, now) : []).toEqual([]);
      expect(seen(now)).toEqual(seen(readSettings(options)));
      last = now;
    }
  });
});
