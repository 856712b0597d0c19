import type { Axis } from '../machine/machine';
import type { Fact, NumberFact } from '../model/fact';
import { type Interval, over, point, scale } from '../model/interval';
import { fullStepsPerTurn, stepsPerMetre } from '../physics/motion';
import { stepRate } from '../physics/stepRate';

/** A figure and every fact it was computed from. */
export interface Computed {
  readonly value: Interval;
  readonly facts: readonly Fact<unknown>[];
}

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

/** True when the driver takes a step on both edges of a pulse, by the settings, else by its data sheet. */
export function bothEdges(axis: Axis): Fact<unknown> | undefined {
  const set = axis.choice('stepEdges');
  if (set) return set.value === 'both' ? set : undefined;
  const family = axis.drivers[0]?.family?.bothEdges;
  return family?.value ? family : undefined;
}

/** Pulses a second at the axis's highest speed, Hz. */
export function pulseRate(axis: Axis, speed = axis.number('maxSpeed')): Computed | undefined {
  const steps = axis.number('stepsPerMm');
  if (!steps || !speed) return undefined;
  const edges = bothEdges(axis);
  const rate = over([speed.value, steps.value], stepRate);
  return { value: edges ? scale(rate, 0.5) : rate, facts: edges ? [speed, steps, edges] : [speed, steps] };
}
