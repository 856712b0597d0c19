import type { Fact, NumberFact } from '../model/fact';
import { type Interval, interval, over, point } from '../model/interval';
import { effectiveRadius } from '../physics/motion';
import { frictionAngle, leadAngle, screwEfficiency } from '../physics/screw';
import {
  inParallel,
  inSeries,
  peakOf,
  STANDARD_GRAVITY,
  type StepperDrive,
  type StepperMotor,
} from '../physics/stepper';
import { type AxisMotors, axisMotors } from './axisMotors';
import { type AxisCurrent, axisCurrent, bridgeResistance, onlyDriver } from './driverCurrent';
import type { Axis, Machine } from './machine';
import type { Transmission } from './sheet';

/** The one fact that is needed next, as a request; see `RuleContext.need`. */
export interface NeededFact {
  readonly missing: string;
}

export const isMissing = (value: object): value is NeededFact => 'missing' in value;

/** Motor, driver and transmission of an axis at one corner of their ranges. SI units. */
export interface DrivePoint {
  /** What one driver drives, seen as one motor. */
  readonly motor: StepperMotor;
  readonly drive: StepperDrive;
  /** Drivers' loads that pull together. */
  readonly pulling: number;
  /** m of travel for each rad of the motor. */
  readonly radius: number;
}

/** All that turns a driver's current into force on an axis. Evaluate it with `values` at their corners: `over(values, …)`. */
export interface AxisDrive {
  readonly motors: AxisMotors;
  readonly current: AxisCurrent;
  /** Rotors that an acceleration turns. */
  readonly rotors: number;
  readonly facts: readonly Fact<unknown>[];
  readonly values: readonly Interval[];
  at(values: readonly number[]): DrivePoint;
}

/** Joins them, or tells the one fact that is missing. Deltas are left out: what a tower carries hangs on where the tool is. */
export function axisDrive(machine: Machine, axis: Axis): AxisDrive | NeededFact | undefined {
  if (machine.kinematics?.value === 'delta' && !axis.feed) return undefined;
  const motors = axisMotors(axis);
  const { motor, travelPerTurn } = axis;
  const key = `axes.${axis.axis}`;
  const missing = (what: string): NeededFact => ({ missing: `Add ${what} to the machine sheet` });
  if (!motors) return missing(`the axis's motor (${key}.motors)`);
  // Motors of two types on one axis: the sheet says all there is, and one model does not fit both.
  if (!motor) return axis.sheet?.motors[0]?.motor ? undefined : missing(`the axis's motor (${key}.motors)`);
  if (!motors.joined) return missing(`how the ${motors.count} motors share drivers (${key}.joined)`);
  const { stepAngle, holdingTorque, ratedCurrent, inductance, resistance, rotorInertia } = motor;
  const at = `motors.${motor.name}`;
  if (!inductance) return missing(`the motor's inductance (${at}.inductance)`);
  if (!holdingTorque) return missing(`the motor's holding torque (${at}.holdingTorque)`);
  if (!ratedCurrent) return missing(`the current on the motor's plate (${at}.ratedCurrent)`);
  if (!resistance) return missing(`the resistance of one winding (${at}.resistance)`);
  if (!stepAngle) return missing(`the motor's step angle (${at}.stepAngle)`);
  if (!travelPerTurn)
    return missing(`pitch and teeth, lead or diameter of the transmission (${key}.transmission)`);
  const supply = machine.supplyVoltage;
  if (!supply) return missing('the voltage of the supply (supply.voltage)');
  const current = axisCurrent(machine, axis);
  if (!current) return { missing: `Add the motor current (${axis.id}.motorCurrent) to the settings` };
  const bridge = bridgeResistance(onlyDriver(axis)?.family);
  const ratio = axis.sheet?.transmission?.gearRatio;
  // Feed rollers are geared as often as not; without the ratio force and speed would be off by as much.
  if (!ratio && axis.sheet?.transmission?.kind?.value === 'roller')
    return missing(`the gear between motor and roller (${key}.transmission.gearRatio, 1 without one)`);
  const partner = beltPartner(machine, axis);
  if (partner === 'other motor') return undefined;
  const { count, joined } = motors;
  const shared = partner ? 2 : 1;
  const numbers = [
    holdingTorque,
    ratedCurrent,
    inductance,
    resistance,
    stepAngle,
    supply,
    current.rms,
    bridge,
    travelPerTurn,
  ];
  return {
    motors,
    current,
    rotors: count * shared,
    facts: [...numbers, ...current.facts, ratio, motors.fact, rotorInertia].filter(
      (fact) => fact !== undefined,
    ),
    values: [...numbers.map(({ value }) => value), ratio?.value ?? point(1)],
    at(values) {
      const [torque = 0, rated = 0, henry = 0, ohms = 0, angle = 0, volts = 0, amperes = 0] = values;
      const [bridgeOhms = 0, travel = 0, gear = 1] = values.slice(7);
      const one: StepperMotor = {
        holdingTorque: torque,
        ratedCurrent: rated,
        inductance: henry,
        resistance: ohms,
        stepAngle: angle,
      };
      const single: StepperDrive = {
        supply: volts,
        peakCurrent: peakOf(amperes),
        bridgeResistance: bridgeOhms,
      };
      const radius = effectiveRadius(travel) / gear;
      if (joined === 'series') return { motor: inSeries(one, count), drive: single, pulling: shared, radius };
      if (joined === 'parallel')
        return { motor: one, drive: inParallel(single, count), pulling: count * shared, radius };
      return { motor: one, drive: single, pulling: count * shared, radius };
    },
  };
}

/** With coupled belts X and Y turn both motors; a pair of different motors has no common model. */
function beltPartner(machine: Machine, axis: Axis): Axis | 'other motor' | undefined {
  if (machine.kinematics?.value !== 'coupledBelts' || !['x', 'y'].includes(axis.axis)) return undefined;
  const other = machine.axes.find((one) => one !== axis && ['x', 'y'].includes(one.axis));
  if (!other) return 'other motor';
  return other.motor === axis.motor ? other : 'other motor';
}

/** What an axis has to move, at one corner of its facts. */
export interface LoadPoint {
  readonly mass: number;
  /** N, weight included. */
  readonly friction: number;
  readonly efficiency: number;
  /** kg·m² of one rotor. */
  readonly inertia: number;
}

export interface AxisLoad {
  readonly facts: readonly Fact<unknown>[];
  readonly values: readonly Interval[];
  at(values: readonly number[]): LoadPoint;
}

/** N; of an axis whose sheet says nothing. Common practice, no source. */
const FRICTION: NumberFact = { value: point(3), quality: 'estimated', label: 'friction, taken as 3 N' };

/** Mass, friction, weight and losses of an axis, or the one fact that is missing. */
export function axisLoad(axis: Axis): AxisLoad | NeededFact {
  const { sheet, motor } = axis;
  const mass = sheet?.movedMass;
  if (!mass)
    return {
      missing: `Weigh what ${axis.title} moves and add it (axes.${axis.axis}.movedMass) to the machine sheet`,
    };
  const friction = sheet.friction ?? FRICTION;
  const efficiency = driveEfficiency(axis);
  if (isMissing(efficiency)) return efficiency;
  const inertia = motor?.rotorInertia;
  const { vertical, brake } = sheet;
  // "brake" may be a counterweight: then the motor does not lift all of it.
  const lift = !vertical?.value ? point(0) : brake?.value ? interval(0, 1, 1) : point(1);
  return {
    facts: [mass, friction, efficiency, vertical?.value ? vertical : undefined].filter(
      (fact) => fact !== undefined,
    ),
    // A rotor of unknown inertia is taken as 0: that can only hide a fault.
    values: [mass.value, friction.value, efficiency.value, lift, inertia?.value ?? point(0)],
    at([kilograms = 0, newtons = 0, share = 1, lifted = 0, rotor = 0]) {
      const weight = lifted * kilograms * STANDARD_GRAVITY;
      return { mass: kilograms, friction: newtons + weight, efficiency: share, inertia: rotor };
    },
  };
}

/** Efficiency of a belt or rack whose sheet states none. Common practice, no source. */
const BELT_EFFICIENCY: NumberFact = {
  value: point(0.9),
  quality: 'assumed',
  label: 'efficiency, taken as 90 %',
};

function driveEfficiency(axis: Axis): NumberFact | NeededFact {
  const { sheet } = axis;
  if (sheet?.efficiency) return sheet.efficiency;
  const transmission = sheet?.transmission;
  if (!transmission || !isScrew(transmission)) return BELT_EFFICIENCY;
  const screw = screwAngles(transmission, `axes.${axis.axis}.transmission`);
  if (isMissing(screw)) return screw;
  return {
    value: over([screw.lead, screw.friction], screwEfficiency),
    quality: screw.facts.some(({ quality }) => quality === 'estimated') ? 'estimated' : 'stated',
    label: 'efficiency of the screw',
  };
}

export const isScrew = ({ kind, lead }: Transmission): boolean =>
  kind ? kind.value === 'screw' : lead !== undefined;

/**
 * Friction of screw and nut where the sheet says nothing: 0.10 to 0.20, oiled or plastic to dry on bronze. From memory of
 * machine-design handbooks (power screws), to be compared with a current copy.
 */
const SCREW_FRICTION: NumberFact = {
  value: interval(0.1, 0.2, 0.15),
  quality: 'estimated',
  label: 'friction of the screw, taken as 0.10 to 0.20',
};
/** Half-angle of trapezoidal threads: 15° (ISO 2901). */
const HALF_ANGLE = Math.PI / 12;

export interface ScrewAngles {
  /** Lead angle and friction angle, rad. */
  readonly lead: Interval;
  readonly friction: Interval;
  /** m */
  readonly pitchDiameter: Interval;
  readonly facts: readonly Fact<unknown>[];
}

/** @param key where the sheet has the transmission, for questions */
export function screwAngles(transmission: Transmission, key: string): ScrewAngles | NeededFact {
  const { lead, pitchDiameter, frictionCoefficient, threadHalfAngle } = transmission;
  if (!lead) return { missing: `Add the screw's lead (${key}.lead) to the machine sheet` };
  if (!pitchDiameter)
    return { missing: `Add the pitch diameter of the screw (${key}.pitchDiameter) to the machine sheet` };
  const coefficient = frictionCoefficient ?? SCREW_FRICTION;
  const half = threadHalfAngle?.value ?? point(HALF_ANGLE);
  return {
    lead: over([lead.value, pitchDiameter.value], leadAngle),
    friction: over([coefficient.value, half], frictionAngle),
    pitchDiameter: pitchDiameter.value,
    facts: [lead, pitchDiameter, coefficient, threadHalfAngle].filter((fact) => fact !== undefined),
  };
}
