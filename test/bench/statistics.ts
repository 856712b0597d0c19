/** The value that the share `share` of the samples does not exceed (nearest rank). @throws RangeError without samples */
export function percentile(samples: readonly number[], share: number): number {
  const sorted = [...samples].sort((a, b) => a - b);
  const value = sorted[Math.max(0, Math.ceil(share * sorted.length) - 1)];
  if (value === undefined) throw new RangeError('no samples');
  return value;
}

export const median = (samples: readonly number[]): number => percentile(samples, 0.5);
