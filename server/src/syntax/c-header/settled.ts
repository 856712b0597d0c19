import type { Core, EntryState, SettingValue } from '../entry';
import type { Mark } from './token';
import type { Draft } from './translation';

/** Something wrong with a value, with offsets from the start of its line. */
export interface ValueProblem {
  readonly id: string;
  readonly severity: 'error' | 'warning';
  readonly start: number;
  readonly end: number;
  readonly message: string;
}

/** What became of a definition, its value apart. */
export type Outcome = Pick<Settled, 'state' | 'endedBy' | 'undefinedBefore'>;

/** What became of one definition. Nothing in it changes when lines before it change in length. */
export interface Settled {
  /** The same object as long as all is the same but for where it stands. */
  readonly core: Core;
  readonly draft: Draft;
  readonly state: EntryState;
  readonly endedBy?: Mark;
  readonly undefinedBefore?: boolean;
  readonly undecidedNames: readonly string[];
  /** Other names that the value was expanded from. */
  used(): readonly { readonly name: string; readonly mark?: Mark }[];
  /** Every name whose meaning the value hangs on, defined or not. */
  readonly looked: ReadonlySet<string>;
  readonly problems: readonly ValueProblem[];
  /** Places in it count from the start of the line. */
  value(): SettingValue;
}
