import { ends, type Interval, point } from '../model/interval';
import { type Network, type Node, type SensorBranch, type Solution, solve } from './inputNetwork';

/** The input network with ranges for its values. Volts, ohms, amperes. */
export interface InputFacts {
  /** Supply of the microcontroller's pin. */
  readonly logicVoltage: Interval;
  /** The pull inside the microcontroller, if it is switched on. */
  readonly innerPull?: { readonly direction: 'up' | 'down'; readonly ohms: Interval };
  /** Resistors fitted on the board, or by the user; 0 V for a pull-down. */
  readonly fitted: readonly {
    readonly at: Node;
    readonly volts: Interval;
    readonly ohms: Interval;
    readonly only?: 'sink' | 'source';
  }[];
  readonly series: Interval;
  /** Resistor between the sensor's output and the connector (upper part of a divider in the lead). */
  readonly lead?: Interval;
  /** Whether the pin has a clamp to its supply; it conducts from 0.3 V beyond the supply and 0 V. */
  readonly clamp: boolean;
}

/** What the sensor is. `normally: 'open'` means off (not driving) at rest, on when pressed. */
export type SensorModel =
  | {
      readonly kind: 'contact';
      readonly normally: 'open' | 'closed';
      /** The voltage the contact closes to: 0 V or the supply. */
      readonly closesTo: Interval;
      readonly ohms?: Interval;
      readonly diode?: Interval;
      /** On the switch's own little board. Without effect behind a diode. */
      readonly pull?: SensorPull;
    }
  | {
      readonly kind: 'npn';
      readonly normally: 'open' | 'closed';
      readonly saturation: Interval;
      readonly leakage: Interval;
      readonly diode?: Interval;
      readonly pull?: SensorPull;
    }
  | {
      readonly kind: 'pnp';
      readonly normally: 'open' | 'closed';
      readonly supply: Interval;
      readonly drop: Interval;
      readonly leakage: Interval;
      readonly pull?: SensorPull;
    }
  | {
      readonly kind: 'pushPull';
      readonly pressed: 'high' | 'low';
      readonly supply: Interval;
      readonly drop: Interval;
      readonly saturation: Interval;
    }
  | {
      readonly kind: 'optical';
      readonly normally: 'open' | 'closed';
      readonly saturation: Interval;
      /** The most its output transistor takes, A. */
      readonly limit: Interval;
      readonly leakage?: Interval;
      readonly diode?: Interval;
      readonly pull?: SensorPull;
    };

export interface SensorPull {
  readonly volts: Interval;
  readonly ohms: Interval;
}

export const INPUT_STATES = ['rest', 'pressed', 'wireCut'] as const;
export type InputState = (typeof INPUT_STATES)[number];

/** Source resistances: a closed contact, a transistor output, a push-pull output. Ω */
export const CONTACT_OHMS = 0.1;
export const TRANSISTOR_OHMS = 10;
export const PUSH_PULL_OHMS = 30;
/** How far beyond the supply a pin's protection begins to conduct. V */
export const CLAMP_MARGIN = 0.3;

export interface Corner extends Solution {
  /** The pin's supply at this corner, for thresholds that follow it. */
  readonly logicVoltage: number;
}

export interface InputSolution {
  readonly floating: 'never' | 'somewhere' | 'everywhere';
  /** V over the corners that set a level; undefined when none does. */
  readonly pin?: Interval;
  readonly connector?: Interval;
  /** A into the pin's clamp, positive above the supply. */
  readonly injected: Interval;
  readonly nominal: Corner;
  readonly corners: readonly Corner[];
}

/** A value picked out of the ranges of one corner. */
type Pick = (value: Interval) => number;

/** Builds the network of one state with the values `pick` chooses. */
export function networkOf(facts: InputFacts, sensor: SensorModel, state: InputState, pick: Pick): Network {
  const logic = pick(facts.logicVoltage);
  const pulls = facts.fitted.map(({ at, volts, ohms, only }) => ({
    at,
    volts: pick(volts),
    ohms: pick(ohms),
    only,
  }));
  if (facts.innerPull) {
    const { direction, ohms } = facts.innerPull;
    pulls.push({ at: 'pin', volts: direction === 'up' ? logic : 0, ohms: pick(ohms), only: undefined });
  }
  const pull = state !== 'wireCut' && 'pull' in sensor ? sensor.pull : undefined;
  return {
    pulls,
    series: pick(facts.series),
    lead: facts.lead && pick(facts.lead),
    sensor: branchOf(sensor, state, pick),
    sensorPull: pull && { volts: pick(pull.volts), ohms: pick(pull.ohms) },
    clamp: facts.clamp ? { low: -CLAMP_MARGIN, high: logic + CLAMP_MARGIN } : undefined,
  };
}

function branchOf(sensor: SensorModel, state: InputState, pick: Pick): SensorBranch {
  if (state === 'wireCut') return { kind: 'open' };
  if (sensor.kind === 'pushPull') {
    const high = (sensor.pressed === 'high') === (state === 'pressed');
    const volts = high ? pick(sensor.supply) - pick(sensor.drop) : pick(sensor.saturation);
    return { kind: 'pushPull', volts, ohms: PUSH_PULL_OHMS };
  }
  const on = (sensor.normally === 'closed') === (state === 'rest');
  const diode = 'diode' in sensor && sensor.diode ? pick(sensor.diode) : undefined;
  switch (sensor.kind) {
    case 'contact':
      return on
        ? {
            kind: 'contact',
            volts: pick(sensor.closesTo),
            ohms: pick(sensor.ohms ?? point(CONTACT_OHMS)),
            diode,
          }
        : { kind: 'open' };
    case 'npn':
      return on
        ? { kind: 'npnOn', saturation: pick(sensor.saturation), ohms: TRANSISTOR_OHMS, diode }
        : { kind: 'npnOff', leakage: pick(sensor.leakage), diode };
    case 'pnp':
      return on
        ? { kind: 'pnpOn', volts: pick(sensor.supply) - pick(sensor.drop), ohms: TRANSISTOR_OHMS }
        : { kind: 'pnpOff', leakage: pick(sensor.leakage), supply: pick(sensor.supply) };
    case 'optical':
      return on
        ? {
            kind: 'opticalOn',
            saturation: pick(sensor.saturation),
            ohms: TRANSISTOR_OHMS,
            limit: pick(sensor.limit),
            diode,
          }
        : { kind: 'npnOff', leakage: pick(sensor.leakage ?? point(0)), diode };
  }
}

/** More ranges than this are taken at their ends together instead of one by one; it does not happen on real boards. */
const MOST_RANGES = 12;

/**
 * Solves one state at every corner of the ranges. The pin's voltage moves one way with each value, so the corners bound it.
 */
export function solveCorners(facts: InputFacts, sensor: SensorModel, state: InputState): InputSolution {
  const ranges: Interval[] = [];
  const collect: Pick = (value) => {
    if (ends(value).length > 1 && !ranges.includes(value)) ranges.push(value);
    return value.nom;
  };
  networkOf(facts, sensor, state, collect);
  const free = ranges.slice(0, MOST_RANGES);
  const at = (choose: Pick): Corner => ({
    ...solve(networkOf(facts, sensor, state, choose)),
    logicVoltage: choose(facts.logicVoltage),
  });
  const nominal = at((value) => value.nom);
  const corners: Corner[] = [];
  for (let bits = 0; bits < 2 ** free.length; bits++) {
    corners.push(
      at((value) => {
        const index = free.indexOf(value);
        return index >= 0 ? ((bits >> index) & 1 ? value.hi : value.lo) : bits & 1 ? value.hi : value.lo;
      }),
    );
  }
  return summary(nominal, corners);
}

function summary(nominal: Corner, corners: readonly Corner[]): InputSolution {
  const set = corners.filter((corner) => !corner.floating);
  const floating = set.length === 0 ? 'everywhere' : set.length === corners.length ? 'never' : 'somewhere';
  const span = (read: (corner: Corner) => number): Interval | undefined => {
    if (set.length === 0) return undefined;
    const values = set.map(read);
    const [lo, hi] = [Math.min(...values), Math.max(...values)];
    const nom = nominal.floating ? (lo + hi) / 2 : read(nominal);
    return { lo: Math.min(lo, nom), nom, hi: Math.max(hi, nom) };
  };
  return {
    floating,
    pin: span((corner) => corner.pin),
    connector: span((corner) => corner.connector),
    injected: span((corner) => corner.injected) ?? point(0),
    nominal,
    corners,
  };
}
