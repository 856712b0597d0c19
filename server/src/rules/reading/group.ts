import type { Rule } from '../rule';
import definedAsZero from './defined-as-zero';
import droppedFraction from './dropped-fraction';
import missingParentheses from './missing-parentheses';
import octal from './octal';
import straySign from './stray-sign';
import undefinedInCondition from './undefined-in-condition';

/** Rules of this group, in the order of the catalogue. */
export const readingRules: readonly Rule[] = [
  missingParentheses,
  octal,
  droppedFraction,
  definedAsZero,
  straySign,
  undefinedInCondition,
];
