import type { Rule } from '../rule';
import curveMismatch from './curve-mismatch';
import pullupMismatch from './pullup-mismatch';

/** Rules of this group, in the order of the catalogue. */
export const sensingRules: readonly Rule[] = [curveMismatch, pullupMismatch];
