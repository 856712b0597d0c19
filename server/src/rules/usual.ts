import type { Axis, Machine } from '../machine/machine';
import { effectiveRadius } from '../physics/motion';
import { availableTorque, neededTorque, peakOf } from '../physics/stepper';
import type { Concept, Span } from '../settings/concept';
import { pulseRate } from './steps';

export const axisOf = (machine: Machine, concept: Concept): Axis | undefined =>
  machine.axes.find((axis) => concept.id.startsWith(`${axis.id}.`));

/** Where sound machines lie, in the concept's unit; by the kind of drive where that is known. */
export function usualSpan(machine: Machine, concept: Concept): Span | undefined {
  const drive = axisOf(machine, concept)?.drive;
  return (drive && concept.usualByDrive?.[drive]) ?? concept.usual;
}

/** Efficiency of a drive whose sheet states none; common practice for belts. */
const BELT_EFFICIENCY = 0.9;

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
  const { motor, sheet, travelPerTurn } = axis;
  const [speed, acceleration, current] = ['maxSpeed', 'maxAcceleration', 'motorCurrent'].map(axis.number);
  const [torque, rated, inductance, resistance] = [
    motor?.holdingTorque,
    motor?.ratedCurrent,
    motor?.inductance,
    motor?.resistance,
  ].map((fact) => fact?.value.nom);
  const mass = sheet?.movedMass?.value.nom;
  const supply = machine.supplyVoltage?.value.nom;
  if (!speed || !acceleration || !current || !travelPerTurn || mass === undefined || supply === undefined)
    return undefined;
  if (torque === undefined || rated === undefined || inductance === undefined || resistance === undefined)
    return undefined;
  const radius = effectiveRadius(travelPerTurn.value.nom) / (sheet?.transmission?.gearRatio?.value.nom ?? 1);
  const available = availableTorque(
    {
      holdingTorque: torque,
      ratedCurrent: rated,
      inductance,
      resistance,
      stepAngle: motor?.stepAngle?.value.nom,
    },
    {
      supply,
      peakCurrent: peakOf(current.value.nom),
      bridgeResistance: axis.drivers[0]?.family?.rDsOn?.value.nom ?? 0,
    },
    speed.value.nom / radius,
  );
  const needed = neededTorque({
    mass,
    acceleration: acceleration.value.nom,
    friction: sheet?.friction?.value.nom ?? 0,
    radius,
    efficiency: sheet?.efficiency?.value.nom ?? BELT_EFFICIENCY,
    vertical: sheet?.vertical?.value,
  });
  return available.upper < needed ? false : available.lower >= needed ? true : undefined;
}
