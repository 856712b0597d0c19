import { expect, test } from 'vitest';
import { countNames, type NameCount } from '../../../server/src/syntax/c-header/nameCount';

test('after any number of edits a name is there as often as it came more than it went', () => {
  const names = Array.from({ length: 300 }, (_, index) => `N${index}`);
  let all: string[] = [...names];
  let count: NameCount = countNames(all);
  for (let at = 0; at < names.length; at++) {
    const gone = all.slice(0, 2);
    const come = [`M${at % 90}`, names[(at * 7) % 300] as string];
    all = [...all.slice(2), ...come];
    count = count.with(gone, come);
    const wanted = new Set(all);
    expect([...count].sort()).toEqual([...wanted].sort());
    for (const name of [...gone, ...come, 'never']) expect(count.has(name)).toBe(wanted.has(name));
  }
});

test('a name that is there twice stays when one of the two goes; what is empty says so', () => {
  const twice = countNames(['A', 'A']);
  expect(twice.with(['A'], []).has('A')).toBe(true);
  expect(twice.with(['A', 'A'], []).has('A')).toBe(false);
  expect(twice.with(['A', 'A'], []).isEmpty).toBe(true);
  expect(countNames([]).isEmpty).toBe(true);
  expect(countNames([]).with([], ['B']).isEmpty).toBe(false);
});
