import type { Place } from '../../model/place';

/**
 * What a name in a project's files can stand for. `device` is anything on the machine sheet that a wire can serve ("heaters.bed"), `part`
 * a part of the machine by the prefix of its settings ("axis.x", "fan.part").
 */
export type ThingKind =
  | 'macro'
  | 'pin'
  | 'connector'
  | 'output'
  | 'driver'
  | 'fuse'
  | 'rail'
  | 'motor'
  | 'device'
  | 'part';

/** In words, for messages. */
export const NOUNS: Record<ThingKind, string> = {
  macro: 'name',
  pin: 'pin',
  connector: 'connector',
  output: 'output',
  driver: 'driver socket',
  fuse: 'fuse',
  rail: 'rail',
  motor: 'motor',
  device: 'device',
  part: 'part',
};

export interface Thing {
  readonly kind: ThingKind;
  /** Its name as the first file spells it. */
  readonly name: string;
}

/** One spot in a file that names a thing. */
export interface Occurrence {
  readonly thing: Thing;
  /** The name alone, without quotes. */
  readonly place: Place;
  /** True where the thing is described, and not only mentioned. */
  readonly defines: boolean;
  /** The whole description, when there is more than the name. */
  readonly whole?: Place;
  /** False where the name comes out of a macro and does not stand in the text. */
  readonly literal: boolean;
}

/** Names of board and settings are compared without case, as the loaders do; macros, motors and devices as they stand. */
export function keyOf({ kind, name }: Thing): string {
  const exact = kind === 'macro' || kind === 'motor' || kind === 'device' || kind === 'part';
  return `${kind} ${exact ? name : name.trim().toUpperCase()}`;
}
