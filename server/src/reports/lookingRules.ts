import type { Rule } from '../rules/rule';
import { CONCEPTS } from '../settings/concepts';
import { exampleAnalyses } from './workedExample';

const known = new WeakMap<readonly Rule[], Promise<ReadonlyMap<string, readonly string[]>>>();

/**
 * Ids of the rules that look at a setting, by the setting's id with placeholders: what rules look at in their own examples. Rules
 * on the text alone look at every setting alike and are left out.
 */
export function lookingRules(rules: readonly Rule[]): Promise<ReadonlyMap<string, readonly string[]>> {
  const made = known.get(rules) ?? compute(rules);
  known.set(rules, made);
  return made;
}

async function compute(rules: readonly Rule[]): Promise<ReadonlyMap<string, readonly string[]>> {
  const table = new Map<string, Set<string>>();
  for (const rule of rules.filter(({ textOnly }) => !textOnly)) {
    for (const analysis of await exampleAnalyses(rule)) {
      for (const key of analysis.looks.get(rule.id) ?? []) {
        const pattern = typeof key === 'string' ? CONCEPTS.get(key)?.pattern : undefined;
        if (pattern) table.set(pattern, (table.get(pattern) ?? new Set()).add(rule.id));
      }
    }
  }
  return new Map([...table].map(([pattern, ids]) => [pattern, [...ids]]));
}
