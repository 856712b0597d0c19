import type { Rule } from './rule';

/** Every rule, in the order of the catalogue. A test compares this list with the files of this folder. */
export const rules: readonly Rule[] = [];

export const ruleById = (id: string): Rule | undefined => rules.find((rule) => rule.id === id);
