import type { Rule } from '../rule';
import outOfRange from './out-of-range';
import redefined from './redefined';
import unitSuspicion from './unit-suspicion';
import unknownChoice from './unknown-choice';
import unknownSetting from './unknown-setting';
import wrongType from './wrong-type';

/** Rules of this group, in the order of the catalogue. */
export const namesRules: readonly Rule[] = [
  unknownSetting,
  redefined,
  wrongType,
  outOfRange,
  unknownChoice,
  unitSuspicion,
];
