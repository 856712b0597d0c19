import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { loadBoard } from '../../server/src/board/load';
import { fittedDrivers } from '../../server/src/machine/fittedDriver';
import { loadMachine } from '../../server/src/machine/load';
import { checkReferences } from '../../server/src/machine/references';

const read = (path: string): string => readFileSync(new URL(path, import.meta.url), 'utf8');
const boardText = read('../board/full.board.json');
const machineText = read('./full.machine.json');

/** A text in which a stretch is replaced, as half-typed and pasted texts are. */
const damaged = (text: string) =>
  fc
    .tuple(
      fc.nat(text.length),
      fc.nat(60),
      fc.constantFrom(
        '',
        '"',
        '{',
        '}',
        '[',
        ']',
        ',',
        ':',
        'null',
        '-1',
        '1e999',
        '"\\u12',
        '/*',
        '\u0000',
        '\uD800',
        '{"__proto__": 1}',
        '"5"',
      ),
    )
    .map(([start, length, put]) => text.slice(0, start) + put + text.slice(start + length));

describe('damaged files', () => {
  it('never throw, and every problem lies in the text', () => {
    fc.assert(
      fc.property(damaged(boardText), damaged(machineText), (board, machine) => {
        const { profile, problems } = loadBoard('file:///b', board);
        const loaded = loadMachine('file:///m', machine, profile);
        const more = loaded.sheet && profile ? checkReferences(loaded.sheet, profile) : [];
        if (profile) fittedDrivers(profile, loaded.sheet);
        const inside = (text: string) => (problem: { place: { start: number; end: number } }) =>
          problem.place.start >= 0 &&
          problem.place.start <= problem.place.end &&
          problem.place.end <= text.length;
        expect(problems.every(inside(board))).toBe(true);
        expect([...loaded.problems, ...more].every(inside(machine))).toBe(true);
      }),
      { numRuns: 150, seed: 1 },
    );
  });

  it('a damaged stretch leaves most of the file', () => {
    const broken = boardText.replace('"16 MHz"', '"16 MHz');
    const { profile } = loadBoard('file:///b', broken);
    expect(profile?.connectors.size).toBe(1);
  });
});
