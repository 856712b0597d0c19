import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { EntryState } from '../../../server/src/syntax/entry';
import { entryOf, readOne, shown, table } from './kit';

// Kleene's strong three-valued logic: S. C. Kleene, Introduction to Metamathematics (1952), § 64.
const verdict = (condition: string, more = ''): string => {
  const entry = entryOf(readOne(`${more}\n#if ${condition}\n#define SETTING 1\n#endif\n`), 'SETTING');
  return entry.state === 'undecided' ? `undecided ${entry.undecidedNames.join(' ')}` : entry.state;
};

describe('conditions on names that nothing defines', () => {
  it.each([
    ['X', 'undecided X'],
    ['!X', 'undecided X'],
    ['defined(X)', 'undecided X'],
    ['X && 0', 'inactive'],
    ['0 && X', 'inactive'],
    ['X && 1', 'undecided X'],
    ['X && Y', 'undecided X Y'],
    ['X || 1', 'active'],
    ['1 || X', 'active'],
    ['X || 0', 'undecided X'],
    ['X || Y', 'undecided X Y'],
    ['!(X && 0)', 'active'],
    ['X == X', 'undecided X'],
    ['X == 1', 'undecided X'],
    ['X + 1 > 0', 'undecided X'],
    ['X ? 1 : 1', 'active'],
    ['X ? 1 : 0', 'undecided X'],
    ['1 ? 1 : X', 'active'],
    ['0 && X / 0', 'inactive'],
    ['X && 1 / 0', 'undecided X'],
    ['X(1, (2)) > 3', 'undecided X'],
    ['__has_attribute(unused)', 'undecided __has_attribute'],
    ['defined __has_include && __has_include(<avr/io.h>)', 'undecided __has_include'],
    ['__has_include("gone.h")', 'inactive'],
    ['__cplusplus >= 201103L', 'undecided __cplusplus'],
    ['true', 'active'],
    ['defined(__LINE__)', 'active'],
  ])('#if %s is %s', (condition, expected) => {
    expect(verdict(condition)).toBe(expected);
  });

  it.each([
    ['OFF', '// #define OFF 1', 'inactive'],
    ['defined(OFF)', '// #define OFF 1', 'inactive'],
    ['OFF', '#if 0\n#define OFF 1\n#endif', 'inactive'],
    ['A', '#ifdef X\n#define A 1\n#endif', 'undecided X'],
    ['A == 1', '#ifdef X\n#define A 1\n#else\n#define A 2\n#endif', 'undecided X'],
    ['A == 1', '#ifdef X\n#define A 1\n#else\n#define A 1\n#endif', 'active'],
    ['defined A', '#ifdef X\n#define A 1\n#else\n#define A 2\n#endif', 'undecided X'],
    ['A', '#ifdef X\n#define A 1\n#endif\n#undef A', 'inactive'],
    ['X', '#undef X', 'inactive'],
    ['A', '#define A B\n#define B X', 'undecided X'],
    ['A && 0', '#define A B\n#define B X', 'inactive'],
  ])('#if %s after %s is %s', (condition, more, expected) => {
    expect(verdict(condition, more)).toBe(expected);
  });

  it('takes a name defined later in the project for not defined here', () => {
    expect(table(readOne('#if LATER\n#define A 1\n#endif\n#define LATER 1\n'))).toEqual([
      'A inactive 1',
      'LATER active 1',
    ]);
  });

  it('sees the definitions of an arm within the arm only', () => {
    expect(
      table(
        readOne(
          '#define A 0\n#ifdef X\n#undef A\n#define A 1\n#if A == 1\n#define IN 1\n#else\n#define OUT 1\n#endif\n#else\n#if A == 1\n#define THERE 1\n#endif\n#endif\n#if A\n#define AFTER 1\n#endif\n',
        ),
      ),
    ).toEqual([
      'A undecided 0',
      'A undecided 1',
      'IN undecided 1',
      'OUT inactive 1',
      'THERE inactive 1',
      'AFTER undecided 1',
    ]);
  });

  it('follows chains: an arm behind an undecided one is undecided, behind a true one inactive', () => {
    expect(
      table(
        readOne(
          '#if 0\n#define A 1\n#elif X\n#define A 2\n#elif 0\n#define A 3\n#elif 1\n#define A 4\n#elif Y\n#define A 5\n#else\n#define A 6\n#endif\n',
        ),
      ),
    ).toEqual([
      'A inactive 1',
      'A undecided 2',
      'A inactive 3',
      'A undecided 4',
      'A inactive 5',
      'A inactive 6',
    ]);
  });

  it('leaves values open that hang on undecided definitions', () => {
    const read = readOne(
      '#ifdef X\n#define A 1\n#else\n#define A 2\n#endif\n#define B (A + 1)\n#define C 3\n',
    );
    expect(table(read).slice(2)).toEqual(['B active other (A + 1) (undecided)', 'C active 3']);
    expect([entryOf(read, 'B').undecidedNames, entryOf(read, 'C').undecidedNames]).toEqual([['X'], []]);
  });

  it('reads a value within an arm by the definitions that come with the arm', () => {
    const read = readOne(
      '#ifdef X\n#define P 1\n#define Q P\n#else\n#define R P\n#endif\n#ifndef X\n#define S P\n#endif\n',
    );
    expect(table(read)).toEqual([
      'P undecided 1',
      'Q undecided 1',
      'R undecided other P (undecided)',
      'S undecided other P (undecided)',
    ]);
  });

  it('is told by the options', () => {
    const text = '#ifdef X\n#define A X\n#endif\n#ifndef K\n#define K 1\n#endif\n';
    expect(table(readOne(text, { define: { X: '5' } }))).toEqual(['A active 5', 'K active 1']);
    expect(table(readOne(text, { undefine: ['X'] }))).toEqual(['A inactive word X', 'K active 1']);
    expect(table(readOne(text, { undecided: ['K'] }))[1]).toBe('K undecided 1');
    expect(table(readOne(text, { unknownNames: 'absent' }))[0]).toBe('A inactive word X');
    expect(table(readOne(text, { predefined: { X: '' } }))[0]).toBe('A active empty');
    expect(table(readOne('#if F(2) == 4\n#define A 1\n#endif\n', { define: { 'F(x)': '(x)*2' } }))).toEqual([
      'A active 1',
    ]);
  });

  it('never stops a build for an #error nobody is sure of', () => {
    expect(readOne('#ifdef X\n#error no\n#warning no\n#include "gone.h"\n#endif\n').problems).toEqual([]);
  });
});

// Whatever the build says about the unknown names, what the reader called decided must come true.
describe('decided means decided', () => {
  const unknown = ['X', 'Y'];
  /** A definition replaced for certain may also sit in an arm that is not compiled: out of force either way. */
  const standing = (state: EntryState | undefined): string =>
    state === 'inactive' || state === 'overridden' || state === 'undefined' ? 'out of force' : String(state);
  const names = fc.constantFrom('X', 'Y', 'A', 'B', 'C');
  const condition = fc.letrec<{ c: string }>((tie) => ({
    c: fc.oneof(
      { maxDepth: 2 },
      names,
      names.map((name) => `defined(${name})`),
      fc.tuple(names, fc.integer({ min: 0, max: 2 })).map(([name, value]) => `${name} == ${value}`),
      tie('c').map((inner) => `!(${inner})`),
      fc
        .tuple(tie('c'), fc.constantFrom('&&', '||'), tie('c'))
        .map(([a, operator, b]) => `(${a} ${operator} ${b})`),
      fc.tuple(tie('c'), tie('c'), tie('c')).map(([a, b, c]) => `(${a} ? ${b} : ${c})`),
    ),
  })).c;
  const line = fc.letrec<{ s: string; g: string }>((tie) => ({
    g: fc.array(tie('s'), { maxLength: 3 }).map((lines) => lines.join('\n')),
    s: fc.oneof(
      { maxDepth: 3 },
      {
        weight: 3,
        arbitrary: fc
          .tuple(fc.constantFrom('A', 'B', 'C'), fc.constantFrom('0', '1', '2', 'A', 'B', 'C', 'A + 1', ''))
          .map(([name, value]) => `#undef ${name}\n#define ${name} ${value}`),
      },
      { weight: 1, arbitrary: fc.constantFrom('A', 'B', 'C').map((name) => `#undef ${name}`) },
      {
        weight: 3,
        arbitrary: fc
          .tuple(condition, tie('g'), fc.option(fc.tuple(condition, tie('g'))), fc.option(tie('g')))
          .map(([first, body, second, last]) =>
            [
              `#if ${first}`,
              body,
              ...(second ? [`#elif ${second[0]}`, second[1]] : []),
              ...(last === null ? [] : ['#else', last]),
              '#endif',
            ].join('\n'),
          ),
      },
    ),
  })).s;
  const program = fc.array(line, { minLength: 1, maxLength: 6 }).map((lines) => `${lines.join('\n')}\n`);

  it('for all that the build may define', { timeout: 120_000 }, () => {
    fc.assert(
      fc.property(program, (text) => {
        const open = readOne(text);
        if (open.problems.some(({ severity }) => severity === 'error')) return;
        for (const x of [undefined, '0', '1', '2']) {
          for (const y of [undefined, '1']) {
            const define = Object.fromEntries(
              [x, y].flatMap((value, index) => (value === undefined ? [] : [[unknown[index], value]])),
            );
            const exact = readOne(text, { define, unknownNames: 'absent' });
            if (exact.problems.some(({ severity }) => severity === 'error')) continue;
            open.entries.forEach((entry, index) => {
              const real = exact.entries[index];
              if (entry.state === 'active') {
                // The build sees this text: from here, or from an identical definition in an arm nobody is sure of.
                const inForce = exact.entries.filter(
                  ({ name, state }) => name === entry.name && state === 'active',
                );
                expect(inForce.map(({ rawText }) => rawText)).toContain(entry.rawText);
              } else if (entry.state !== 'undecided') {
                expect(standing(real?.state), JSON.stringify(define)).toBe(standing(entry.state));
              }
              if (
                entry.state === 'active' &&
                entry.undecidedNames.length === 0 &&
                entry.value.kind === 'number'
              ) {
                expect(shown(real?.value ?? entry.value), JSON.stringify(define)).toBe(shown(entry.value));
              }
            });
          }
        }
      }),
      { numRuns: Number(process.env.RUNS ?? 500), seed: Number(process.env.SEED ?? 11) },
    );
  });
});
