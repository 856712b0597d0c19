import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import * as acceleration from '../../server/src/physics/acceleration';
import * as motion from '../../server/src/physics/motion';
import * as screw from '../../server/src/physics/screw';
import * as stepper from '../../server/src/physics/stepper';
import * as rate from '../../server/src/physics/stepRate';

const motor: stepper.StepperMotor = {
  holdingTorque: 0.4,
  ratedCurrent: 1.5,
  inductance: 3e-3,
  resistance: 1.6,
};
const drive = (supply: number): stepper.StepperDrive => ({ supply, peakCurrent: 1.5, bridgeResistance: 0.4 });
const radius = motion.effectiveRadius(0.04);
const turning = (speed: number): number => speed / radius;

describe('worked examples: torque (two-phase sinusoidal model, stepping-motor textbooks)', () => {
  const available = (supply: number) => stepper.availableTorque(motor, drive(supply), turning(0.5));

  it('12 V at 500 mm/s: 0.144 N·m at least, 0.194 at most (a simulated drive gave 0.180)', () => {
    expect(available(12).lower).toBeCloseTo(0.144, 3);
    expect(available(12).upper).toBeCloseTo(0.194, 3);
    expect(available(12).lower).toBeLessThan(0.18);
    expect(available(12).upper).toBeGreaterThan(0.18);
  });

  it('needed: 0.0807 N·m at 8 m/s² (reserve 1.79), 0.1104 at 12 m/s² (1.30), 3.45 at 24 V', () => {
    const load = { mass: 0.9, friction: 3, radius, efficiency: 0.9, inertia: 6.8e-6 };
    const needed = (a: number) => stepper.neededTorque({ ...load, acceleration: a });
    expect(needed(8)).toBeCloseTo(0.0807, 4);
    expect(needed(12)).toBeCloseTo(0.1104, 4);
    expect(available(12).lower / needed(8)).toBeCloseTo(1.79, 2);
    expect(available(12).lower / needed(12)).toBeCloseTo(1.3, 2);
    expect(available(24).lower / needed(8)).toBeCloseTo(3.45, 2);
    expect(available(24).lower).toBeCloseTo(0.279, 3);
    // Proposed: 10 m/s² for a reserve of 1.5, 6.8 for 2.0.
    expect(stepper.accelerationForTorque(available(12).lower / 1.5, load)).toBeCloseTo(10, 0);
    expect(stepper.accelerationForTorque(available(12).lower / 2, load)).toBeCloseTo(6.8, 1);
  });

  it('corner: 195 mm/s at 12 V, 455 at 24 V; short form 267 and 533; two in series 202 at 24 V', () => {
    const corner = (supply: number) => stepper.cornerSpeed(motor, drive(supply));
    expect(corner(12) * radius).toBeCloseTo(0.195, 3);
    expect(corner(24) * radius).toBeCloseTo(0.455, 3);
    expect(corner(12) / (2 * Math.PI)).toBeCloseTo(4.88, 2);
    const short = (supply: number) => (1 / (stepper.swingTime(supply, 3e-3, 1.5) * 200)) * 0.04;
    expect(short(12)).toBeCloseTo(0.267, 3);
    expect(short(24)).toBeCloseTo(0.533, 3);
    expect(stepper.cornerSpeed(stepper.inSeries(motor), drive(24)) * radius).toBeCloseTo(0.202, 3);
  });

  it('currents: 0.8 V, gain 8: 1.0 A at 0.1 Ω, 2.0 A at 0.05 Ω; 0.32 V over 0.22 Ω: 1.03 A rms', () => {
    expect(stepper.peakFromReference(0.8, 8, 0.1)).toBeCloseTo(1, 9);
    expect(stepper.peakFromReference(0.8, 8, 0.05)).toBeCloseTo(2, 9);
    expect(stepper.currentWithOtherSense(0.8, 0.1, 0.05)).toBeCloseTo(1.6, 9);
    expect(stepper.fullScaleRms(0.32, 0.22)).toBeCloseTo(1.03, 2);
  });

  it('1.4 A in a 1.0 A motor: 182 °C; 100 % at 55 °C: 135 °C; 1.6 A through 0.5 Ω: 2.56 W', () => {
    expect(stepper.windingTemperature(25, 1.4, 1)).toBeCloseTo(182, 0);
    expect(stepper.windingTemperature(55, 1, 1)).toBe(135);
    expect(stepper.driverLoss(1.6, 0.5)).toBeCloseTo(2.56, 9);
    expect(45 + stepper.driverLoss(1.6, 0.5) * 35).toBeCloseTo(134.6, 1);
  });

  it('256 microsteps: 0.6 % of 0.40 N·m is 2.5 mN·m', () => {
    expect(0.4 * stepper.microstepTorque(256)).toBeCloseTo(2.5e-3, 4);
  });
});

describe('worked examples: geometry and rates', () => {
  it('1.8°, 16 microsteps, 2 mm belt: 80 steps/mm with 20 teeth, 100 with 16; 100 set travels 25 % too far', () => {
    const full = motion.fullStepsPerTurn((1.8 * Math.PI) / 180);
    const k = (teeth: number) => motion.stepsPerMetre(full, 16, motion.beltTravel(2e-3, teeth));
    expect(k(20)).toBeCloseTo(80e3, 6);
    expect(k(16)).toBeCloseTo(100e3, 6);
    expect(motion.travelError(100e3, k(20))).toBeCloseTo(0.25, 9);
  });

  it('320 steps/mm at 300 mm/s: 96 kHz, 135.8 kHz on coupled belts at 45°; 80 kHz is 250 mm/s, 60 kHz 187.5', () => {
    expect(rate.stepRate(0.3, 320e3)).toBeCloseTo(96e3, 6);
    expect(rate.stepRate(rate.coupledBeltSpeed(0.3), 320e3)).toBeCloseTo(135.8e3, -2);
    expect(rate.speedAtRate(80e3, 320e3)).toBeCloseTo(0.25, 9);
    expect(rate.speedAtRate(60e3, 320e3)).toBeCloseTo(0.1875, 9);
    expect(rate.highestStepRate(5e-6, 5e-6)).toBeCloseTo(100e3, 6);
  });

  it('16 stored moves of 0.2 mm: 77.5 mm/s at 1000 mm/s², 54.8 at 500; 64 moves: 159', () => {
    expect(acceleration.lookaheadSpeed(1, 16, 0.2e-3)).toBeCloseTo(0.0775, 4);
    expect(acceleration.lookaheadSpeed(0.5, 16, 0.2e-3)).toBeCloseTo(0.0548, 4);
    expect(acceleration.lookaheadSpeed(1, 64, 0.2e-3)).toBeCloseTo(0.159, 3);
  });

  it('overrun of 3.63 mm at 80 mm/s; 49.7 mm/s for 1.5 mm', () => {
    const time = 1.32e-3 + 4e-3;
    expect(acceleration.overrun(0.08, time, 1)).toBeCloseTo(3.63e-3, 5);
    expect(acceleration.speedForOverrun(1.5e-3, time, 1)).toBeCloseTo(0.0497, 3);
  });

  it('screw of lead 8, 7 mm: λ 20.0°, φ 8.8°, 1.8 kg turns it with 12.2 mN·m; efficiency 0.66, lead 2 0.36', () => {
    const degrees = 180 / Math.PI;
    const lambda = screw.leadAngle(8e-3, 7e-3);
    const phi = screw.frictionAngle(0.15);
    expect(lambda * degrees).toBeCloseTo(20, 1);
    expect(phi * degrees).toBeCloseTo(8.8, 1);
    expect(screw.backDrives(lambda, phi)).toBe(true);
    expect(screw.backDrivingTorque(1.8, 7e-3, lambda, phi)).toBeCloseTo(12.2e-3, 4);
    expect(screw.screwEfficiency(lambda, phi)).toBeCloseTo(0.66, 2);
    expect(screw.screwEfficiency(screw.leadAngle(2e-3, 7e-3), phi)).toBeCloseTo(0.36, 2);
    expect(screw.backDrives(screw.leadAngle(2e-3, 7e-3), phi)).toBe(false);
  });
});

describe('properties', () => {
  const speeds = fc.double({ min: 0, max: 500, noNaN: true });
  const motors = fc.record({
    holdingTorque: fc.double({ min: 0.05, max: 3, noNaN: true }),
    ratedCurrent: fc.double({ min: 0.2, max: 5, noNaN: true }),
    inductance: fc.double({ min: 0.3e-3, max: 20e-3, noNaN: true }),
    resistance: fc.double({ min: 0.2, max: 10, noNaN: true }),
  });

  it('torque never rises with speed, never passes the holding current’s, and the bounds are in order', () => {
    fc.assert(
      fc.property(motors, speeds, fc.double({ min: 0, max: 50, noNaN: true }), (any, speed, more) => {
        const d = { supply: 24, peakCurrent: stepper.peakOf(any.ratedCurrent), bridgeResistance: 0.4 };
        const [slow, fast] = [
          stepper.availableTorque(any, d, speed),
          stepper.availableTorque(any, d, speed + more),
        ];
        expect(fast.lower).toBeLessThanOrEqual(slow.lower + 1e-9);
        expect(slow.lower).toBeLessThanOrEqual(slow.upper + 1e-9);
        expect(slow.upper).toBeLessThanOrEqual(any.holdingTorque * (1 + 1e-9));
        expect(Number.isFinite(slow.lower) && slow.lower >= 0).toBe(true);
      }),
    );
  });

  it('up to the corner speed the full current flows', () => {
    fc.assert(
      fc.property(motors, fc.double({ min: 0, max: 0.999, noNaN: true }), (any, share) => {
        const d = { supply: 48, peakCurrent: stepper.peakOf(any.ratedCurrent), bridgeResistance: 0.4 };
        const corner = stepper.cornerSpeed(any, d);
        if (corner === 0) return;
        expect(stepper.availableTorque(any, d, share * corner).lower).toBeCloseTo(any.holdingTorque, 9);
      }),
    );
  });

  it('a move takes longer for a longer way, and never exceeds its speed', () => {
    const way = fc.double({ min: 1e-4, max: 1, noNaN: true });
    fc.assert(
      fc.property(way, way, (distance, more) => {
        const [near, far] = [distance, distance + more].map((d) => acceleration.startStopMove(d, 0.2, 3));
        expect(far?.time).toBeGreaterThan(near?.time ?? Number.NaN);
        expect(far?.peak).toBeLessThanOrEqual(0.2);
      }),
    );
  });
});
