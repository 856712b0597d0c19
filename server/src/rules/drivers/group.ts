import type { Rule } from '../rule';
import axisDrops from './axis-drops';
import coilPairs from './coil-pairs';
import cornerSpeed from './corner-speed';
import currentOverDriver from './current-over-driver';
import currentOverMotor from './current-over-motor';
import currentRange from './current-range';
import enableLevel from './enable-level';
import microstepUnsupported from './microstep-unsupported';
import motorCount from './motor-count';
import senseResistor from './sense-resistor';
import weakOptoDrive from './weak-opto-drive';

/** Rules of this group, in the order of the catalogue. */
export const driversRules: readonly Rule[] = [
  cornerSpeed,
  currentOverMotor,
  currentOverDriver,
  senseResistor,
  microstepUnsupported,
  coilPairs,
  axisDrops,
  motorCount,
  currentRange,
  enableLevel,
  weakOptoDrive,
];
