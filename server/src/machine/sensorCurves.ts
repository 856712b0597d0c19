import sensorSchema from '../../../schemas/sensor.schema.json';
import ntc10k3950 from '../../../schemas/sensors/ntc-10k-3950.json';
import ntc10k8016 from '../../../schemas/sensors/ntc-10k-8016.json';
import ntc100k3950 from '../../../schemas/sensors/ntc-100k-3950.json';
import ntc100k4267 from '../../../schemas/sensors/ntc-100k-4267.json';
import pt100 from '../../../schemas/sensors/pt100.json';
import pt1000 from '../../../schemas/sensors/pt1000.json';
import typeK from '../../../schemas/sensors/type-k.json';
import { shippedText } from '../board/shipped';
import type { NumberFact } from '../model/fact';
import { once } from '../model/once';
import { loadBySchema, type Schema } from '../syntax/json';

/** A kind of temperature sensor whose curve ships, as a generic electrical description. */
export interface ShippedCurve {
  readonly id: string;
  readonly title: string;
  readonly kind: 'ntc' | 'platinum' | 'thermocouple';
  readonly sources: readonly string[];
  /** Ω at 25 °C */
  readonly r25?: NumberFact;
  /** K */
  readonly beta?: NumberFact;
  /** Ω at 0 °C */
  readonly r0?: NumberFact;
  readonly thermocouple?: 'K';
  /** From the coldest up; empty when β says it all. */
  readonly table: readonly { readonly temperature: NumberFact; readonly resistance: NumberFact }[];
}

const DATA = [ntc100k3950, ntc100k4267, ntc10k3950, ntc10k8016, pt100, pt1000, typeK];

/** Names of the curves that ship, without reading them. */
export const curveIds: readonly string[] = DATA.map(({ id }) => id);

export const shippedCurves = once(
  (): ReadonlyMap<string, ShippedCurve> =>
    new Map(
      DATA.flatMap((data) => {
        const options = { shipped: true, source: data.title };
        const { value } = loadBySchema<ShippedCurve>(
          sensorSchema as Schema,
          `sensors/${data.id}`,
          shippedText(data),
          options,
        );
        return value ? [[data.id, value] as const] : [];
      }),
    ),
);
