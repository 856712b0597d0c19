import type { Rule } from '../rule';
import cannotReach from './cannot-reach';
import flowPower from './flow-power';
import outputOverload from './output-overload';

/** Rules of this group, in the order of the catalogue. */
export const heatingRules: readonly Rule[] = [outputOverload, cannotReach, flowPower];
