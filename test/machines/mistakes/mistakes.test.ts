import { appendFileSync } from 'node:fs';
import { afterAll, describe, expect, it } from 'vitest';
import { ruleById, rules } from '../../../server/src/rules';
import { outcomeOf } from '../analyseMistake';
import { say } from '../machines';
import { mistakes } from '.';
import { expectation, withMistake } from './mistake';

/**
 * Recall and false alarms: each mistake is a correct machine with one wrong fact. The rules it names must speak up, and no others.
 * README.md beside the machines says how to add one.
 */

const figures = { run: 0, found: 0, alarms: 0 };

describe.each(mistakes.map((mistake) => ({ ...mistake, mistake })))('$machine: $what', ({ mistake }) => {
  it(mistake.fires.join(', '), async () => {
    figures.run++;
    const { missed, alarms } = await outcomeOf(mistake);
    if (missed.length === 0) figures.found++;
    figures.alarms += alarms.length;
    expect({ missed, alarms: alarms.map((finding) => say(finding, withMistake(mistake))) }).toEqual({
      missed: [],
      alarms: [],
    });
  });
});

describe('the table of mistakes', () => {
  it('names only rules that exist, once for each mistake', () => {
    const named = mistakes.flatMap(({ fires }) => fires.map((one) => expectation(one).rule));
    expect(named.filter((rule) => !ruleById(rule) && !rule.includes('syntax/'))).toEqual([]);
    for (const { fires, what } of mistakes) {
      expect(fires.length, what).toBeGreaterThan(0);
      expect(new Set(fires.map((one) => expectation(one).rule)).size, what).toBe(fires.length);
    }
    const titles = mistakes.map(({ machine, what }) => `${machine}: ${what}`);
    expect(new Set(titles).size).toBe(titles.length);
  });

  it('has two mistakes or more for every rule', () => {
    expect(short()).toEqual([]);
  });
});

/** Rules with fewer than two mistakes. */
function short(): string[] {
  const counts = new Map<string, number>();
  for (const { fires } of mistakes)
    for (const one of fires) {
      const { rule } = expectation(one);
      counts.set(rule, (counts.get(rule) ?? 0) + 1);
    }
  return rules.map(({ id }) => id).filter((id) => (counts.get(id) ?? 0) < 2);
}

afterAll(() => {
  const { run, found, alarms } = figures;
  const share = run === 0 ? 'none run' : `${((100 * found) / run).toFixed(1)} %`;
  const line = `Single mistakes in correct machines: ${found} of ${run} found (recall ${share}), ${alarms} false alarms`;
  console.log(line);
  // The test command shows it at its end.
  const file = process.env.FETTLE_FIGURES;
  if (file) appendFileSync(file, `${line}\n`);
});
