import type { Rule } from '../rule';
import stepRateOver from './step-rate-over';
import stepsMismatch from './steps-mismatch';
import torqueShort from './torque-short';

/** Rules of this group, in the order of the catalogue. */
export const motionRules: readonly Rule[] = [stepsMismatch, stepRateOver, torqueShort];
