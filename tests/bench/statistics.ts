/** The value below which that share of the samples lies (nearest rank); `share` above 0, at most 1. */
export function quantile(samples: readonly number[], share: number): number {
  const sorted = [...samples].sort((a, b) => a - b);
  const value = sorted[Math.max(0, Math.ceil(share * sorted.length) - 1)];
  if (value === undefined) throw new Error('a quantile of no samples');
  return value;
}

/** Of an even number of samples, the mean of the two in the middle. */
export function median(samples: readonly number[]): number {
  const sorted = [...samples].sort((a, b) => a - b);
  const middle = sorted.length / 2;
  const [low, high] = [sorted[Math.ceil(middle) - 1], sorted[Math.floor(middle)]];
  if (low === undefined || high === undefined) throw new Error('a median of no samples');
  return (low + high) / 2;
}

/** The median of the rounds' own ratios: what slows the machine for a moment slows both sides of a round. */
export const medianRatio = (rounds: readonly { ours: number; theirs: number }[]): number =>
  median(rounds.map(({ ours, theirs }) => ours / theirs));
