import {
  type AxisDrive,
  type AxisLoad,
  axisDrive,
  axisLoad,
  type DrivePoint,
  isMissing,
} from '../machine/axisDrive';
import type { Axis, Machine } from '../machine/machine';
import type { Fact } from '../model/fact';
import { corners, type Interval, over, point } from '../model/interval';
import { accelerationForTorque, availableTorque, cornerSpeed, neededTorque } from '../physics/stepper';
import type { Asking } from './rule';

/** Motor and load of an axis, joined for questions about torque. */
export interface AxisTorque {
  readonly drive: AxisDrive;
  readonly load: AxisLoad;
  readonly facts: readonly Fact<unknown>[];
}

/** Torques of one axis at one speed and acceleration, N·m. */
export interface Torques {
  /** Bounds of what the motors have together. */
  readonly lower: Interval;
  readonly upper: Interval;
  readonly needed: Interval;
  /** Lower and upper bound over the need. */
  readonly reserve: Interval;
  readonly best: Interval;
}

/** Nothing when a fact is missing; with `ask`, its question is recorded at a place. */
export function torqueOf(
  machine: Machine,
  axis: Axis,
  ask?: (question: string) => void,
): AxisTorque | undefined {
  const drive = axisDrive(machine, axis);
  if (!drive) return undefined;
  if (isMissing(drive)) {
    ask?.(drive.missing);
    return undefined;
  }
  const load = axisLoad(axis);
  if (isMissing(load)) {
    ask?.(load.missing);
    return undefined;
  }
  return { drive, load, facts: [...drive.facts, ...load.facts] };
}

/** Records a question of the machine layer, ready for hover. */
export const asker =
  (context: Asking, about: Parameters<Asking['need']>[1], purpose: string) =>
  (question: string): void => {
    context.need<unknown>(undefined, about, `${question} and I can ${purpose}`);
  };

/** The same with every fact at its nominal value. */
export const nominally = ({ drive, load, facts }: AxisTorque): AxisTorque => ({
  drive: { ...drive, values: drive.values.map(({ nom }) => point(nom)) },
  load: { ...load, values: load.values.map(({ nom }) => point(nom)) },
  facts,
});

/** What the motors of an axis have together at a speed, N·m, at one corner of the drive's values. @param speed m/s */
export function torqueAtSpeed(drive: DrivePoint, speed: number): { lower: number; upper: number } {
  const each = availableTorque(drive.motor, drive.drive, speed / drive.radius);
  return { lower: each.lower * drive.pulling, upper: each.upper * drive.pulling };
}

/** m/s up to which the supply presses the full current in. */
export const fullTorqueUpTo = ({ motor, drive, radius }: DrivePoint): number =>
  cornerSpeed(motor, drive) * radius;

/** @param speed m/s @param acceleration m/s² */
export function torquesAt({ drive, load }: AxisTorque, speed: Interval, acceleration: Interval): Torques {
  const values = [...drive.values, ...load.values, speed, acceleration];
  const nominal = values.map(({ nom }) => nom);
  const rows = [nominal, ...corners(values)].map((args) => {
    const driven = drive.at(args);
    const { inertia, ...moved } = load.at(args.slice(drive.values.length));
    const [v = 0, a = 0] = args.slice(-2);
    const { lower, upper } = torqueAtSpeed(driven, v);
    const needed = neededTorque({
      ...moved,
      inertia: inertia * drive.rotors,
      radius: driven.radius,
      acceleration: a,
    });
    return { lower, upper, needed, reserve: lower / needed, best: upper / needed };
  });
  const span = (name: keyof Torques): Interval => {
    const all = rows.map((row) => row[name]);
    return { lo: Math.min(...all), nom: all[0] ?? 0, hi: Math.max(...all) };
  };
  return {
    lower: span('lower'),
    upper: span('upper'),
    needed: span('needed'),
    reserve: span('reserve'),
    best: span('best'),
  };
}

/** Highest acceleration that leaves a reserve at a speed at every corner, m/s²; negative when friction alone is too much. */
export function accelerationFor({ drive, load }: AxisTorque, speed: Interval, reserve: number): number {
  const values = [...drive.values, ...load.values, speed];
  return over(values, (...args) => {
    const driven = drive.at(args);
    const { inertia, ...moved } = load.at(args.slice(drive.values.length));
    return accelerationForTorque(torqueAtSpeed(driven, args.at(-1) ?? 0).lower / reserve, {
      ...moved,
      inertia: inertia * drive.rotors,
      radius: driven.radius,
    });
  }).lo;
}

/** Highest speed up to `most` that leaves a reserve at every corner, m/s; nothing when not even standing still does. */
export function speedFor(
  torque: AxisTorque,
  acceleration: Interval,
  reserve: number,
  most: number,
): number | undefined {
  const holds = (v: number): boolean =>
    torquesAt(torque, { lo: v, nom: v, hi: v }, acceleration).reserve.lo >= reserve;
  if (!holds(0)) return undefined;
  let [lo, hi] = [0, most];
  // Torque never rises with speed. Half a per mille of the highest speed is finer than what is written.
  for (let step = 0; step < 11; step++) {
    const middle = (lo + hi) / 2;
    if (holds(middle)) lo = middle;
    else hi = middle;
  }
  return lo;
}

/** A speed that an axis is asked to go, with the acceleration there. */
export interface Duty {
  readonly speed: Interval;
  readonly acceleration: Interval;
  readonly facts: readonly Fact<unknown>[];
  /** True for a speed stated for the job; false for a highest speed, which is often a loose cap. */
  readonly stated: boolean;
}

/**
 * What an axis is asked to do: the job's working and travel speed as far as its own limit allows, then its highest speed. A path's
 * acceleration limits that of its axes.
 */
export function dutiesOf(machine: Machine, axis: Axis): Duty[] {
  const { settings, sheet } = machine;
  const most = axis.number('maxSpeed');
  const own = axis.number('maxAcceleration');
  const [working, travelling] = ['motion.printAcceleration', 'motion.travelAcceleration'].map((id) =>
    settings.number(id),
  );
  const least = (...facts: readonly (Fact<Interval> | undefined)[]) => {
    const known = facts.filter((fact) => fact !== undefined);
    return known.length === 0 ? undefined : { value: minimum(known.map(({ value }) => value)), facts: known };
  };
  const duty = (
    stated: boolean,
    speed: ReturnType<typeof least>,
    acceleration: ReturnType<typeof least>,
  ): Duty[] =>
    speed && acceleration
      ? [
          {
            stated,
            speed: speed.value,
            acceleration: acceleration.value,
            facts: [...speed.facts, ...acceleration.facts],
          },
        ]
      : [];
  // Lifting and feeding axes have speeds of their own, not the path's.
  const lifts = axis.feed || axis.sheet?.vertical?.value === true || axis.axis === 'z';
  const job = lifts || !own ? undefined : sheet?.job;
  const path =
    working && travelling ? (working.value.nom > travelling.value.nom ? working : travelling) : undefined;
  return [
    ...(job?.speed ? duty(true, least(job.speed, most), least(own, job.acceleration ?? working)) : []),
    ...(job?.travelSpeed ? duty(true, least(job.travelSpeed, most), least(own, travelling)) : []),
    ...(most && own ? duty(false, least(most), least(own, axis.feed ? undefined : path)) : []),
  ];
}

const minimum = (values: readonly Interval[]): Interval => ({
  lo: Math.min(...values.map(({ lo }) => lo)),
  nom: Math.min(...values.map(({ nom }) => nom)),
  hi: Math.min(...values.map(({ hi }) => hi)),
});
