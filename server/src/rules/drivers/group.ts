import type { Rule } from '../rule';
import cornerSpeed from './corner-speed';
import currentOverDriver from './current-over-driver';
import currentOverMotor from './current-over-motor';
import currentRange from './current-range';
import senseResistor from './sense-resistor';

/** Rules of this group, in the order of the catalogue. */
export const driversRules: readonly Rule[] = [
  cornerSpeed,
  currentOverMotor,
  currentOverDriver,
  senseResistor,
  currentRange,
];
