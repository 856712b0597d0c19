import type { Branch } from '../machine/branch';
import type { NumberFact } from '../model/fact';
import { isPoint } from '../model/interval';
import type { Place } from '../model/place';
import { powerRatio } from '../physics/heater';
import type { Reading } from '../settings/reading';
import { formatQuantity } from '../units';

/** Power over the rated one from which a heater is plainly on another voltage than it is made for; common practice. */
export const OVERPOWERED = 1.25;

/** The rated voltage of a heater that is fed with so much more that it must be the wrong one; nothing for others. */
export function overpoweredRating({ heater, voltage }: Branch): NumberFact | undefined {
  const rated = heater?.ratedVoltage;
  if (!rated || !voltage) return undefined;
  return powerRatio(voltage.value.nom, rated.value.hi) > OVERPOWERED ? rated : undefined;
}

/**
 * One cause, one problem: what a heater on the wrong voltage overloads, the lead to the board included, hangs under that; else the
 * finding's own fact.
 */
export const overloadRoot = (branches: readonly Branch[], own: Place | undefined): Place | undefined =>
  branches
    .flatMap((branch) => [branch, ...branch.behind])
    .map((branch) => overpoweredRating(branch)?.place)
    .find((place) => place !== undefined) ?? own;

/** Where a question about a branch is shown: at its setting, else where the sheet has it. */
export const aboutOf = ({ reading, place }: Branch): Reading | Place | undefined => reading ?? place;

export { loadsOf, sumOf, titleOfAll } from '../machine/branchLoad';

export const amperes = (value: number): string => formatQuantity(value, 'current');
export const volts = (value: number): string => formatQuantity(value, 'voltage');
export const watts = (value: number): string => formatQuantity(value, 'power');
export const squareMillimetres = (value: number): string => formatQuantity(value, 'area');

/** An estimate with a range keeps its error when it fails at every corner; a bare one has no corners to fail at. */
export const hasRange = (fact: NumberFact | undefined): boolean =>
  fact?.quality !== 'estimated' || !isPoint(fact.value);
