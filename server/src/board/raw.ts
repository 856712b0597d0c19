import type { Fact } from '../model/fact';
import type { BoardProfile, DriverFamily, DriverSocket } from './profile';
import type { ChipFacts } from './supplyFacts';

/** The profile as its schema reads it, before chip and driver data are merged in. */
export interface RawBoard extends Omit<BoardProfile, 'chip' | 'drivers' | 'uri' | 'name'> {
  readonly name?: Fact<string>;
  readonly chip?: Fact<string>;
  readonly chipFacts?: ChipFacts;
  readonly drivers: ReadonlyMap<string, RawSocket>;
}

export interface RawSocket extends Omit<DriverSocket, 'family'> {
  readonly family?: Fact<string>;
  readonly familyFacts?: Partial<DriverFamily>;
}
