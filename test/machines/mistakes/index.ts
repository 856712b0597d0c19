import { buildMistakes } from './build';
import { driversMistakes } from './drivers';
import { guardsMistakes } from './guards';
import { heatingMistakes } from './heating';
import { inputsMistakes } from './inputs';
import { linkMistakes } from './link';
import type { Mistake } from './mistake';
import { motionMistakes } from './motion';
import { namesMistakes } from './names';
import { outputsMistakes } from './outputs';
import { pinsMistakes } from './pins';
import { readingMistakes } from './reading';
import { reviewMistakes } from './review';
import { sensingMistakes } from './sensing';
import { supplyMistakes } from './supply';

/** Every mistake, by the group of the rule it is mainly for. */
export const mistakes: readonly Mistake[] = [
  ...namesMistakes,
  ...readingMistakes,
  ...linkMistakes,
  ...pinsMistakes,
  ...inputsMistakes,
  ...motionMistakes,
  ...driversMistakes,
  ...sensingMistakes,
  ...heatingMistakes,
  ...outputsMistakes,
  ...supplyMistakes,
  ...buildMistakes,
  ...guardsMistakes,
  ...reviewMistakes,
];
