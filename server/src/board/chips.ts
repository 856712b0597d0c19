import chipSchema from '../../../schemas/chip.schema.json';
import atmega644p from '../../../schemas/chips/atmega644p.json';
import atmega1284p from '../../../schemas/chips/atmega1284p.json';
import rp2040 from '../../../schemas/chips/rp2040.json';
import stm32f103 from '../../../schemas/chips/stm32f103.json';
import stm32f407 from '../../../schemas/chips/stm32f407.json';
import { loadBySchema, type Schema } from '../syntax/json';
import { shippedText } from './shipped';
import type { ChipFacts } from './supplyFacts';

const DATA: readonly { readonly id: string }[] = [atmega1284p, atmega644p, rp2040, stm32f103, stm32f407];

/** Names of the microcontrollers whose data ship. */
export const chipIds: readonly string[] = DATA.map((chip) => chip.id);

const loaded = new Map<string, ChipFacts | undefined>();

/** What ships about a microcontroller, by its id in any case. */
export function shippedChip(id: string): ChipFacts | undefined {
  const data = DATA.find((chip) => chip.id === id.toLowerCase());
  if (!data) return undefined;
  if (!loaded.has(data.id)) {
    const source = `data sheet of ${data.id}`;
    const { value } = loadBySchema<ChipFacts>(chipSchema as Schema, `chips/${data.id}`, shippedText(data), {
      shipped: true,
      source,
    });
    loaded.set(data.id, value);
  }
  return loaded.get(data.id);
}
