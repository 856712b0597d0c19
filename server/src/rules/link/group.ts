import type { Rule } from '../rule';
import baudUnreachable from './baud-unreachable';
import levelMismatch from './level-mismatch';
import linesStarve from './lines-starve';
import portNotRouted from './port-not-routed';
import rateDisagrees from './rate-disagrees';

/** Rules of this group, in the order of the catalogue. */
export const linkRules: readonly Rule[] = [
  baudUnreachable,
  rateDisagrees,
  portNotRouted,
  linesStarve,
  levelMismatch,
];
