import { ends, type Interval } from '../model/interval';
import { type InputFacts, type InputState, networkOf, type SensorModel } from './inputCorners';
import { type Network, type Node, solve } from './inputNetwork';
import type { Thresholds } from './logic';

/**
 * What an input does between its states: how long a filter capacitor delays an edge, and how hard the network holds a node. Both follow
 * from the current that the network brings at a voltage, which is read off the same solution as the levels. V, A, Ω, F, s.
 */

/** Ω of the source that holds a node while its current is measured: small beside every branch of an input. */
const HOLDING_OHMS = 1e-3;

interface Held {
  /** V at the node that is held. */
  readonly volts: number;
  /** V at the pin meanwhile. */
  readonly pin: number;
  /** A that the network brings into the node. */
  readonly current: number;
}

/** The network with one node held near `volts` by a source of its own. */
function heldAt(network: Network, node: Node, volts: number): Held {
  const pulls = [...network.pulls, { at: node, volts, ohms: HOLDING_OHMS }];
  const { connector, pin } = solve({ ...network, pulls });
  const here = node === 'pin' ? pin : connector;
  return { volts: here, pin, current: (here - volts) / HOLDING_OHMS };
}

/**
 * Ω with which the network resists moving a node from where it is to `volts`; Infinity where nothing resists. An output that carries
 * current one way only resists one way only.
 */
export function holdingResistance(network: Network, node: Node, volts: number): number {
  const free = solve(network);
  const from = node === 'pin' ? free.pin : free.connector;
  const held = heldAt(network, node, volts);
  const current = Math.abs(held.current);
  return current > 0 ? Math.abs(held.volts - from) / current : Number.POSITIVE_INFINITY;
}

/** Pieces that an edge is cut into. Within each the current is taken as linear, which is exact but where a branch begins or ends. */
const PIECES = 32;

/**
 * Seconds from the change of network `before` into `after` until the pin passes `threshold`, with `farads` from the node to 0 V. 0 when
 * it is past at once, Infinity when it never gets there; NaN when nothing sets the level before or after.
 */
export function edgeTime(
  before: Network,
  after: Network,
  node: Node,
  farads: number,
  threshold: number,
): number {
  const [start, end] = [solve(before), solve(after)];
  if (start.floating || end.floating) return Number.NaN;
  const from = node === 'pin' ? start.pin : start.connector;
  const to = node === 'pin' ? end.pin : end.connector;
  const rising = end.pin > start.pin;
  const past = (pin: number): boolean => (rising ? pin >= threshold : pin <= threshold);
  if (past(start.pin)) return 0;
  if (!past(end.pin)) return Number.POSITIVE_INFINITY;
  if (farads === 0) return 0;
  let seconds = 0;
  let last = heldAt(after, node, from);
  if (past(last.pin)) return 0;
  for (let piece = 1; piece <= PIECES; piece++) {
    const next =
      piece === PIECES
        ? { volts: to, pin: end.pin, current: 0 }
        : heldAt(after, node, from + ((to - from) * piece) / PIECES);
    if (past(next.pin)) {
      const share = (threshold - last.pin) / (next.pin - last.pin);
      const at = {
        volts: last.volts + share * (next.volts - last.volts),
        current: last.current + share * (next.current - last.current),
      };
      return seconds + chargeTime(last, at, farads);
    }
    seconds += chargeTime(last, next, farads);
    last = next;
  }
  return Number.POSITIVE_INFINITY;
}

/** Seconds that a current which changes linearly with the voltage takes to charge a capacitor: C·ΔV·ln(i₁/i₂)/(i₁ − i₂). */
function chargeTime(
  first: Pick<Held, 'volts' | 'current'>,
  second: Pick<Held, 'volts' | 'current'>,
  farads: number,
): number {
  const charge = farads * Math.abs(second.volts - first.volts);
  if (charge === 0) return 0;
  const [a, b] = [Math.abs(first.current), Math.abs(second.current)];
  if (b === 0) return Number.POSITIVE_INFINITY;
  const ratio = a / b;
  return Math.abs(ratio - 1) < 1e-9 ? charge / b : (charge * Math.log(ratio)) / (a - b);
}

/**
 * The time of an edge over the ranges of the facts: the far threshold (VIH rising, VIL falling) is where the chip surely reads the new
 * level, the near one where it may. Undefined when nothing sets one of the levels.
 */
export function edgeTimes(
  facts: InputFacts,
  sensor: SensorModel,
  change: { readonly from: InputState; readonly to: InputState },
  filter: { readonly at: Node; readonly farads: Interval },
  thresholds: Thresholds,
): Interval | undefined {
  const ranges = new Set<Interval>();
  const networks = (pick: (value: Interval) => number): readonly [Network, Network] => [
    networkOf(facts, sensor, change.from, pick),
    networkOf(facts, sensor, change.to, pick),
  ];
  const [before, after] = networks((value) => {
    if (ends(value).length > 1) ranges.add(value);
    return value.nom;
  });
  if (ends(filter.farads).length > 1) ranges.add(filter.farads);
  const rising = solve(after).pin > solve(before).pin;
  const [near, far] = rising ? [thresholds.vil, thresholds.vih] : [thresholds.vih, thresholds.vil];
  const at = (pick: (value: Interval) => number, threshold: number): number =>
    edgeTime(...networks(pick), filter.at, pick(filter.farads), threshold);
  const nominal = at((value) => value.nom, far);
  if (Number.isNaN(nominal)) return undefined;
  // Each range moves the time one way; the ends that all delay together, and all hasten, bound it.
  const slow = new Map<Interval, number>();
  const fast = new Map<Interval, number>();
  for (const range of ranges) {
    const [lo, hi] = ends(range).map((end) => at((value) => (value === range ? end : value.nom), far)) as [
      number,
      number,
    ];
    slow.set(range, hi >= lo ? range.hi : range.lo);
    fast.set(range, hi >= lo ? range.lo : range.hi);
  }
  const bound = (chosen: ReadonlyMap<Interval, number>, threshold: number): number =>
    at((value) => chosen.get(value) ?? value.nom, threshold);
  const [least, most] = [bound(fast, near), bound(slow, far)];
  return {
    lo: Math.min(least, nominal) || 0,
    nom: nominal,
    hi: Number.isNaN(most) ? Number.POSITIVE_INFINITY : Math.max(most, nominal),
  };
}
