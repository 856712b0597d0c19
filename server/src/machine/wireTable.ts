import copper from '../../../schemas/wires/copper.json';
import wiresSchema from '../../../schemas/wires.schema.json';
import { shippedText } from '../board/shipped';
import type { NumberFact } from '../model/fact';
import { once } from '../model/once';
import { loadBySchema, type Schema } from '../syntax/json';

export interface WireSize {
  /** m² */
  readonly area: NumberFact;
  /** Ω/m at 20 °C */
  readonly resistance: NumberFact;
  /** A at the base ambient; absent where no table was read. */
  readonly capacity?: NumberFact;
}

export interface Insulation {
  readonly name: string;
  readonly title: string;
  /** °C of the conductor */
  readonly limit: NumberFact;
}

export interface WireTable {
  /** 1/K of the resistance at 20 °C */
  readonly temperatureCoefficient?: NumberFact;
  /** °C of the air that the capacities hold for */
  readonly baseAmbient?: NumberFact;
  readonly insulations: ReadonlyMap<string, Insulation>;
  /** Factors on the capacity for two, three, four … loaded circuits together. */
  readonly bundled?: { readonly factors: readonly number[]; readonly source: string };
  /** A·√s/mm² of t = (k·A/I)², copper with PVC. */
  readonly shortCircuit?: { readonly value: number; readonly source: string };
  /** From the smallest up. */
  readonly sizes: readonly WireSize[];
  readonly sources: readonly string[];
}

export const insulationIds: readonly string[] = Object.keys(copper.insulations);

const empty: WireTable = { insulations: new Map(), sizes: [], sources: [] };

/** Copper wire: resistance to IEC 60228 class 5, capacity to IEC 60204-1. */
export const copperWire = once(
  (): WireTable =>
    loadBySchema<WireTable>(wiresSchema as Schema, 'wires/copper', shippedText(copper), {
      shipped: true,
      source: 'wire table',
    }).value ?? empty,
);
