/** An axis over some values, with room to spare at both ends; what is not known or has no finite value is left out. */
export function spanned(values: readonly (number | undefined)[], room: number): { from: number; to: number } {
  const known = values.filter((value) => value !== undefined && Number.isFinite(value)) as number[];
  const [least, most] = [Math.min(...known), Math.max(...known)];
  return { from: least - room * (most - least), to: most + room * (most - least) };
}
