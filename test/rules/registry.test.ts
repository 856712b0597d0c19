import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { rules } from '../../server/src/rules';
import { severities } from '../../server/src/rules/rule';

const folder = join(import.meta.dirname, '../../server/src/rules');

/** "group/name" of every file in the group folders that defines a rule; others are parts that rules of a group share. */
const files = readdirSync(folder, { withFileTypes: true })
  .filter((entry) => entry.isDirectory())
  .flatMap((group) => readdirSync(join(folder, group.name)).map((file) => `${group.name}/${file}`))
  .filter((file) => file.endsWith('.ts') && readFileSync(join(folder, file), 'utf8').includes('defineRule('))
  .map((file) => file.replace(/\.ts$/, ''));

describe('the list of rules', () => {
  it('has one file for each rule, and each rule once', () => {
    const ids = rules.map(({ id }) => id);
    expect([...ids].sort()).toEqual([...files].sort());
    expect(new Set(ids).size).toBe(ids.length);
  });

  it.each(rules.map((rule) => [rule.id, rule] as const))(
    '%s: its file, its words and its tests',
    async (id, rule) => {
      const module = (await import(/* @vite-ignore */ join(folder, `${id}.ts`))) as { default: unknown };
      expect(module.default).toBe(rule);
      expect(id).toMatch(/^[a-z]+\/[a-z0-9-]+$/);
      for (const words of [rule.title, rule.what, rule.why, rule.formula, rule.source])
        expect(words.trim()).not.toBe('');
      expect(rule.severity.length).toBeGreaterThan(0);
      const ranks = rule.severity.map((severity) => severities.indexOf(severity));
      expect(ranks).toEqual([...ranks].sort((a, b) => a - b));
      expect(existsSync(join(import.meta.dirname, `${id}.test.ts`))).toBe(true);
    },
  );
});
