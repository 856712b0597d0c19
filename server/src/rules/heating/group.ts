import type { Rule } from '../rule';
import outputOverload from './output-overload';

/** Rules of this group, in the order of the catalogue. */
export const heatingRules: readonly Rule[] = [outputOverload];
