/**
 * Matchings of slots to people, for posts, stations, helpers and trainees. `choices[slot]` lists the people (small whole
 * numbers) who may take that slot; each person takes one. `taken[slot]` is the person, -1 for an empty slot.
 */
export type Choices = readonly (readonly number[])[];

/** One largest matching. */
export function largestMatching(choices: Choices): number[] {
  const taken: number[] = choices.map(() => -1);
  const holder = new Map<number, number>();
  for (let slot = 0; slot < choices.length; slot++) fillSlot(slot, choices, taken, holder, new Set());
  return taken;
}

export const sizeOf = (taken: readonly number[]): number => taken.filter((person) => person !== -1).length;

/**
 * The slots that fall short together, with everybody who could take one of them: there are fewer such people than slots
 * (Hall). Empty when every slot is filled. The answer is the same whichever largest matching is looked at.
 */
export function deficientSet(choices: Choices): { slots: number[]; people: number[] } {
  const taken = largestMatching(choices);
  const holder = new Map(taken.map((person, slot) => [person, slot]));
  const slots = new Set<number>();
  const people = new Set<number>();
  const queue = taken.flatMap((person, slot) => (person === -1 ? [slot] : []));
  for (let slot = queue.pop(); slot !== undefined; slot = queue.pop()) {
    if (slots.has(slot)) continue;
    slots.add(slot);
    for (const person of choices[slot] ?? []) {
      people.add(person);
      queue.push(holder.get(person) as number); // held, or the matching could have grown
    }
  }
  return { slots: [...slots].sort(ascending), people: [...people].sort(ascending) };
}

/**
 * Hands each largest matching to `look`, in order (by slot: the lowest person first, an empty slot last), until it answers
 * true. Of matchings that leave the same slots empty and take the same people, in the same marked slots, one may be shown.
 * Once so many steps are taken, no more are shown than the first.
 */
export function eachLargestMatching(
  { choices, isMarked, steps }: { choices: Choices; isMarked: (slot: number) => boolean; steps: number },
  look: (taken: readonly number[]) => boolean,
): void {
  const [only] = choices;
  if (only && choices.length === 1) {
    // What follows comes to this for a single slot.
    if (only.length === 0) look([-1]);
    else only.slice(0, Math.max(1, steps - 1)).some((person) => look([person]));
    return;
  }
  let left = steps;
  let hasShown = false;
  let mayBeEmpty = choices.length - sizeOf(largestMatching(choices));
  const isPlentiful = choices.every((people) => people.length >= choices.length);
  const taken: number[] = [];

  /** Whether the slots from here on can be filled as far as they have to be: else nothing below is worth a look. */
  function canGoOn(slot: number, used: bigint): boolean {
    if (isPlentiful) return true;
    const rest = choices.slice(slot).map((people) => people.filter((person) => (used & (1n << BigInt(person))) === 0n));
    return rest.length - sizeOf(largestMatching(rest)) <= mayBeEmpty;
  }
  const seen = new Set<string>();

  function from(slot: number, used: bigint, marked: bigint, empty: bigint): boolean {
    if (left <= 0 && hasShown) return true;
    const state = `${slot} ${used} ${marked} ${empty}`;
    if (seen.has(state)) return false;
    seen.add(state);
    left -= 1;
    if (slot === choices.length) {
      hasShown = true;
      return look(taken);
    }
    if (!canGoOn(slot, used)) return false;
    for (const person of choices[slot] ?? []) {
      const bit = 1n << BigInt(person);
      if ((used & bit) !== 0n) continue;
      taken[slot] = person;
      if (from(slot + 1, used | bit, isMarked(slot) ? marked | bit : marked, empty)) return true;
    }
    if (mayBeEmpty === 0) return false;
    mayBeEmpty -= 1;
    taken[slot] = -1;
    const found = from(slot + 1, used, marked, empty | (1n << BigInt(slot)));
    mayBeEmpty += 1;
    return found;
  }
  from(0, 0n, 0n, 0n);
}

function fillSlot(
  slot: number,
  choices: Choices,
  taken: number[],
  holder: Map<number, number>,
  tried: Set<number>,
): boolean {
  for (const person of choices[slot] ?? []) {
    if (tried.has(person)) continue;
    tried.add(person);
    const other = holder.get(person);
    if (other !== undefined && !fillSlot(other, choices, taken, holder, tried)) continue;
    holder.set(person, slot);
    taken[slot] = person;
    return true;
  }
  return false;
}

const ascending = (a: number, b: number) => a - b;
