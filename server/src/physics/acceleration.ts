/** Uniform acceleration. m, s, m/s, m/s². */

export const distanceToSpeed = (speed: number, acceleration: number): number =>
  speed ** 2 / (2 * acceleration);
export const timeToSpeed = (speed: number, acceleration: number): number => speed / acceleration;

/** A move from rest to rest: the speed it reaches and how long it takes. */
export function startStopMove(
  distance: number,
  speed: number,
  acceleration: number,
): { peak: number; time: number } {
  const peak = Math.min(speed, Math.sqrt(distance * acceleration));
  const changes = (2 * peak) / acceleration;
  return { peak, time: changes + (distance - peak ** 2 / acceleration) / peak };
}

/** Force on a mass, N, and the torque it asks for at a radius, N·m. */
export const force = (mass: number, acceleration: number): number => mass * acceleration;
export const torqueAtRadius = (newtons: number, radius: number): number => newtons * radius;

/** Steps a second squared. */
export const stepAcceleration = (acceleration: number, stepsPerMetre: number): number =>
  acceleration * stepsPerMetre;

/** Highest speed at which a machine can still stop inside its queue of `depth` moves of `segment` m. */
export const lookaheadSpeed = (acceleration: number, depth: number, segment: number): number =>
  Math.sqrt(2 * acceleration * Math.max(depth - 1, 0) * segment);

/** Way from a switch's click to standstill: reaction time, then braking (or none). */
export const overrun = (speed: number, reaction: number, acceleration?: number): number =>
  speed * reaction + (acceleration === undefined ? 0 : speed ** 2 / (2 * acceleration));

/** Highest speed whose overrun, with braking, stays within `distance`. */
export const speedForOverrun = (distance: number, reaction: number, acceleration: number): number =>
  acceleration * (-reaction + Math.sqrt(reaction ** 2 + (2 * distance) / acceleration));
