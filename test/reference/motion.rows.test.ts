import * as acceleration from '../../server/src/physics/acceleration';
import * as motion from '../../server/src/physics/motion';
import * as stepper from '../../server/src/physics/stepper';
import * as rate from '../../server/src/physics/stepRate';
import { checkRows, published, type Reader } from './rows';
import { quantity, shipped } from './shipped';

interface Mechanics {
  readonly belts: { pitch: Record<string, number> };
  readonly trapezoidal: { pitches: Record<string, number[]> };
  readonly isoCoarse: { pitch: Record<string, number> };
  readonly frames: { sizes: Record<string, { boltSpacing: number; shaft: number }> };
}
const mechanics = published('mechanics') as Mechanics;
const MM = 1e-3;

const perMm = (read: Reader, travel: number, ratio = 1): number =>
  stepsPerMm(motion.stepsPerMetre(read('full_steps_per_rev'), read('microsteps'), travel, ratio));
const stepsPerMm = (perMetre: number): number => perMetre * MM;

checkRows('motion', [
  { id: /^motion\.pitch\.belt\./, compute: (_, read) => mechanics.belts.pitch[read.text('profile')] },
  {
    id: /^motion\.spmm\.belt\./,
    compute: (_, read) => perMm(read, motion.beltTravel(read('pitch_mm') * MM, read('pulley_teeth'))),
  },
  { id: /^motion\.tr\d+\.pitch$/, compute: (_, read) => mechanics.trapezoidal.pitches[read('d_mm')] },
  {
    id: /^motion\.tr(\.designation|8x8p2\.starts)$/,
    compute: (_, read) => motion.threadStarts(read('lead') * MM, read('pitch') * MM),
  },
  { id: /^motion\.iso\./, compute: (_, read) => mechanics.isoCoarse.pitch[read('d_mm')] },
  {
    id: /^motion\.spmm\.screw\./,
    compute: (_, read) => perMm(read, motion.screwTravel(read('lead_mm') * MM, 1)),
  },
  {
    id: /^motion\.spmm\.extruder\./,
    compute: (_, read) => perMm(read, motion.rollerTravel(read('diameter_mm') * MM), read('gear')),
  },
  {
    id: /^motion\.spdeg$/,
    compute: (_, read) =>
      (motion.stepsPerRadian(read('full_steps_per_rev'), read('microsteps')) * Math.PI) / 180,
  },
  {
    id: /^motion\.stepangle\./,
    compute: (_, read) => motion.fullStepsPerTurn((read('step_deg') * Math.PI) / 180),
  },
  {
    id: /^motion\.belt\.length$/,
    compute: (_, read) =>
      motion.beltLength(read('pitch_mm') * MM, read('t1'), read('t2'), read('centre_mm') * MM) / MM,
  },
  { id: /^motion\.inch$/, compute: () => motion.INCH / MM },
  {
    id: /^motion\.nema23$/,
    compute: (_, read) => {
      const frame = mechanics.frames.sizes[read('frame')];
      return {
        face_mm: motion.frameFace(read('frame')) / MM,
        bolt_spacing_mm: frame?.boltSpacing,
        shaft_mm: frame?.shaft,
      };
    },
  },
]);

const speed = (read: Reader): number => read('speed_mm_s') * MM;
const perMetre = (read: Reader): number => read('steps_per_mm') / MM;
const drv8825 = shipped('drivers/drv8825.json');
const printed = published('drivers') as {
  DRV8825: { maxStepRate: number };
  DRV8711: { internalReference: number; torqueBits: number };
};

checkRows('step-rate', [
  { id: /^rate\.\d+\.\d+$/, compute: (_, read) => rate.stepRate(speed(read), perMetre(read)) },
  {
    id: /^rate\.drv8825\.fmax$/,
    // The printed limit must not pass what the pulse widths allow.
    compute: () =>
      Math.min(
        printed.DRV8825.maxStepRate,
        rate.highestStepRate(quantity(drv8825.minHigh, 'time').nom, quantity(drv8825.minLow, 'time').nom),
      ),
  },
  {
    id: /^rate\.drv8825\.pulse$/,
    compute: () => {
      const [high, low] = [quantity(drv8825.minHigh, 'time').nom, quantity(drv8825.minLow, 'time').nom];
      return high === low ? high : undefined;
    },
  },
  { id: /^rate\.drv8825\.setup$/, compute: () => quantity(drv8825.minDirectionSetup, 'time').nom },
  {
    id: /^rate\.limit\.(40k\.)?\d+$/,
    compute: (_, read) => rate.speedAtRate(read('f_max'), perMetre(read)) / MM,
  },
  {
    id: /^rate\.limit\..*\.diag$/,
    compute: (_, read) =>
      rate.diagonalSpeedAtTotalRate(read('f_max_total'), perMetre(read), read('axes')) / MM,
  },
  { id: /^rate\.cycles\./, compute: (_, read) => rate.cyclesPerStep(read('clock_hz'), read('rate_hz')) },
  {
    id: /^rate\.rpm\./,
    compute: (_, read) => 60 * rate.turnsPerSecond(speed(read), read('mm_per_rev') * MM),
  },
  {
    id: /^rate\.fullsteps\./,
    compute: (_, read) => rate.fullStepRate(rate.stepRate(speed(read), perMetre(read)), read('microsteps')),
  },
]);

checkRows('corner-speed', [
  {
    id: /^corner\.sine\./,
    compute: (_, read) => {
      const frequency = stepper.reactanceCorner(read('v'), read('l_h'), read('i_peak'));
      const fullSteps = stepper.fullStepsAtElectrical(frequency);
      const turns = fullSteps / read('full_steps_per_rev');
      return {
        f_electrical_hz: frequency,
        full_steps_per_s: fullSteps,
        rev_per_s: turns,
        speed_mm_s: turns * read('mm_per_rev'),
      };
    },
  },
  {
    id: /^corner\.ramp\./,
    compute: (_, read) => {
      const time = stepper.swingTime(read('v'), read('l_h'), read('i_peak'));
      return {
        step_time_s: time,
        rev_per_s: 1 / (time * read('full_steps_per_rev')),
        max_full_steps_per_s: 1 / time,
      };
    },
  },
  { id: /^corner\.tau$/, compute: (_, read) => stepper.electricalTime(read('l_h'), read('r')) },
]);

const accel = (read: Reader): number => read('accel_mm_s2') * MM;

checkRows('acceleration', [
  {
    id: /^accel\.dist\./,
    compute: (_, read) => ({
      distance_mm: acceleration.distanceToSpeed(speed(read), accel(read)) / MM,
      time_s: acceleration.timeToSpeed(speed(read), accel(read)),
    }),
  },
  {
    id: /^accel\.move\./,
    compute: (_, read) => {
      const { peak, time } = acceleration.startStopMove(read('distance_mm') * MM, speed(read), accel(read));
      return { peak_mm_s: peak / MM, time_s: time };
    },
  },
  { id: /^accel\.steps$/, compute: (_, read) => acceleration.stepAcceleration(accel(read), perMetre(read)) },
  {
    id: /^accel\.force$/,
    compute: (_, read) => {
      const newtons = acceleration.force(read('mass_kg'), accel(read));
      const radius = (read('pitch_diameter_mm') * MM) / 2;
      return { force_n: newtons, torque_nm: acceleration.torqueAtRadius(newtons, radius) };
    },
  },
]);

checkRows('stepper-current', [
  {
    id: /^current\.drv88\./,
    compute: (_, read) => stepper.peakFromReference(read('vref'), read('gain'), read('r_sense')),
  },
  {
    id: /^current\.vref\./,
    compute: (_, read) => stepper.referenceForPeak(read('i_peak'), read('gain'), read('r_sense')),
  },
  { id: /^current\.rms\./, compute: (_, read) => stepper.rmsOf(read('i_peak')) },
  { id: /^current\.fullstep$/, compute: () => stepper.FULL_STEP_SHARE },
  {
    id: /^current\.rsense\.p\./,
    compute: (_, read) => ({
      power_rms_w: stepper.sensePower(stepper.rmsOf(read('i_peak')), read('r_sense')),
      power_peak_w: stepper.sensePower(read('i_peak'), read('r_sense')),
    }),
  },
  {
    id: /^current\.drv8711\./,
    compute: (_, read) => {
      const { internalReference, torqueBits } = printed.DRV8711;
      return stepper.peakFromCode(
        internalReference,
        read('torque'),
        torqueBits,
        read('gain'),
        read('r_sense'),
      );
    },
  },
  {
    id: /^current\.motor\.copper$/,
    compute: (_, read) => stepper.copperLoss(read('i_rms'), read('r_phase'), read('phases')),
  },
  { id: /^current\.supply\.estimate$/, compute: (_, read) => read('power_w') / read('v') },
  { id: /^current\.micro\.torque\./, compute: (_, read) => stepper.microstepTorque(read('microsteps')) },
]);
