/**
 * Two-phase hybrid stepping motors on chopper drives. Rms values are per phase; peak = √2·rms for sinusoidal microstepping.
 * A, Ω, H, V, N·m, rad/s. Source: stepping-motor textbooks (two-phase sinusoidal model); driver data sheets for currents.
 */

export const peakOf = (rms: number): number => rms * Math.SQRT2;
export const rmsOf = (peak: number): number => peak / Math.SQRT2;

/** Full-scale (peak) current of an analog reference: V_ref/(gain·R_sense). */
export const peakFromReference = (reference: number, gain: number, sense: number): number =>
  reference / (gain * sense);
export const referenceForPeak = (peak: number, gain: number, sense: number): number => peak * gain * sense;

/** Full scale with an internal reference scaled by a converter: V_ref·code/(2^bits·gain·R_sense). */
export const peakFromCode = (
  reference: number,
  code: number,
  bits: number,
  gain: number,
  sense: number,
): number => peakFromReference((reference * code) / 2 ** bits, gain, sense);

/** Full-scale rms current of a driver that compares with `fullScale` V across its sense resistor. */
export const fullScaleRms = (fullScale: number, sense: number): number => rmsOf(fullScale / sense);

/** Current a firmware really sets when it computes with another sense resistor than the one fitted. */
export const currentWithOtherSense = (set: number, assumedSense: number, fittedSense: number): number =>
  (set * assumedSense) / fittedSense;

/** Heat in one sense resistor at an rms or peak current, W. */
export const sensePower = (current: number, sense: number): number => current ** 2 * sense;

/** Heat in the windings of a motor, W. */
export const copperLoss = (rms: number, phaseResistance: number, phases = 2): number =>
  phases * rms ** 2 * phaseResistance;

/** Share of the holding torque that moves the rotor by one microstep: sin(90°/µ). */
export const microstepTorque = (microsteps: number): number => Math.sin(Math.PI / 2 / microsteps);

/** Current of each phase with two phases fully on in full step, as a share of full scale: 1/√2. */
export const FULL_STEP_SHARE = Math.SQRT1_2;

/** L/R of a winding, s. */
export const electricalTime = (inductance: number, resistance: number): number => inductance / resistance;

/** Electrical frequency at which the reactance alone takes the supply: V/(2π·L·I). */
export const reactanceCorner = (supply: number, inductance: number, peak: number): number =>
  supply / (2 * Math.PI * inductance * peak);

/** Time to swing a phase from −I to +I at full supply, less resistance and back-EMF: 2·L·I/V, one full step. */
export const swingTime = (supply: number, inductance: number, peak: number): number =>
  (2 * inductance * peak) / supply;

/** Full steps a second of an electrical frequency; four full steps make one electrical turn. */
export const fullStepsAtElectrical = (frequency: number): number => 4 * frequency;

export interface StepperMotor {
  /** N·m with both phases at rated current. */
  readonly holdingTorque: number;
  /** Rated rms current a phase (both phases on), A. */
  readonly ratedCurrent: number;
  /** H and Ω a phase. */
  readonly inductance: number;
  readonly resistance: number;
  /** Step angle in rad; default 1.8°. */
  readonly stepAngle?: number;
}

export interface StepperDrive {
  /** V. */
  readonly supply: number;
  /** Peak current a phase, A. */
  readonly peakCurrent: number;
  /** Both switches of a bridge, hot, Ω. */
  readonly bridgeResistance: number;
}

/** Torque constant a phase, N·m/A of quadrature current: T_h/(√2·I_rated). */
export const torqueConstant = (motor: StepperMotor): number =>
  motor.holdingTorque / peakOf(motor.ratedCurrent);

/** Electrical turns per turn: 90° over the step angle (50 for 1.8°). */
export const polePairs = (motor: StepperMotor): number => Math.PI / 2 / (motor.stepAngle ?? Math.PI / 100);

/**
 * Voltage that drives the current: the supply less what resistance takes. The lower bound counts the supply as the peak of
 * a sine; the upper one as a square wave (4/π), into which a driver saturates.
 */
export function drivingVoltage(motor: StepperMotor, drive: StepperDrive): { lower: number; upper: number } {
  const lost = drive.peakCurrent * (motor.resistance + drive.bridgeResistance);
  return { lower: Math.max(drive.supply - lost, 0), upper: Math.max((4 / Math.PI) * drive.supply - lost, 0) };
}

/** Torque-making current at a speed, with a driving voltage `volts`; A. */
export function quadratureCurrent(motor: StepperMotor, peak: number, volts: number, speed: number): number {
  const emf = torqueConstant(motor) * speed;
  const reactance = polePairs(motor) * speed * motor.inductance;
  if (emf ** 2 + (reactance * peak) ** 2 <= volts ** 2) return peak;
  if (reactance > 0 && (volts ** 2 + emf ** 2) / reactance ** 2 <= peak ** 2) return volts / reactance;
  const direct = (emf ** 2 + (reactance * peak) ** 2 - volts ** 2) / (2 * emf * reactance);
  // Without inductance or back-EMF the middle region does not exist: what is left is the voltage limit itself.
  if (!Number.isFinite(direct)) return 0;
  return direct >= peak ? 0 : Math.sqrt(peak ** 2 - direct ** 2);
}

/**
 * Torque a motor has at a speed (rad/s), N·m. Checked against a simulated chopper: exact below the corner; above it the
 * lower bound is 10–30 % low, the upper one within 10 %. Leaves out iron loss, resonance and current decay.
 */
export function availableTorque(
  motor: StepperMotor,
  drive: StepperDrive,
  speed: number,
): { lower: number; upper: number } {
  const { lower, upper } = drivingVoltage(motor, drive);
  const torque = (volts: number) =>
    torqueConstant(motor) * quadratureCurrent(motor, drive.peakCurrent, volts, Math.abs(speed));
  return { lower: torque(lower), upper: torque(upper) };
}

/** Speed up to which the supply presses the full current in, rad/s: V/√(Kt² + (p·L·Ipk)²). */
export function cornerSpeed(motor: StepperMotor, drive: StepperDrive): number {
  const { lower } = drivingVoltage(motor, drive);
  return lower / Math.hypot(torqueConstant(motor), polePairs(motor) * motor.inductance * drive.peakCurrent);
}

/** Equal motors in series on one driver, seen as one motor: R, L and back-EMF add, the current is each one's. */
export const inSeries = (motor: StepperMotor, count = 2): StepperMotor => ({
  ...motor,
  holdingTorque: count * motor.holdingTorque,
  inductance: count * motor.inductance,
  resistance: count * motor.resistance,
});

/** What each of several equal motors in parallel sees of one driver: a share of its current, all of the bridge's voltage loss. */
export const inParallel = (drive: StepperDrive, count = 2): StepperDrive => ({
  ...drive,
  peakCurrent: drive.peakCurrent / count,
  bridgeResistance: count * drive.bridgeResistance,
});

/**
 * Torque a move asks of the motor, N·m: (m·a + F + m·g when lifting)·r/η + J·a/r. kg, m/s², N, m, kg·m².
 */
export function neededTorque(load: {
  readonly mass: number;
  readonly acceleration: number;
  readonly friction: number;
  readonly radius: number;
  readonly efficiency: number;
  readonly inertia?: number;
  readonly vertical?: boolean;
}): number {
  const weight = load.vertical ? load.mass * STANDARD_GRAVITY : 0;
  const pull = load.mass * load.acceleration + load.friction + weight;
  return (pull * load.radius) / load.efficiency + ((load.inertia ?? 0) * load.acceleration) / load.radius;
}

/** m/s², CGPM 1901. */
export const STANDARD_GRAVITY = 9.80665;

/** Acceleration at which the needed torque equals `torque`, m/s²; may be negative when friction alone is too much. */
export function accelerationForTorque(
  torque: number,
  load: Omit<Parameters<typeof neededTorque>[0], 'acceleration'>,
): number {
  const still = neededTorque({ ...load, acceleration: 0 });
  return (torque - still) / (neededTorque({ ...load, acceleration: 1 }) - still);
}

/** Winding temperature at standstill, °C: class B motors rise 80 K at rated current (NEMA ICS 16, IEC 60034-1). */
export const windingTemperature = (ambient: number, current: number, rated: number, ratedRise = 80): number =>
  ambient + ratedRise * (current / rated) ** 2;

/** Heat in a driver chip with two phases on, W; resistance of both switches of a phase, hot. */
export const driverLoss = (rms: number, phaseResistance: number): number => 2 * rms ** 2 * phaseResistance;
