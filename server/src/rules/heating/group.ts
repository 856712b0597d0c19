import type { Rule } from '../rule';
import cannotReach from './cannot-reach';
import flowPower from './flow-power';
import gainsCarried from './gains-carried';
import mainsHeater from './mains-heater';
import outputOverload from './output-overload';
import pwmVsSwitch from './pwm-vs-switch';
import transistorHeat from './transistor-heat';
import voltageMismatch from './voltage-mismatch';

/** Rules of this group, in the order of the catalogue. */
export const heatingRules: readonly Rule[] = [
  voltageMismatch,
  outputOverload,
  transistorHeat,
  pwmVsSwitch,
  cannotReach,
  flowPower,
  mainsHeater,
  gainsCarried,
];
