import { describe, expect, it } from 'vitest';
import { rules } from '../../server/src/rules';
import { checkQuiet, checkRule } from '../kit/checkRule';
import { readFixture } from '../kit/fixture';

describe.each(rules.map((rule) => [rule.id, rule] as const))('%s', (_, rule) => {
  it('has examples of both sorts', () => {
    expect(rule.bad.length).toBeGreaterThan(0);
    expect(rule.good.length).toBeGreaterThan(0);
  });

  it.each(rule.bad)('fires on bad example %#', async (example) => {
    expect(readFixture(example).marks.length).toBeGreaterThan(0);
    await checkRule(rule, example);
  });

  it.each(rule.good)('is silent on good example %#', async (example) => {
    await checkQuiet(rule, example);
  });
});
