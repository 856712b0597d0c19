import type { Rule } from '../rule';
import adcOverVoltage from './adc-over-voltage';
import curveMismatch from './curve-mismatch';
import loopCrossed from './loop-crossed';
import openShortUndetected from './open-short-undetected';
import pullupMismatch from './pullup-mismatch';
import resolutionCoarse from './resolution-coarse';

/** Rules of this group, in the order of the catalogue. */
export const sensingRules: readonly Rule[] = [
  curveMismatch,
  pullupMismatch,
  resolutionCoarse,
  openShortUndetected,
  adcOverVoltage,
  loopCrossed,
];
