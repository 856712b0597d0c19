import type { Kind } from '../units/kinds';

/** Who decides the value: the board, the machine, or both together (carry over, but check again). */
export type Bound = 'board' | 'machine' | 'coupled';

export type ConceptType = 'number' | 'integer' | 'switch' | 'pin' | 'choice' | 'text' | 'curve';

export interface Choice {
  readonly id: string;
  readonly title: string;
  /** What the choice does, in one sentence. */
  readonly effect: string;
}

export interface Span {
  readonly lo?: number;
  readonly hi?: number;
}

export type PinNeed = 'digital' | 'analog' | 'pwm' | 'interrupt' | 'uart';

export interface PinConcept {
  /** What the pin must be able to do. */
  readonly needs: readonly PinNeed[];
  /** `in`: the firmware reads it, `out`: it drives it. */
  readonly direction: 'in' | 'out';
  /** True when software cannot stand in for the missing capability. */
  readonly hardwareOnly?: boolean;
}

/**
 * What a setting means. Concepts are data: `schemas/concepts/*.json`, one file a group, expanded over axes, tools and ends.
 * Ranges are in `unit`.
 */
export interface Concept {
  /** Expanded id, for instance 'axis.x.stepsPerMm'. */
  readonly id: string;
  /** Id before expansion, for instance 'axis.{axis}.stepsPerMm'. */
  readonly pattern: string;
  /** Values of the placeholders, for instance { axis: 'x' }. */
  readonly parts: Readonly<Record<string, string>>;
  readonly group: string;
  readonly title: string;
  readonly type: ConceptType;
  readonly quantity?: Kind;
  /** Unit in the shipped naming; absent for plain numbers. */
  readonly unit?: string;
  readonly choices?: readonly Choice[];
  /** Limits of arithmetic or storage: outside it cannot work. */
  readonly hard?: Span;
  /** Bits of unsigned integer storage, when the firmware's number type is known. */
  readonly storageBits?: number;
  /** True where firmwares that keep a ring of so many need a power of two; the name map says whether this one does. */
  readonly oftenPowerOfTwo?: boolean;
  /** Where sound machines lie; common practice unless `usualSource` says otherwise. */
  readonly usual?: Span;
  /** Usual range by kind of axis, where it differs: belt, screw, feed. */
  readonly usualByDrive?: Readonly<Record<'belt' | 'screw' | 'feed', Span>>;
  readonly usualSource?: string;
  /** What the setting does, for a beginner, and not wrong for an expert. Markdown. */
  readonly explain: string;
  /** How it ties to the physical machine. Markdown. */
  readonly physics?: string;
  readonly bound: Bound;
  readonly caution?: string;
  /** For pins: what the pin must be able to do, and what it drives or reads. */
  readonly pin?: PinConcept;
  /** For guards: which way is weaker. */
  readonly weaker?: 'higher' | 'lower' | 'off';
  /** True for numbers that "none" or −1 leave unassigned, as pins are. */
  readonly optional?: boolean;
}
