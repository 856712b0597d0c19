import type { Axis } from '../machine/machine';
import type { Computed } from '../machine/stepBudget';
import type { NumberFact } from '../model/fact';
import { over, point } from '../model/interval';
import { fullStepsPerTurn, stepsPerMetre } from '../physics/motion';

export { bothEdges, type Computed, pulseRate } from '../machine/stepBudget';

/** Microsteps by the settings, else by the jumpers of the driver's socket. */
export function microstepsOf(axis: Axis): NumberFact | undefined {
  const set = axis.number('microsteps');
  if (set) return set;
  const [driver, ...others] = axis.drivers;
  if (!driver || others.length > 0 || driver.microstepControl?.value !== 'jumpers') return undefined;
  const jumpers = driver.microstepJumpers;
  return jumpers && { ...jumpers, value: point(jumpers.value) };
}

/** Steps a metre that motor, microsteps and transmission give, 1/m. */
export function geometricSteps(axis: Axis): Computed | undefined {
  const angle = axis.motor?.stepAngle;
  const microsteps = microstepsOf(axis);
  const travel = axis.travelPerTurn;
  if (!angle || !microsteps || !travel) return undefined;
  const ratio = axis.sheet?.transmission?.gearRatio;
  const value = over(
    [angle.value, microsteps.value, travel.value, ratio?.value ?? point(1)],
    (stepAngle, count, turn, gear) => stepsPerMetre(fullStepsPerTurn(stepAngle), count, turn, gear),
  );
  const pitch = axis.sheet?.transmission?.pitch;
  return { value, facts: [microsteps, angle, travel, pitch, ratio].filter((fact) => fact !== undefined) };
}
