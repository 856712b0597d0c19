/** Edges through a resistor and a capacitor, and spikes coupled into a high-impedance wire. Ω, F, s, V. */

export const timeConstant = (ohms: number, farads: number): number => ohms * farads;

/**
 * Seconds from `from` V until an exponential edge toward `toward` V passes `threshold` V. 0 when it is already past;
 * Infinity when it never gets there.
 */
export function timeToThreshold(
  ohms: number,
  farads: number,
  from: number,
  toward: number,
  threshold: number,
): number {
  if (from === threshold) return 0;
  const rising = toward > from;
  if (rising ? threshold < from : threshold > from) return 0;
  if (rising ? threshold >= toward : threshold <= toward) return Number.POSITIVE_INFINITY;
  return ohms * farads * Math.log((toward - from) / (toward - threshold));
}

/**
 * Peak voltage an edge of `edge` V in `rise` s couples through `coupling` F onto a wire that `ohms` hold and `total` F
 * (coupling, cable and filter together) load. A ramp into an RC high-pass.
 */
export const coupledSpike = (
  edge: number,
  rise: number,
  ohms: number,
  coupling: number,
  total: number,
): number =>
  // Where nothing holds the wire, the charge divides between the capacitances.
  Number.isFinite(ohms)
    ? (edge / rise) * ohms * coupling * -Math.expm1(-rise / (ohms * total))
    : (edge * coupling) / total;
