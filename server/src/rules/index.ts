import targetMismatch from './build/target-mismatch';
import guardsDisabled from './guards/disabled';
import outputOverload from './heating/output-overload';
import levelUndefined from './inputs/level-undefined';
import overVoltage from './inputs/over-voltage';
import polarityInverted from './inputs/polarity-inverted';
import pullWithoutEffect from './inputs/pull-without-effect';
import stuckLevel from './inputs/stuck-level';
import baudUnreachable from './link/baud-unreachable';
import portNotRouted from './link/port-not-routed';
import stepRateOver from './motion/step-rate-over';
import stepsMismatch from './motion/steps-mismatch';
import outOfRange from './names/out-of-range';
import redefined from './names/redefined';
import unitSuspicion from './names/unit-suspicion';
import unknownChoice from './names/unknown-choice';
import unknownSetting from './names/unknown-setting';
import wrongType from './names/wrong-type';
import doubleUse from './pins/double-use';
import lacksCapability from './pins/lacks-capability';
import notOnBoard from './pins/not-on-board';
import wiringDisagrees from './pins/wiring-disagrees';
import definedAsZero from './reading/defined-as-zero';
import droppedFraction from './reading/dropped-fraction';
import missingParentheses from './reading/missing-parentheses';
import octal from './reading/octal';
import straySign from './reading/stray-sign';
import undefinedInCondition from './reading/undefined-in-condition';
import type { Rule } from './rule';
import curveMismatch from './sensing/curve-mismatch';
import pullupMismatch from './sensing/pullup-mismatch';

/** Every rule, in the order of the catalogue. A test compares this list with the files of this folder. */
export const rules: readonly Rule[] = [
  unknownSetting,
  redefined,
  wrongType,
  outOfRange,
  unknownChoice,
  unitSuspicion,
  missingParentheses,
  octal,
  droppedFraction,
  definedAsZero,
  straySign,
  undefinedInCondition,
  baudUnreachable,
  portNotRouted,
  doubleUse,
  notOnBoard,
  lacksCapability,
  wiringDisagrees,
  levelUndefined,
  stuckLevel,
  overVoltage,
  polarityInverted,
  pullWithoutEffect,
  stepsMismatch,
  stepRateOver,
  curveMismatch,
  pullupMismatch,
  outputOverload,
  targetMismatch,
  guardsDisabled,
];

export const ruleById = (id: string): Rule | undefined => rules.find((rule) => rule.id === id);
