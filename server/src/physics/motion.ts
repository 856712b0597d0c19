/** Geometry of drives. Metres and radians; steps per metre (multiply by 0.001 for steps per mm). */

/** Full steps a turn of a motor with a step angle in radians. */
export const fullStepsPerTurn = (stepAngle: number): number => (2 * Math.PI) / stepAngle;

/** Travel of one turn: belt pitch × pulley teeth. */
export const beltTravel = (pitch: number, teeth: number): number => pitch * teeth;
/** Travel of one turn of a screw: its lead, pitch × starts. */
export const screwTravel = (pitch: number, starts: number): number => pitch * starts;
/** Travel of one turn of a feed roller of a gripping diameter. */
export const rollerTravel = (diameter: number): number => Math.PI * diameter;
/** Travel of one turn of a pinion on a rack: module × π × teeth. */
export const rackTravel = (module: number, teeth: number): number => Math.PI * module * teeth;

/** Starts of a screw thread from lead and pitch (designation "Tr d × lead (P pitch)", ISO 2904). */
export const threadStarts = (lead: number, pitch: number): number => lead / pitch;

/** Gear ratio: turns of the motor for one turn of the output. */
export const gearRatio = (drivenTeeth: number, drivingTeeth: number): number => drivenTeeth / drivingTeeth;

/** Microsteps a metre of travel. `ratio`: motor turns per output turn. */
export const stepsPerMetre = (
  fullSteps: number,
  microsteps: number,
  travelPerTurn: number,
  ratio = 1,
): number => (fullSteps * microsteps * ratio) / travelPerTurn;

/** Microsteps a radian of a turning axis. */
export const stepsPerRadian = (fullSteps: number, microsteps: number, ratio = 1): number =>
  (fullSteps * microsteps * ratio) / (2 * Math.PI);

/** How much further than commanded an axis goes, as a fraction: set steps over needed ones less 1. */
export const travelError = (setStepsPerMetre: number, neededStepsPerMetre: number): number =>
  setStepsPerMetre / neededStepsPerMetre - 1;

/** Radius at which a travel per turn acts, m. */
export const effectiveRadius = (travelPerTurn: number): number => travelPerTurn / (2 * Math.PI);

export const pitchDiameter = (pitch: number, teeth: number): number => (pitch * teeth) / Math.PI;

/** Length of an open belt around two pulleys, approximately: 2C + π(D1 + D2)/2 + (D2 − D1)²/(4C). */
export function beltLength(pitch: number, teeth1: number, teeth2: number, centreDistance: number): number {
  const [d1, d2] = [pitchDiameter(pitch, teeth1), pitchDiameter(pitch, teeth2)];
  return 2 * centreDistance + (Math.PI / 2) * (d1 + d2) + (d2 - d1) ** 2 / (4 * centreDistance);
}

/**
 * Coupled belts: two fixed motors move both axes. Belt speeds for carriage speeds x and y; each motor's steps per metre are
 * those of a plain belt axis.
 */
export const coupledBelts = (x: number, y: number): readonly [number, number] => [x + y, x - y];

/** International inch in metres (1959 agreement). */
export const INCH = 0.0254;

/** NEMA frame number: side of the mounting face in tenths of an inch, m. */
export const frameFace = (frame: number): number => (frame / 10) * INCH;
