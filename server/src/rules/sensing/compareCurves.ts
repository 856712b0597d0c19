import type { SensorCurve } from '../../machine/curves';
import type { Zone } from '../../machine/machine';
import type { Interval } from '../../model/interval';
import { type ResistanceCurve, trueWithCurve, ZERO_CELSIUS } from '../../physics/ntc';
import { orNever, workingCelsius, worstOf } from './readings';

/** Tolerance of β, and what a β from two low points may be off against a table at working temperature. Common practice. */
const BETA_TOLERANCE = 0.01;
const TABLE_AGAINST_BETA_KELVIN = 5;

/** A zone's sensor as it is fitted, read by the curve of the settings. °C, K. */
export interface ComparedCurves {
  readonly law: ResistanceCurve;
  readonly reading: ResistanceCurve;
  readonly working: Interval;
  /** True where both are given by the same β and resistance. */
  readonly same: boolean;
  /** How hot it is while the display shows a temperature; Infinity where the sensor never gets there. */
  truthAt(shown: number): number;
  /** K that tolerances alone can make. */
  toleranceAt(shown: number): number;
  /** The end of the working range at which the reading is farthest off, and how hot it is then. */
  readonly shown: number;
  readonly truth: number;
}

/** Nothing for curves of which one falls with temperature and the other rises. */
export function compareCurves(
  zone: Zone,
  fitted: SensorCurve,
  assumed: SensorCurve,
): ComparedCurves | undefined {
  const [law, reading] = [fitted.resistance, assumed.resistance];
  if (!law || !reading || fitted.kind !== assumed.kind) return undefined;
  const working = workingCelsius(zone);
  const truthAt = (at: number): number => orNever(trueWithCurve(law, reading, at));
  const shown = worstOf(working, truthAt);
  return {
    law,
    reading,
    working,
    same: fitted.r25 !== undefined && fitted.r25 === assumed.r25 && fitted.beta === assumed.beta,
    truthAt,
    toleranceAt: (at) => tolerance(fitted, assumed, at),
    shown,
    truth: truthAt(shown),
  };
}

/** K that tolerances alone can make at a temperature in °C. */
function tolerance(fitted: SensorCurve, assumed: SensorCurve, shown: number): number {
  if (fitted.kind !== 'ntc' || assumed.kind !== 'ntc') return 0;
  const kelvin = shown + ZERO_CELSIUS;
  const beta = fitted.beta ?? assumed.beta;
  const fromBeta = beta === undefined ? 0 : BETA_TOLERANCE * kelvin * (kelvin / (25 + ZERO_CELSIUS) - 1);
  return Math.abs(fromBeta) + (fitted.fromBeta !== assumed.fromBeta ? TABLE_AGAINST_BETA_KELVIN : 0);
}
