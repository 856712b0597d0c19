import distance from 'damerau-levenshtein';
import { describe, expect, it } from 'vitest';
import { CONCEPTS, nearestNames, neutralName } from '../../server/src/settings';

const names = (name: string, candidates: readonly string[]) =>
  nearestNames(name, new Set(candidates)).map((near) => near.name);

describe('nearest names', () => {
  it('find one swap (length 17, limit 3, distance 1)', () => {
    expect(nearestNames('axis.x.stpesPerMm', new Set(['axis.x.stepsPerMm', 'axis.x.maxSpeed']))).toEqual([
      { name: 'axis.x.stepsPerMm', distance: 1, sameWords: false },
    ]);
  });

  it('find the same words in another order', () => {
    expect(nearestNames('temp_max_bed', new Set(['bed_temp_max', 'bed_temp_min']))).toMatchObject([
      { name: 'bed_temp_max', sameWords: true },
    ]);
  });

  // Distances of the method's first description (F. J. Damerau, 1964: one letter put in, left out, wrong, or two swapped).
  it.each([
    ['abcdef', 'abcdeg', true],
    ['abcdef', 'abcdf', true],
    ['abcdef', 'abcdefg', true],
    ['abcdef', 'abdcef', true],
    ['abcdef', 'abxyef', false],
    ['abcdefghij', 'abxyefghij', true],
    ['ab', 'xb', true],
    ['ab', 'xy', false],
  ])('%s and %s: %s', (name, candidate, near) => {
    expect(names(name, [candidate]).length === 1).toBe(near);
  });

  it('leave out the name itself, keep another case', () => {
    expect(names('qSteps', ['qSteps', 'QSTEPS'])).toEqual(['QSTEPS']);
  });

  it('take names that differ in numbers alone as different settings', () => {
    expect(names('TOOL_7_MAX_TEMPERATURE_CELSIUS', [...CONCEPTS.values()].map(neutralName))).toEqual([]);
  });

  it('put the nearest first', () => {
    expect(names('GUARD_BED_HOLD_WINODW_S', [...CONCEPTS.values()].map(neutralName))[0]).toBe(
      'GUARD_BED_HOLD_WINDOW_S',
    );
  });

  it('leave out names longer than anybody mistypes', () => {
    expect(names('x'.repeat(5000), [...CONCEPTS.values()].map(neutralName))).toEqual([]);
  });

  it('miss none that is near: the same as comparing with every candidate', () => {
    const all = [...CONCEPTS.values()].map(neutralName);
    for (const [index, name] of all.entries()) {
      const slip = `${name.slice(0, index % name.length)}Q${name.slice((index % name.length) + 1)}`;
      const limit = Math.max(1, Math.floor(slip.length / 5));
      const near = all.filter((other) => other !== slip && distance(slip, other).steps <= limit);
      expect(names(slip, all).sort()).toEqual(near.sort());
    }
  });
});
