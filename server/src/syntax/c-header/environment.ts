import { isSameDefinition, type Macro } from './macro';
import { type Mark, nameOf } from './token';

/** Identity of one arm; what stands in an arm is compiled only together with what stands in the arms around it. */
export interface Arm {
  readonly outer: Arm | undefined;
}

/** A definition in force somewhere, and where it came from. */
export interface Live {
  /** Replaced when an edit changes the body alone. */
  macro: Macro;
  /** Absent for definitions given with the options. */
  readonly mark?: Mark;
  readonly predefined?: boolean;
  /** The arm it stands in. */
  readonly arm?: Arm;
  /** What took it away or replaced it first. */
  ended?: { readonly mark: Mark; readonly by: 'define' | 'undef' };
}

/**
 * What a name may stand for at one point of the translation. With `undecided` set, only the build knows which of
 * `definitions` holds, or whether any does; the names are those it hangs on. Without it all definitions say the same.
 */
export interface Slot {
  readonly definitions: readonly Live[];
  readonly mayBeAbsent: boolean;
  readonly undecided?: ReadonlySet<string>;
}

/** More names than these help nobody, and each costs in every join. */
const MOST_NAMES = 64;

const NO_NAMES: ReadonlySet<string> = new Set();

export const ABSENT: Slot = { definitions: [], mayBeAbsent: true };

export const defined = (live: Live): Slot => ({ definitions: [live], mayBeAbsent: false });

/** The macro in force, when that is certain. */
export const certain = (slot: Slot): Live | undefined => (slot.undecided ? undefined : slot.definitions[0]);

/**
 * The arms of one chain of conditions of which only the build knows the one that is compiled. Each arm starts from the
 * same definitions; behind the chain they are joined.
 */
export interface Fork {
  readonly arms: Map<string, Slot>[];
  before: Map<string, Slot | undefined>;
}

export interface Environment {
  get(name: string): Slot;
  /** What the text has made of a name so far; nothing when it has not touched it. */
  touched(name: string): Slot | undefined;
  set(name: string, slot: Slot): void;
  /** As if the text had not touched the name. Only when the translation is over. */
  forget(name: string): void;
  names(): Iterable<string>;
  fork(): Fork;
  beginArm(fork: Fork): void;
  endArm(fork: Fork): void;
  /** `exhaustive` when one of the arms is compiled for certain. */
  join(fork: Fork, exhaustive: boolean, names: ReadonlySet<string>): void;
}

/** `baseline` tells what a name stands for before anything in the text touches it. */
export function createEnvironment(baseline: (name: string) => Slot): Environment {
  const slots = new Map<string, Slot>();
  const open: Fork[] = [];
  const get = (spelling: string): Slot => {
    const name = nameOf(spelling);
    return slots.get(name) ?? baseline(name);
  };
  const set = (spelling: string, slot: Slot): void => {
    const name = nameOf(spelling);
    const fork = open[open.length - 1];
    if (fork && !fork.before.has(name)) fork.before.set(name, slots.get(name));
    slots.set(name, slot);
  };
  return {
    get,
    touched: (spelling) => slots.get(nameOf(spelling)),
    set,
    forget: (spelling) => {
      slots.delete(nameOf(spelling));
    },
    names: () => slots.keys(),
    fork: () => ({ arms: [], before: new Map() }),
    beginArm(fork) {
      fork.before = new Map();
      open.push(fork);
    },
    endArm(fork) {
      open.pop();
      const arm = new Map<string, Slot>();
      for (const [name, slot] of fork.before) {
        arm.set(name, get(name));
        if (slot) slots.set(name, slot);
        else slots.delete(name);
      }
      fork.arms.push(arm);
    },
    join(fork, exhaustive, names) {
      const outcomes = new Map<string, Slot[]>();
      for (const arm of fork.arms) {
        for (const [name, slot] of arm) {
          const slots = outcomes.get(name);
          if (slots) slots.push(slot);
          else outcomes.set(name, [slot]);
        }
      }
      const arms = fork.arms.length + (exhaustive ? 0 : 1);
      for (const [name, slots] of outcomes) {
        set(name, joinSlots(slots.length < arms ? [get(name), ...slots] : slots, names));
      }
    },
  };
}

/** Definitions that say the same count as one, but each is kept: any of them may be the one in force. */
function joinSlots(slots: readonly Slot[], names: ReadonlySet<string>): Slot {
  const definitions = [...new Set(slots.flatMap((slot) => slot.definitions))];
  const mayBeAbsent = slots.some((slot) => slot.mayBeAbsent);
  const open = slots.filter((slot) => slot.undecided !== undefined);
  if (open.length === 0 && (definitions.length === 0 || (!mayBeAbsent && sayTheSame(definitions)))) {
    return { definitions, mayBeAbsent };
  }
  return {
    definitions,
    mayBeAbsent,
    undecided: union([names, ...open.map((slot) => slot.undecided ?? NO_NAMES)], MOST_NAMES),
  };
}

function sayTheSame(definitions: readonly Live[]): boolean {
  const first = definitions[0];
  return first !== undefined && definitions.every((live) => isSameDefinition(first.macro, live.macro));
}

export function union(
  sets: Iterable<ReadonlySet<string>>,
  most = Number.POSITIVE_INFINITY,
): ReadonlySet<string> {
  const all = new Set<string>();
  for (const set of sets) {
    for (const name of set) {
      if (all.size >= most) return all;
      all.add(name);
    }
  }
  return all;
}
