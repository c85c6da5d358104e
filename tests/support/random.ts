/** Chance that can be told again by its seed. */
export interface Random {
  /** A whole number from 0 to `most`, which is out. */
  below(most: number): number;
  pick<T>(from: readonly T[]): T;
}

export function random(seed: number): Random {
  let state = seed >>> 0;
  const next = () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296;
  };
  return {
    below: (most) => Math.floor(next() * most),
    pick: (from) => from[Math.floor(next() * from.length)]!,
  };
}
