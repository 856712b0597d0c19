import type { Rule } from '../rule';
import targetMismatch from './target-mismatch';

/** Rules of this group, in the order of the catalogue. */
export const buildRules: readonly Rule[] = [targetMismatch];
