import type { Axis, Machine } from '../machine/machine';
import type { Concept, Span } from '../settings/concept';
import { torqueOf, torquesAt } from './axisTorque';
import { pulseRate } from './steps';

export const axisOf = (machine: Machine, concept: Concept): Axis | undefined =>
  machine.axes.find((axis) => concept.id.startsWith(`${axis.id}.`));

/** Where sound machines lie, in the concept's unit; by the kind of drive where that is known. */
export function usualSpan(machine: Machine, concept: Concept): Span | undefined {
  const drive = axisOf(machine, concept)?.drive;
  return (drive && concept.usualByDrive?.[drive]) ?? concept.usual;
}

/**
 * Whether board and motor can reach an axis's highest speed: false when one of them certainly cannot, true when both were computed
 * and agree, undefined when that is not known. Used to judge units, not to judge the machine.
 */
export function speedIsReachable(machine: Machine, concept: Concept): boolean | undefined {
  const axis = axisOf(machine, concept);
  const rate = axis && pulseRate(axis);
  const limit = machine.board?.stepRates.get(1);
  const stepsOk = rate && limit ? rate.value.nom <= limit.value.nom : undefined;
  if (stepsOk === false) return false;
  const torqueOk = axis && motorReaches(machine, axis);
  if (torqueOk === false) return false;
  return stepsOk && torqueOk ? true : undefined;
}

function motorReaches(machine: Machine, axis: Axis): boolean | undefined {
  const [speed, acceleration] = ['maxSpeed', 'maxAcceleration'].map(axis.number);
  const torque = torqueOf(machine, axis);
  if (!speed || !acceleration || !torque) return undefined;
  const { best, reserve } = torquesAt(torque, speed.value, acceleration.value);
  return best.nom < 1 ? false : reserve.nom >= 1 ? true : undefined;
}
