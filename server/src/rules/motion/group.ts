import type { Rule } from '../rule';
import homeSide from './home-side';
import lookaheadShort from './lookahead-short';
import probeOutside from './probe-outside';
import pulseTooShort from './pulse-too-short';
import stepRateOver from './step-rate-over';
import stepsMismatch from './steps-mismatch';
import torqueShort from './torque-short';
import travelOutsideFrame from './travel-outside-frame';

/** Rules of this group, in the order of the catalogue. */
export const motionRules: readonly Rule[] = [
  stepsMismatch,
  stepRateOver,
  pulseTooShort,
  torqueShort,
  travelOutsideFrame,
  probeOutside,
  lookaheadShort,
  homeSide,
];
