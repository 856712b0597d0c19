import type { Rule } from '../rule';
import activeLevel from './active-level';
import coldSideFan from './cold-side-fan';
import fanPwmStyle from './fan-pwm-style';
import fanVoltage from './fan-voltage';
import sharedTimer from './shared-timer';

/** Rules of this group, in the order of the catalogue. */
export const outputsRules: readonly Rule[] = [fanVoltage, fanPwmStyle, sharedTimer, activeLevel, coldSideFan];
