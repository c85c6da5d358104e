/** Which of the old list is which of the new: by their places; what has no partner was taken away or is new. */
export interface Pairing {
  pairs: { from: number; to: number; moved: boolean }[];
  removed: number[];
  added: number[];
}

/**
 * Tells which items of two lists are the same one, changed or not, without anybody having marked them. In this order:
 * equal ones that kept their order; equal ones elsewhere; those of one name, in order; and of what is left, in order,
 * those that are `alike`. As few as possible are `moved`: those outside the longest run that kept its order.
 */
export function pairUp<T>(
  old: readonly T[],
  now: readonly T[],
  { same, nameOf, alike }: { same(a: T, b: T): boolean; nameOf(one: T): string; alike(a: T, b: T): boolean },
): Pairing {
  const partner = longestCommon(old, now, same);
  const taken = new Set(partner.values());
  for (const agree of [same, (a: T, b: T) => nameOf(a) === nameOf(b), alike]) {
    for (const [from, one] of old.entries()) {
      if (partner.has(from)) continue;
      const to = now.findIndex((other, at) => !taken.has(at) && agree(one, other));
      if (to < 0) continue;
      partner.set(from, to);
      taken.add(to);
    }
  }
  const pairs = [...partner].map(([from, to]) => ({ from, to })).sort((a, b) => a.to - b.to);
  const kept = longestRising(pairs.map(({ from }) => from));
  return {
    pairs: pairs.map((pair, at) => ({ ...pair, moved: !kept.has(at) })),
    removed: [...old.keys()].filter((at) => !partner.has(at)),
    added: [...now.keys()].filter((at) => !taken.has(at)),
  };
}

/** The longest sequence that both lists have in common, as places in the first to places in the second. */
function longestCommon<T>(a: readonly T[], b: readonly T[], same: (x: T, y: T) => boolean): Map<number, number> {
  const equal = a.map((x) => b.map((y) => same(x, y)));
  const lengths = Array.from({ length: a.length + 1 }, () => new Array<number>(b.length + 1).fill(0));
  const at = (i: number, j: number) => lengths[i]?.[j] ?? 0;
  for (let i = a.length - 1; i >= 0; i -= 1) {
    for (let j = b.length - 1; j >= 0; j -= 1) {
      const row = lengths[i];
      if (row) row[j] = equal[i]?.[j] ? at(i + 1, j + 1) + 1 : Math.max(at(i + 1, j), at(i, j + 1));
    }
  }
  const common = new Map<number, number>();
  for (let i = 0, j = 0; i < a.length && j < b.length; ) {
    if (equal[i]?.[j]) {
      common.set(i, j);
      i += 1;
      j += 1;
    } else if (at(i + 1, j) >= at(i, j + 1)) i += 1;
    else j += 1;
  }
  return common;
}

/** The places of the longest run of the numbers that only rises; of several as long, one. */
function longestRising(numbers: readonly number[]): Set<number> {
  const best = numbers.map(() => ({ length: 1, before: -1 }));
  let last = -1;
  for (const [at, number] of numbers.entries()) {
    const here = best[at];
    if (!here) continue;
    for (let earlier = 0; earlier < at; earlier += 1) {
      const length = (best[earlier]?.length ?? 0) + 1;
      if ((numbers[earlier] ?? 0) < number && length > here.length) Object.assign(here, { length, before: earlier });
    }
    if (here.length > (best[last]?.length ?? 0)) last = at;
  }
  const run = new Set<number>();
  for (let at = last; at >= 0; at = best[at]?.before ?? -1) run.add(at);
  return run;
}
