import type { Rule } from '../rule';
import doubleUse from './double-use';
import lacksCapability from './lacks-capability';
import notOnBoard from './not-on-board';
import wiringDisagrees from './wiring-disagrees';

/** Rules of this group, in the order of the catalogue. */
export const pinsRules: readonly Rule[] = [doubleUse, notOnBoard, lacksCapability, wiringDisagrees];
