import type { Rule } from '../rule';
import boardVariant from './board-variant';
import clockMismatch from './clock-mismatch';
import memoryLayout from './memory-layout';
import storedValuesWin from './stored-values-win';
import targetMismatch from './target-mismatch';

/** Rules of this group, in the order of the catalogue. */
export const buildRules: readonly Rule[] = [
  targetMismatch,
  clockMismatch,
  memoryLayout,
  storedValuesWin,
  boardVariant,
];
