import fusesData from '../../../schemas/fuses/types.json';
import fusesSchema from '../../../schemas/fuses.schema.json';
import type { NumberFact } from '../model/fact';
import { once } from '../model/once';
import { loadBySchema, type Schema } from '../syntax/json';
import { shippedText } from './shipped';

export type FuseType = 'blade' | 'ul' | 'iec' | 'resettable';

export interface FuseFacts {
  readonly title: string;
  /** Share of the rating that a load may take all the time, as a factor. */
  readonly continuousShare: NumberFact;
  /** True when it trips and recovers by itself. */
  readonly recovers?: boolean;
  /** Ratings that are sold, A, from the smallest up. */
  readonly ratings?: { readonly values: readonly number[]; readonly source: string };
}

interface Fuses {
  readonly types: ReadonlyMap<FuseType, FuseFacts>;
}

/** What fuses carry all the time, by kind. */
export const fuseTypes = once(
  (): ReadonlyMap<FuseType, FuseFacts> =>
    loadBySchema<Fuses>(fusesSchema as Schema, 'fuses/types', shippedText(fusesData), {
      shipped: true,
      source: 'fuse data',
    }).value?.types ?? new Map(),
);
