import metals from '../../../schemas/materials/metals.json';
import materialsSchema from '../../../schemas/materials.schema.json';
import { shippedText } from '../board/shipped';
import type { NumberFact } from '../model/fact';
import { once } from '../model/once';
import { loadBySchema, type Schema } from '../syntax/json';

export interface Material {
  readonly name: string;
  readonly title: string;
  /** Share of the rated distance at which an inductive sensor sees it; absent for what it does not see. */
  readonly sensingFactor?: NumberFact;
  /** J/(kg·K) */
  readonly specificHeat?: NumberFact;
  /** kg/m³ */
  readonly density?: NumberFact;
}

export const materialIds: readonly string[] = Object.keys(metals.materials);

export const materials = once(
  (): ReadonlyMap<string, Material> =>
    loadBySchema<{ readonly materials: ReadonlyMap<string, Material> }>(
      materialsSchema as Schema,
      'materials/metals',
      shippedText(metals),
      { shipped: true, source: 'materials table' },
    ).value?.materials ?? new Map(),
);
