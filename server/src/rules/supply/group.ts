import type { Rule } from '../rule';
import boardRange from './board-range';
import budget from './budget';
import connectorRating from './connector-rating';
import fuseContinuous from './fuse-continuous';
import wireDrop from './wire-drop';
import wireProtection from './wire-protection';

/** Rules of this group, in the order of the catalogue. */
export const supplyRules: readonly Rule[] = [
  boardRange,
  budget,
  fuseContinuous,
  connectorRating,
  wireDrop,
  wireProtection,
];
