import type { NumberFact } from '../model/fact';
import { type Interval, over } from '../model/interval';
import { contactLoad } from '../physics/connector';
import type { Branch, BranchFuse, BranchPlug, BranchWire } from './branch';
import type { Machine } from './machine';

/** A, and the share of what the part carries; no share without its rating. */
export interface Use {
  readonly current: Interval;
  readonly share?: Interval;
  /** Some of the loads are not known: it is at least this. */
  readonly atLeast: boolean;
}

/** The loads themselves, without the lead that feeds them. */
export const loadsOf = ({ branches }: Pick<Machine, 'branches'>): readonly Branch[] =>
  branches.filter(({ kind }) => kind !== 'supply');

/** The branch where its power counts: a motor branch's power and supply current are those of all motors of the axis. */
export const titleOfAll = ({ title, motor }: Branch): string =>
  motor && motor.count > 1 ? title.replace(/^each (.*) motor$/, `the ${motor.count} $1 motors`) : title;

export const sumOf = (values: readonly Interval[]): Interval => ({
  lo: values.reduce((sum, { lo }) => sum + lo, 0),
  nom: values.reduce((sum, { nom }) => sum + nom, 0),
  hi: values.reduce((sum, { hi }) => sum + hi, 0),
});

/**
 * What all loads behind a fuse take together, of its rating at the warmth around it.
 * @param behind the loads behind it
 * @returns nothing when the current of none of them is known
 */
export function fuseUse(fuse: BranchFuse, behind: readonly Branch[]): Use | undefined {
  const known = behind.flatMap(({ sourceCurrent }) => (sourceCurrent ? [sourceCurrent.value] : []));
  if (known.length === 0) return undefined;
  const current = sumOf(known);
  const warmth = fuse.temperatureFactor?.value ?? { lo: 1, nom: 1, hi: 1 };
  const share =
    fuse.rating &&
    over([current, fuse.rating.value, warmth], (amperes, rated, factor) => amperes / (rated * factor));
  return { current, share, atLeast: known.length < behind.length };
}

/** Motors in parallel on one connector take the driver's whole current through it, each its own through its plug. */
export function currentIn({ kind, motor, current }: Branch, { where }: BranchPlug): NumberFact | undefined {
  const twoSockets = motor?.drivers.some(({ secondConnector }) => secondConnector);
  return kind === 'motor' && where === 'board' && !twoSockets ? motor?.phaseCurrent : current;
}

/** The current through all contacts of one pole of a plug, of what they carry. @param branches all that go through it */
export function plugUse(plug: BranchPlug, branches: readonly Branch[]): Use | undefined {
  const known = branches.flatMap((branch) => currentIn(branch, plug)?.value ?? []);
  if (known.length === 0) return undefined;
  const current = sumOf(known);
  const { capacity } = plug;
  return {
    current,
    share: capacity && over([current, capacity.value], (amperes, all) => contactLoad(amperes, all)),
    atLeast: known.length < branches.length,
  };
}

/** The load's current, of what its wire carries all the time. */
export const wireUse = ({ current }: Branch, { capacity }: BranchWire): Interval | undefined =>
  current && capacity && over([current.value, capacity.value], (amperes, carries) => amperes / carries);

/** Plugs are one when they are written in one place. */
export const samePlug = (one: BranchPlug, other: BranchPlug): boolean =>
  one.place.uri === other.place.uri && one.place.start === other.place.start;
