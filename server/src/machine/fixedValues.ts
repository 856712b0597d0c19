import type { Fact, NumberFact } from '../model/fact';
import { point } from '../model/interval';
import type { Reading } from '../settings/reading';
import { parseQuantity } from '../units';
import type { Machine } from './machine';

/** A setting's value, or what the firmware does by itself when no line of the settings speaks of it. */
export interface Value<T> extends Fact<T> {
  /** Absent for a value that the firmware fixes. */
  readonly reading?: Reading;
}

/** What the machine sheet says that the firmware fixes (`firmware.fixed`); nothing where some line of the settings speaks of it. */
export function fixedText({ settings, sheet }: Machine, id: string): Fact<string> | undefined {
  const fixed = sheet?.firmware?.fixed.get(id);
  return fixed && settings.readingsOf(id).some(({ entry }) => /^(?:active|undecided)$/.test(entry.state))
    ? undefined
    : fixed;
}

/** SI; a fixed number without a unit is in the one that the settings write it in. */
export function numberOf(machine: Machine, id: string): Value<NumberFact['value']> | undefined {
  const set = machine.settings.number(id);
  if (set) return { ...set, reading: machine.settings.reading(id) };
  const fixed = fixedText(machine, id);
  const { quantity, title } = machine.settings.concepts.get(id) ?? {};
  if (!fixed || !quantity) return undefined;
  const text = fixed.value.trim();
  const plain = /^[-+]?(?:\d+\.?\d*|\.\d+)$/.test(text) ? machine.settings.parse(id, text) : undefined;
  const parsed = plain ? undefined : parseQuantity(text, quantity);
  const value = parsed?.ok ? parsed.value : plain?.kind === 'number' ? point(plain.si) : undefined;
  return value && { ...fixed, value, label: `${title} that the firmware fixes (machine sheet)` };
}

export const isOffText = ({ value }: Fact<string>): boolean =>
  /^(?:0|off|no|none|false)$/i.test(value.trim());

export function switchOf(machine: Machine, id: string): Value<boolean> | undefined {
  const set = machine.settings.switch(id);
  if (set) return { ...set, reading: machine.settings.reading(id) };
  const fixed = fixedText(machine, id);
  return fixed && { ...fixed, value: !isOffText(fixed) };
}
