import type { Rule } from '../rule';
import guardsDisabled from './disabled';
import holdWindow from './hold-window';
import maxTempMargin from './max-temp-margin';
import noIndependentCutout from './no-independent-cutout';
import riseFalseTrip from './rise-false-trip';
import riseTooSlow from './rise-too-slow';

/** Rules of this group, in the order of the catalogue. */
export const guardsRules: readonly Rule[] = [
  guardsDisabled,
  riseFalseTrip,
  riseTooSlow,
  holdWindow,
  maxTempMargin,
  noIndependentCutout,
];
