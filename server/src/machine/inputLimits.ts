import usual from '../../../schemas/inputs/usual.json';
import inputsSchema from '../../../schemas/inputs.schema.json';
import { shippedText } from '../board/shipped';
import type { NumberFact } from '../model/fact';
import { once } from '../model/once';
import { loadBySchema, type Schema } from '../syntax/json';

/** Bounds of standards and usual values for what is fitted at inputs; `schemas/inputs.schema.json` says what each one is. SI units. */
export interface InputLimits {
  readonly proximity?: {
    readonly drop?: NumberFact;
    readonly typicalDrop?: NumberFact;
    readonly offCurrent?: NumberFact;
    readonly typicalOffCurrent?: NumberFact;
    readonly ratedVoltageBand?: NumberFact;
    readonly lowestSupply?: NumberFact;
    readonly distanceBand?: NumberFact;
    readonly thinnestTarget?: NumberFact;
  };
  readonly wire?: {
    readonly couplingOfOneMetre?: NumberFact;
    readonly capacitanceOfOneMetre?: NumberFact;
    readonly motorEdge?: NumberFact;
  };
  readonly probing?: { readonly edgeMargin?: NumberFact };
}

export const inputLimits = once(
  (): InputLimits =>
    loadBySchema<InputLimits>(inputsSchema as Schema, 'inputs/usual', shippedText(usual), {
      shipped: true,
      source: 'table of inputs',
    }).value ?? {},
);
