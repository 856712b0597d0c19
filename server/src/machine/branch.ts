import type { DriverSocket, Output } from '../board/profile';
import type { Fact, NumberFact } from '../model/fact';
import type { Place } from '../model/place';
import type { Reading } from '../settings/reading';
import type { BranchFuse, BranchPlug } from './branchParts';
import type { BranchWire } from './branchWire';
import type { ExternalSwitch, Fan, Heater, Load, Motor } from './sheet';

export type { BranchFuse, BranchPlug, BranchWire };

export type BranchKind = 'heater' | 'fan' | 'motor' | 'load' | 'logic' | 'supply';

/** Parts of a branch that a fact can be missing of. */
export type BranchPart = 'current' | 'power' | 'output' | 'fuse' | 'wire' | 'plug';

/**
 * The way of the current from the supply to one load and back: what the load takes, and what lies on the way. The last branch, of
 * kind `supply`, is the lead from the supply to the board, which carries what all loads behind the board take together.
 */
export interface Branch {
  /** The device as wires name it: 'heaters.bed', 'fans.part', 'axes.x', 'loads.lamp', 'supply'; 'logic' for the board itself. */
  readonly id: string;
  readonly kind: BranchKind;
  /** In plain words, for messages: "the heater of the bed", "the X motor", "the supply's lead to the board". */
  readonly title: string;
  /** Where the sheet or the board profile speaks of it. */
  readonly place?: Place;
  /** The setting that drives it: the heater's or the fan's pin, the motor's current. */
  readonly reading?: Reading;
  /** What feeds it: the machine's main supply, the mains, or something else that the sheet does not describe. */
  readonly source: 'supply' | 'mains' | 'other';
  /** True when its current comes in through the board; false when it has a switch of its own that is fed past the board. */
  readonly throughBoard: boolean;
  /** V over the load. */
  readonly voltage?: NumberFact;
  /** A in its own wires while it works all the time, over all corners of the facts. A motor's: rms in each phase. */
  readonly current?: NumberFact;
  /** The same with every voltage at its nominal value, for rules that have supply margins of their own. */
  readonly nominalCurrent?: NumberFact;
  /** A that it takes from its source. A motor takes less than flows in its phases. */
  readonly sourceCurrent?: NumberFact;
  /** W that it takes from its source, over all corners and at nominal voltage. */
  readonly power?: NumberFact;
  readonly nominalPower?: NumberFact;
  /** What current and power rest on. */
  readonly facts: readonly NumberFact[];
  readonly heater?: Heater;
  readonly fan?: Fan;
  readonly motor?: {
    readonly type?: Motor;
    /** Motors of this axis; the branch's current is that of each, its power that of all. */
    readonly count: number;
    readonly drivers: readonly DriverSocket[];
    /** A rms that a driver gives; more than a motor's own where motors are joined in parallel. */
    readonly phaseCurrent?: NumberFact;
  };
  readonly load?: Load;
  /** The board's output that switches it, or that tells its external switch to. */
  readonly output?: Output;
  readonly externalSwitch?: ExternalSwitch;
  /** All fuses on the way, the load's own first. One fuse of several branches is the same object in each. */
  readonly fuses: readonly BranchFuse[];
  /** Said to have no fuse in its own wire. */
  readonly noFuse?: Fact<boolean>;
  /** Contacts on the way, the board's first. */
  readonly plugs: readonly BranchPlug[];
  /** Wires on the way; several in a row are joined. */
  readonly wires: readonly BranchWire[];
  /** For the lead to the board: the branches that it feeds. */
  readonly behind: readonly Branch[];
  /** What is not known, each with the request that would mend it. */
  readonly missing: ReadonlyMap<BranchPart, string>;
}
