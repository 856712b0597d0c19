import driverSchema from '../../../schemas/driver.schema.json';
import drv8711 from '../../../schemas/drivers/drv8711.json';
import drv8825 from '../../../schemas/drivers/drv8825.json';
import stspin820 from '../../../schemas/drivers/stspin820.json';
import type { Fact } from '../model/fact';
import { loadBySchema, type Schema } from '../syntax/json';
import type { DriverFamily } from './profile';
import { shippedText } from './shipped';

const DATA: readonly { readonly id: string }[] = [drv8711, drv8825, stspin820];

/** Names of the driver chips whose data ship. */
export const driverFamilyIds: readonly string[] = DATA.map((driver) => driver.id);

const loaded = new Map<string, DriverFamily | undefined>();

/** What ships about a driver chip, by its id in any case. */
export function shippedDriver(id: string): DriverFamily | undefined {
  const data = DATA.find((driver) => driver.id === id.toLowerCase());
  if (!data) return undefined;
  if (!loaded.has(data.id)) {
    const source = `data sheet of ${data.id}`;
    const { value } = loadBySchema<DriverFamily>(
      driverSchema as Schema,
      `drivers/${data.id}`,
      shippedText(data),
      { shipped: true, source },
    );
    loaded.set(data.id, value);
  }
  return loaded.get(data.id);
}

/** The named family with the facts stated beside it, which win; nothing when neither says anything. */
export function driverFamily(
  name: Fact<string> | undefined,
  own: Partial<DriverFamily> | undefined,
): DriverFamily | undefined {
  const shipped = name && shippedDriver(name.value);
  if (!shipped && !own) return undefined;
  const id = shipped?.id ?? name?.value ?? 'own';
  return {
    ...defined(shipped ?? {}),
    ...defined(own ?? {}),
    id,
    title: own?.title ?? shipped?.title ?? name?.value ?? 'driver',
    sources: shipped?.sources ?? [],
  };
}

const defined = <T extends object>(value: T): Partial<T> =>
  Object.fromEntries(
    Object.entries(value).filter(([key, member]) => member !== undefined && key !== 'place'),
  ) as Partial<T>;
