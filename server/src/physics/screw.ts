import { STANDARD_GRAVITY } from './stepper';

/** Power screws. m, kg, N·m, angles in rad. Source: machine-design handbooks (power screws). */

/** Lead angle: atan(lead/(π·pitch diameter)). */
export const leadAngle = (lead: number, pitchDiameter: number): number =>
  Math.atan(lead / (Math.PI * pitchDiameter));

/** Friction angle of a thread with a half-angle (15° for trapezoidal): atan(µ/cos α). */
export const frictionAngle = (friction: number, halfAngle = Math.PI / 12): number =>
  Math.atan(friction / Math.cos(halfAngle));

/** Efficiency when lifting: tan λ/tan(λ + φ). */
export const screwEfficiency = (lead: number, friction: number): number =>
  Math.tan(lead) / Math.tan(lead + friction);

/** Whether a load drives the screw back: lead angle over friction angle. */
export const backDrives = (lead: number, friction: number): boolean => lead > friction;

/** Torque with which a mass turns its screw, N·m; negative when the screw holds by itself. */
export const backDrivingTorque = (
  mass: number,
  pitchDiameter: number,
  lead: number,
  friction: number,
): number => mass * STANDARD_GRAVITY * (pitchDiameter / 2) * Math.tan(lead - friction);

/** Torque with which a mass turns a belt pulley, N·m. */
export const hangingTorque = (mass: number, radius: number): number => mass * STANDARD_GRAVITY * radius;
