import type { Rule } from '../rule';
import brokenWire from './broken-wire';
import filterOvershoot from './filter-overshoot';
import levelUndefined from './level-undefined';
import overVoltage from './over-voltage';
import polarityInverted from './polarity-inverted';
import pullWithoutEffect from './pull-without-effect';
import sensorSupply from './sensor-supply';
import stuckLevel from './stuck-level';
import targetMetal from './target-metal';
import weakPullLongWire from './weak-pull-long-wire';

/** Rules of this group, in the order of the catalogue. */
export const inputsRules: readonly Rule[] = [
  levelUndefined,
  stuckLevel,
  overVoltage,
  polarityInverted,
  pullWithoutEffect,
  brokenWire,
  filterOvershoot,
  sensorSupply,
  weakPullLongWire,
  targetMetal,
];
