import type { Fact, NumberFact } from '../model/fact';
import { type Interval, over, scale } from '../model/interval';
import { coupledBeltSpeed, stepRate } from '../physics/stepRate';
import type { Axis, Machine } from './machine';

/** A figure and every fact it was computed from. */
export interface Computed {
  readonly value: Interval;
  readonly facts: readonly Fact<unknown>[];
}

/** Step pulses that an axis asks for at its highest speed, and what the board makes with so many motors turning. */
export interface StepBudget extends Computed {
  /** Hz, as `value` of each. With the motors of a plain move first. */
  readonly demands: readonly StepDemand[];
}

export interface StepDemand {
  readonly motors: number;
  /** Hz that the board makes. */
  readonly limit: NumberFact;
  /** Share of the limit. */
  readonly share: Interval;
  /** More motors than a plain move of this axis turns. */
  readonly mix: boolean;
}

/** The single fact that keeps it from being computed, as a request. */
export interface NoStepBudget {
  readonly question: string;
}

export const isStepBudget = (result: StepBudget | NoStepBudget): result is StepBudget => 'demands' in result;

type Known = Pick<Machine, 'board' | 'sheet' | 'axes' | 'kinematics'>;

/** @returns nothing for an axis without a highest speed, or whose step pin is said to be none */
export function stepBudget(machine: Known, axis: Axis): StepBudget | NoStepBudget | undefined {
  if (!axis.reading('maxSpeed') || !axis.number('maxSpeed') || !isStepped(axis)) return undefined;
  if (!machine.board || machine.board.stepRates.size === 0) {
    return {
      question:
        'Add what step rates the board makes with 1, 2 and 3 axes moving (stepRates) to the board profile and I can check this speed',
    };
  }
  const rate = pulseRate(axis);
  if (!rate) {
    return {
      question: `Add the steps per mm (${axis.id}.stepsPerMm) to the settings and I can check this speed against the step rate`,
    };
  }
  const alone = motorsOfOneMove(machine, axis);
  const demands = motorCounts(machine, axis).flatMap((motors): StepDemand[] => {
    const limit = limitFor(machine, motors);
    if (!limit || motors < alone) return [];
    return [{ motors, limit, share: shareOf(rate.value, limit), mix: motors > alone }];
  });
  return { ...rate, demands };
}

/** Coupled belts: on a diagonal one motor runs at the sum of both speeds, the other stands. */
export interface DiagonalDemand extends Computed {
  /** m/s of the motor that runs. */
  readonly speed: Interval;
  readonly limit: NumberFact;
  readonly share: Interval;
}

export function diagonalDemand(machine: Known): DiagonalDemand | undefined {
  if (machine.kinematics?.value !== 'coupledBelts') return undefined;
  const [x, y] = ['x', 'y'].map((name) => machine.axes.find(({ axis }) => axis === name));
  const limit = limitFor(machine, 1);
  const [vx, vy] = [x?.number('maxSpeed'), y?.number('maxSpeed')];
  if (!x || !y || !limit || !vx || !vy) return undefined;
  const job = machine.sheet?.job;
  const path = [job?.speed, job?.travelSpeed].filter((fact) => fact !== undefined);
  const fastest =
    path.length > 0 ? Math.max(...path.map(({ value }) => value.nom)) : Number.POSITIVE_INFINITY;
  const speed = over([vx.value, vy.value], (a, b) => Math.min(a + b, coupledBeltSpeed(fastest)));
  const rate = pulseRate(x, { ...vx, value: speed });
  if (!rate) return undefined;
  const facts = [...rate.facts, vy, ...path, machine.kinematics];
  return { value: rate.value, facts, speed, limit, share: shareOf(rate.value, limit) };
}

/** Pulses a second at the axis's highest speed, Hz. */
export function pulseRate(axis: Axis, speed = axis.number('maxSpeed')): Computed | undefined {
  const steps = axis.number('stepsPerMm');
  if (!steps || !speed) return undefined;
  const edges = bothEdges(axis);
  const rate = over([speed.value, steps.value], stepRate);
  return { value: edges ? scale(rate, 0.5) : rate, facts: edges ? [speed, steps, edges] : [speed, steps] };
}

/** True when the driver takes a step on both edges of a pulse, by the settings, else by its data sheet. */
export function bothEdges(axis: Axis): Fact<unknown> | undefined {
  const set = axis.choice('stepEdges');
  if (set) return set.value === 'both' ? set : undefined;
  const family = axis.drivers[0]?.family?.bothEdges;
  return family?.value ? family : undefined;
}

/** False for an axis that the settings describe but do not step. */
const isStepped = (axis: Axis): boolean => axis.reading('stepPin')?.value.kind !== 'unassigned';

const shareOf = (rate: Interval, limit: NumberFact): Interval =>
  over([rate, limit.value], (f, most) => f / most);

/** Motors that a plain move of this axis turns. */
function motorsOfOneMove({ kinematics }: Known, { axis, feed }: Axis): number {
  if (feed) return 1;
  if (kinematics?.value === 'delta') return 3;
  return kinematics?.value === 'coupledBelts' && (axis === 'x' || axis === 'y') ? 2 : 1;
}

/** How many motors can turn together with this axis at its highest speed; feeding goes with slower moves. */
function motorCounts(machine: Known, axis: Axis): number[] {
  if (axis.feed) return [1];
  const moving = machine.axes.filter(
    (other) => !other.feed && other.number('maxSpeed') !== undefined && isStepped(other),
  ).length;
  return Array.from({ length: Math.max(moving, motorsOfOneMove(machine, axis)) }, (_, index) => index + 1);
}

/** The board's rate with so many motors turning; from the rate of one alone, a share of it is estimated. */
function limitFor({ board }: Known, motors: number): NumberFact | undefined {
  const known = board?.stepRates.get(motors);
  if (known) return known;
  const [one] = board?.stepRates.size === 1 ? [board.stepRates.get(1)] : [];
  return (
    one && {
      ...one,
      value: scale(one.value, 1 / motors),
      quality: 'estimated',
      label: `step rate with ${motors} axes, taken as 1/${motors} of that with one`,
    }
  );
}
