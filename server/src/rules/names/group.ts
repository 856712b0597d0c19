import type { Rule } from '../rule';
import deadBranch from './dead-branch';
import outOfRange from './out-of-range';
import redefined from './redefined';
import renamed from './renamed';
import unitSuspicion from './unit-suspicion';
import unknownChoice from './unknown-choice';
import unknownSetting from './unknown-setting';
import wrongType from './wrong-type';

/** Rules of this group, in the order of the catalogue. */
export const namesRules: readonly Rule[] = [
  unknownSetting,
  redefined,
  deadBranch,
  wrongType,
  outOfRange,
  unknownChoice,
  unitSuspicion,
  renamed,
];
