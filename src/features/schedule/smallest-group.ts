/** The group with the fewest athletes, the first of several. */
export function smallestGroup<G extends { athletes: number }>(groups: readonly G[]): G | null {
  const [first, ...others] = groups;
  return first ? others.reduce((least, one) => (one.athletes < least.athletes ? one : least), first) : null;
}
