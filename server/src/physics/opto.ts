/**
 * Current through the lamp of an optocoupled input: what is left of the driving voltage over both resistances, never less than 0. V, Ω, A.
 * Source: Ohm's law with a constant forward voltage (optocoupler data sheets).
 */
export const optoCurrent = (driving: number, forward: number, inside: number, outside: number): number =>
  Math.max(driving - forward, 0) / (inside + outside);
