import type { Rule } from '../rule';
import levelUndefined from './level-undefined';
import overVoltage from './over-voltage';
import polarityInverted from './polarity-inverted';
import pullWithoutEffect from './pull-without-effect';
import stuckLevel from './stuck-level';

/** Rules of this group, in the order of the catalogue. */
export const inputsRules: readonly Rule[] = [
  levelUndefined,
  stuckLevel,
  overVoltage,
  polarityInverted,
  pullWithoutEffect,
];
