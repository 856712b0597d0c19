import type { Rule } from '../rule';
import bootState from './boot-state';
import doubleUse from './double-use';
import lacksCapability from './lacks-capability';
import noSuchPull from './no-such-pull';
import notOnBoard from './not-on-board';
import ownCircuit from './own-circuit';
import reserved from './reserved';
import sharedInterrupt from './shared-interrupt';
import wiringDisagrees from './wiring-disagrees';

/** Rules of this group, in the order of the catalogue. */
export const pinsRules: readonly Rule[] = [
  doubleUse,
  notOnBoard,
  reserved,
  lacksCapability,
  wiringDisagrees,
  bootState,
  noSuchPull,
  sharedInterrupt,
  ownCircuit,
];
