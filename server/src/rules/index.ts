import { buildRules } from './build/group';
import { driversRules } from './drivers/group';
import { guardsRules } from './guards/group';
import { heatingRules } from './heating/group';
import { inputsRules } from './inputs/group';
import { linkRules } from './link/group';
import { motionRules } from './motion/group';
import { namesRules } from './names/group';
import { outputsRules } from './outputs/group';
import { pinsRules } from './pins/group';
import { readingRules } from './reading/group';
import { reviewRules } from './review/group';
import type { Rule } from './rule';
import { sensingRules } from './sensing/group';
import { supplyRules } from './supply/group';

/** Every rule, in the order of the catalogue. A test compares this list with the files of this folder. */
export const rules: readonly Rule[] = [
  ...namesRules,
  ...readingRules,
  ...linkRules,
  ...pinsRules,
  ...inputsRules,
  ...motionRules,
  ...driversRules,
  ...sensingRules,
  ...heatingRules,
  ...outputsRules,
  ...supplyRules,
  ...buildRules,
  ...guardsRules,
  ...reviewRules,
];

export const ruleById = (id: string): Rule | undefined => rules.find((rule) => rule.id === id);
