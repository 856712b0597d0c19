import type { Axis } from '../machine/machine';

/** How the machine sheet says that an axis homes, in the words of the setting. */
export function homesBy({ sheet }: Axis): 'endstop' | 'probe' | 'stall' | 'hand' | undefined {
  const by = sheet?.homesBy?.value;
  return by === 'switch' ? 'endstop' : by;
}
