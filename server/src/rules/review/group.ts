import type { Rule } from '../rule';
import boardBoundCarried from './board-bound-carried';
import coupledChangedAlone from './coupled-changed-alone';
import guardWeakened from './guard-weakened';
import noCounterpart from './no-counterpart';

/** Rules of this group, in the order of the catalogue. */
export const reviewRules: readonly Rule[] = [
  boardBoundCarried,
  coupledChangedAlone,
  guardWeakened,
  noCounterpart,
];
