import limits from '../../../schemas/limits/standards.json';
import limitsSchema from '../../../schemas/limits.schema.json';
import { shippedText } from '../board/shipped';
import type { NumberFact } from '../model/fact';
import { once } from '../model/once';
import { loadBySchema, type Schema } from '../syntax/json';

/** Limits of standards and published specifications; `schemas/limits.schema.json` says what each one is. SI units, °C. */
export interface Standards {
  readonly motor: { readonly windingMax: NumberFact; readonly ratedRise: NumberFact };
  readonly fanControl: {
    readonly band: NumberFact;
    readonly best: NumberFact;
    readonly voltageMax: NumberFact;
  };
  readonly extraLow: { readonly alternating: NumberFact; readonly direct: NumberFact };
  readonly drop: { readonly some: NumberFact; readonly much: NumberFact };
  readonly contact: { readonly continuous: NumberFact };
  /** By samples a bit. */
  readonly receiver16: ReceiverLimits;
  readonly receiver8: ReceiverLimits;
}

export interface ReceiverLimits {
  readonly total: NumberFact;
  readonly twoThirds: NumberFact;
  readonly share: NumberFact;
}

/** @throws when the file that ships with Fettle is not what its schema says; a test reads it */
export const standards = once((): Standards => {
  const { value, problems } = loadBySchema<Standards>(
    limitsSchema as Schema,
    'limits/standards',
    shippedText(limits),
    { shipped: true, source: 'table of limits' },
  );
  if (!value || problems.length > 0) throw new Error(`limits/standards: ${problems[0]?.message}`);
  return value;
});
