import { describe, expect, it } from 'vitest';
import { rules } from '../../server/src/rules';
import { checkRule } from '../kit/checkRule';
import { readFixture } from '../kit/fixture';

// Every rule's own examples: they are its documentation, so they must be true.
for (const rule of rules) {
  describe(rule.id, () => {
    it.each(rule.bad.map((text, index) => [index, text] as const))('bad example %i fires as marked', async (_, text) => {
      expect(readFixture(text).marks.length).toBeGreaterThan(0);
      await checkRule(rule, text);
    });
    it.each(rule.good.map((text, index) => [index, text] as const))('good example %i stays silent', async (_, text) => {
      expect(readFixture(text).marks).toEqual([]);
      await checkRule(rule, text);
    });
  });
}
