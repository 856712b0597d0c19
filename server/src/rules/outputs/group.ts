import type { Rule } from '../rule';

/** Rules of this group, in the order of the catalogue. */
export const outputsRules: readonly Rule[] = [];
