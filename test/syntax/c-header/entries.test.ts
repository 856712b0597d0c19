import { describe, expect, it } from 'vitest';
import type { Place } from '../../../server/src/model/place';
import { entryOf, readFiles, readOne, table, uriOf } from './kit';

const cut = (text: string, place: Place | undefined): string | undefined =>
  place && text.slice(place.start, place.end);

describe('entries', () => {
  it('have exact places', () => {
    const text =
      '  #  define  RATE  /* per s */ (9600 * \\\n    12) // baud, host side\n#define FLAG\n#define CALL(a, b) a + b\n';
    const read = readOne(text);
    const rate = entryOf(read, 'RATE');
    expect(cut(text, rate.place)).toBe('#  define  RATE  /* per s */ (9600 * \\\n    12) // baud, host side');
    expect(cut(text, rate.namePlace)).toBe('RATE');
    expect(cut(text, rate.valuePlace)).toBe('(9600 * \\\n    12)');
    expect(rate.rawText).toBe('(9600 * \\\n    12)');
    expect(rate.trailingComment).toBe('baud, host side');
    expect(rate.rawWord).toBeUndefined();
    const flag = entryOf(read, 'FLAG');
    expect([cut(text, flag.place), flag.valuePlace, flag.rawText]).toEqual(['#define FLAG', undefined, '']);
    const call = entryOf(read, 'CALL');
    expect([call.functionLike, call.rawText]).toEqual([true, 'a + b']);
  });

  it.each([
    ['#define A 5 // mm', 'mm'],
    ['#define A 5 /* mm */', 'mm'],
    ['#define A 5 ///< mm', 'mm'],
    ['#define A 5 /** mm **/ // of belt', 'mm of belt'],
    ['#define A // mm', 'mm'],
    ['#define A /* not this */ 5', undefined],
    ['#define A "// no comment"', undefined],
    ['#define A 5 //', undefined],
    ['//#define A 5 // mm', 'mm'],
    ['/* #define A 5 */ // mm', 'mm'],
  ])('%s has the comment %s', (text, comment) => {
    expect(entryOf(readOne(text), 'A').trailingComment).toBe(comment);
  });

  it.each([
    ['#define A WORD', 'WORD'],
    ['#define A (WORD)', undefined],
    ['#define A 5', undefined],
    ['#define A TWO WORDS', undefined],
  ])('%s has the raw word %s', (text, word) => {
    expect(entryOf(readOne(`${text}\n#define WORD 7\n`), 'A').rawWord).toBe(word);
  });
});

describe('what became of a definition', () => {
  it.each([
    ['#define A 1', ['A active 1']],
    ['#if 0\n#define A 1\n#endif', ['A inactive 1']],
    ['#define A 1\n#undef A\n#define A 2', ['A overridden 1', 'A active 2']],
    ['#define A 1\n#define A 2', ['A overridden 1', 'A active 2']],
    ['#define A 1\n#undef A', ['A undefined 1']],
    ['// #define A 1', ['A commentedOut 1']],
    ['#if 0\n//#define A 1\n#endif', ['A commentedOut 1']],
    ['#ifdef X\n#define A 1\n#endif', ['A undecided 1']],
    ['#ifdef X\n#define A 1\n#else\n#define A 2\n#endif', ['A undecided 1', 'A undecided 2']],
    ['#define A 1\n#ifdef X\n#undef A\n#endif', ['A undecided 1']],
    ['#define A 1\n#ifdef X\n#undef A\n#define A 2\n#endif', ['A undecided 1', 'A undecided 2']],
    ['#ifdef X\n#define A 1\n#endif\n#undef A\n#define A 2', ['A overridden 1', 'A active 2']],
    ['#ifdef X\n#define A 1\n#endif\n#undef A', ['A undefined 1']],
    ['#ifdef X\n#define A 1\n#undef A\n#endif', ['A undefined 1']],
    ['#ifndef A\n#define A 1\n#endif', ['A active 1']],
    ['#define A 2\n#ifndef A\n#define A 1\n#endif', ['A active 2', 'A inactive 1']],
    [
      '#define K 2\n#if K == 1\n#define A 1\n#elif K == 2\n#define A 2\n#else\n#define A 3\n#endif',
      ['K active 2', 'A inactive 1', 'A active 2', 'A inactive 3'],
    ],
  ])('%s', (text, expected) => {
    expect(table(readOne(text))).toEqual(expected);
  });

  it('tells which line did it, and whether #undef stood between', () => {
    const text = '#define A 1\n#undef A\n#define A 2\n#define B 1\n#define B 2\n#define C 1\n#undef C\n';
    const read = readOne(text);
    const told = read.entries.map(({ name, endedBy, undefinedBefore }) => [
      name,
      cut(text, endedBy),
      undefinedBefore,
    ]);
    expect(told).toEqual([
      ['A', 'A', true],
      ['A', undefined, undefined],
      ['B', '#define B 2', undefined],
      ['B', undefined, undefined],
      ['C', '#undef C', undefined],
    ]);
  });

  it('names the condition that decides', () => {
    const read = readOne(
      '#ifndef G_H\n#define G_H\n#define A 1\n#if 1\n#define B 1\n#endif\n#if 0\n#if 1\n#define C 1\n#endif\n#else\n#define D 1\n#ifdef X\n#if 1\n#define E 1\n#endif\n#endif\n#endif\n#endif\n',
    );
    expect(read.entries.map(({ name, condition }) => [name, condition?.text])).toEqual([
      ['G_H', undefined],
      ['A', undefined],
      ['B', '#if 1'],
      ['C', '#if 0'],
      ['D', '#else of #if 0'],
      ['E', '#ifdef X'],
    ]);
    expect(entryOf(read, 'G_H').includeGuard).toBe(true);
    expect(read.entries.filter((entry) => entry.includeGuard)).toHaveLength(1);
  });

  it('lists a definition in a file read twice once, in the state that matters most', () => {
    const read = readFiles({
      'main.h': '#define KIND 1\n#include "rows.h"\n#undef KIND\n#define KIND 2\n#include "rows.h"\n',
      'rows.h': '#if KIND == 2\n#define TWO 2\n#endif\n',
    });
    expect(table(read)).toEqual(['KIND overridden 1', 'TWO active 2', 'KIND active 2']);
  });
});

describe('definitions switched off by a comment', () => {
  it.each([
    ['//#define A 5', '5', ['//']],
    ['// #define A 5', '5', ['// ']],
    ['  //  #  define A 5', '5', ['//  ']],
    ['/* #define A 5 */', '5', ['/* ', '*/']],
    ['/*#define A 5*/', '5', ['/*', '*/']],
    ['// #define A', '', ['// ']],
    ['// #define A(x) x + 1', 'x + 1', ['// ']],
    ['// #define A unsigned long int', 'unsigned long int', ['// ']],
    ['// #define A 1 + \\\n 2', '1 + \\\n 2', ['// ']],
  ])('%s', (text, raw, marks) => {
    const entry = entryOf(readOne(`${text}\n`), 'A');
    expect([entry.state, entry.rawText, entry.commentMarks?.map((mark) => cut(text, mark))]).toEqual([
      'commentedOut',
      raw,
      marks,
    ]);
    // Taking the marks away switches exactly this definition on.
    let on = text;
    for (const mark of [...(entry.commentMarks ?? [])].reverse())
      on = on.slice(0, mark.start) + on.slice(mark.end);
    expect(entryOf(readOne(`${on}\n`), 'A')).toMatchObject({ state: 'active', rawText: raw });
  });

  it.each([
    '// Use #define to choose the board',
    '// #defines go here',
    '// # define',
    '// #define 5',
    '// #define SETTINGS that you want to change',
    '// #ifdef A',
    '/* #define A 5\n   #define B 6 */',
    'int x; // #define A 5',
    '#define B 1 // #define A 5',
    '/// #define A 5',
    '// "#define A 5"',
  ])('%s is none', (text) => {
    expect(readOne(text).entries.filter(({ state }) => state === 'commentedOut')).toEqual([]);
  });
});

describe('what the text looks at', () => {
  it('lists uses in conditions, values, includes and code', () => {
    const text =
      '#define A B\n#define B 1\n#if A > 1 && defined(C)\n#endif\n#ifdef A\n#endif\n#define F(x) x + A\n// #define OFF B\n#define NAME "x.h"\n#include NAME\nint y = B + other;\n';
    const { uses } = readOne(text);
    const lines = (name: string) =>
      uses.places(name).map((place) => text.slice(0, place.start).split('\n').length);
    expect(lines('A')).toEqual([3, 5, 7]);
    expect(lines('B')).toEqual([1, 8, 11]);
    expect(lines('C')).toEqual([3]);
    expect(lines('NAME')).toEqual([10]);
    expect([uses.has('x'), uses.has('defined'), uses.has('other')]).toEqual([false, false, false]);
  });

  it('gives the comments that hold a word', () => {
    const text = '// one\n#define A 1 /* two */\n/* three\n */ int x; // four\n';
    expect(
      readOne(text)
        .comments('')
        .map(({ place, text: comment }) => [comment, cut(text, place) === comment]),
    ).toEqual([
      ['// one', true],
      ['/* two */', true],
      ['/* three\n */', true],
      ['// four', true],
    ]);
    expect(
      readOne(text)
        .comments('OU')
        .map((comment) => comment.text),
    ).toEqual(['// four']);
  });
});

describe('includes', () => {
  const files = {
    'main.h':
      '#include "sub/a.h"\n#include <lib.h>\n#include "lib.h"\n#include <system.h>\n#include "gone.h"\n',
    'sub/a.h': '#include "b.h"\n#include "../up.h"\n',
    'sub/b.h': '#define B 1\n',
    'up.h': '#define UP 1\n',
    'inc/lib.h': '#define LIB 1\n',
  };

  it('look beside the file, then along the paths', () => {
    const read = readFiles(files, { includePaths: [uriOf('none'), uriOf('inc')] });
    expect(read.files).toEqual(['main.h', 'sub/a.h', 'sub/b.h', 'up.h', 'inc/lib.h'].map(uriOf));
    expect(table(read)).toEqual(['B active 1', 'UP active 1', 'LIB active 1']);
    expect(read.problems.map(({ id, place }) => [id, cut(files['main.h'], place)])).toEqual([
      ['syntax/missing-include', '"gone.h"'],
    ]);
    const candidates = read.missing.map((one) => one.candidates);
    expect(candidates).toEqual([
      [uriOf('none/lib.h')],
      [uriOf('lib.h'), uriOf('none/lib.h')],
      [uriOf('none/system.h'), uriOf('inc/system.h')],
      [uriOf('gone.h'), uriOf('none/gone.h'), uriOf('inc/gone.h')],
    ]);
  });

  it('keep the spelling the caller knows, whatever the drive letter and percent signs', () => {
    const texts: Record<string, string> = {
      'file:///C:/my%20machine/main.h':
        '#include "other file.h"\n#include "main.h"\n#define A OTHER\n#pragma once\n',
      'file:///c%3A/my%20machine/other%20file.h': '#pragma once\n#include "main.h"\n#define OTHER 2\n',
    };
    const read = readFiles({}, { entry: 'file:///C:/my%20machine/main.h', read: (uri) => texts[uri] });
    expect(read.files).toEqual(Object.keys(texts));
    expect(table(read)).toEqual(['A active 2', 'OTHER active 2']);
  });

  it('can be told the spelling of a file', () => {
    const read = readFiles(
      { 'main.h': '#include "Pins.H"\n', 'pins.h': '#define PIN 3\n' },
      { resolve: (candidate) => candidate.toLowerCase() },
    );
    expect([read.files[1], table(read)]).toEqual([uriOf('pins.h'), ['PIN active 3']]);
  });

  it('take a backslash for a separator when nothing else is there', () => {
    expect(table(readFiles({ 'main.h': '#include "sub\\b.h"\n', 'sub/b.h': '#define B 1\n' }))).toEqual([
      'B active 1',
    ]);
  });

  it('read several entries as one unit', () => {
    const read = readFiles(
      { 'one.h': '#define A 1\n', 'two.h': '#if A == 1\n#define B A\n#endif\n' },
      { entry: undefined, entries: [uriOf('one.h'), uriOf('two.h'), uriOf('gone.h')] },
    );
    expect(table(read)).toEqual(['A active 1', 'B active 1']);
    expect(read.missing).toEqual([
      { place: { uri: uriOf('gone.h'), start: 0, end: 0 }, candidates: [uriOf('gone.h')] },
    ]);
  });

  it('look through files of branches that are not compiled for the names they define', () => {
    const read = readFiles({
      'main.h': '#if 0\n#include "off.h"\n#endif\n#ifdef IN_OFF\n#define A 1\n#endif\n',
      'off.h': '#define IN_OFF\n',
    });
    expect(table(read)).toEqual(['A inactive 1']);
    expect([read.files, read.consulted]).toEqual([[uriOf('main.h')], [uriOf('off.h')]]);
  });
});
