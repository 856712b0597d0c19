import classesSchema from '../../../schemas/connector-classes.schema.json';
import classesData from '../../../schemas/connectors/classes.json';
import type { NumberFact } from '../model/fact';
import { once } from '../model/once';
import { loadBySchema, type Schema } from '../syntax/json';
import { shippedText } from './shipped';

export interface ConnectorClass {
  readonly name: string;
  readonly title: string;
  /** A for one contact; an estimate, since makers differ. */
  readonly rating: NumberFact;
}

interface Classes {
  readonly parallelFactor?: NumberFact;
  readonly classes: ReadonlyMap<string, ConnectorClass>;
}

const loaded = once(
  () =>
    loadBySchema<Classes>(classesSchema as Schema, 'connectors/classes', shippedText(classesData), {
      shipped: true,
      source: 'class value',
    }).value,
);

export const connectorClasses = (): ReadonlyMap<string, ConnectorClass> => loaded()?.classes ?? new Map();

export const connectorClassIds: readonly string[] = Object.keys(classesData.classes);

/** Worth of each contact when contacts are in parallel, as a factor. */
export const parallelFactor = (): NumberFact | undefined => loaded()?.parallelFactor;
