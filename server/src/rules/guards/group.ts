import type { Rule } from '../rule';
import guardsDisabled from './disabled';

/** Rules of this group, in the order of the catalogue. */
export const guardsRules: readonly Rule[] = [guardsDisabled];
