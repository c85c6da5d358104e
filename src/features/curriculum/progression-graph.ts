// The progressions as a graph: values in, values out.

/** The easier drill leads to the harder one. */
export interface Step {
  easierId: string;
  harderId: string;
}

export type Direction = 'easier' | 'harder';

/** From each drill, the drills one step away in that direction, in the order of the steps. */
function neighbours(steps: readonly Step[], direction: Direction): Map<string, string[]> {
  const next = new Map<string, string[]>();
  for (const { easierId, harderId } of steps) {
    const [from, to] = direction === 'harder' ? [easierId, harderId] : [harderId, easierId];
    const known = next.get(from);
    if (known) known.push(to);
    else next.set(from, [to]);
  }
  return next;
}

/** How many steps each drill that can be reached lies away, at the least; the start itself is not among them. */
export function reachable(steps: readonly Step[], start: string, direction: Direction): Map<string, number> {
  const next = neighbours(steps, direction);
  const away = new Map([[start, 0]]);
  for (const [at, distance] of away) {
    for (const to of next.get(at) ?? []) if (!away.has(to)) away.set(to, distance + 1);
  }
  away.delete(start);
  return away;
}

/**
 * A shortest way along the steps from any of `starts` to any of `goals`, both ends included; null where there is none.
 * Of several, always the same one, in whatever order the steps come.
 */
export function shortestWay(
  steps: readonly Step[],
  starts: Iterable<string>,
  goals: ReadonlySet<string>,
): string[] | null {
  const next = neighbours(steps, 'harder');
  for (const harder of next.values()) harder.sort();
  const cameFrom = new Map<string, string | null>([...starts].sort().map((id) => [id, null]));
  let row = [...cameFrom.keys()];
  while (row.length > 0) {
    const [goal] = row.filter((id) => goals.has(id)).sort();
    if (goal !== undefined) return wayBack(cameFrom, goal);
    row = row.flatMap((at) =>
      (next.get(at) ?? []).filter((to) => {
        if (cameFrom.has(to)) return false;
        cameFrom.set(to, at);
        return true;
      }),
    );
  }
  return null;
}

function wayBack(cameFrom: ReadonlyMap<string, string | null>, end: string): string[] {
  const way: string[] = [];
  for (let at: string | null = end; at !== null; at = cameFrom.get(at) ?? null) way.unshift(at);
  return way;
}

/** The circle that one more step would close, from its harder drill round to its easier one; null where it closes none. */
export const circleWith = (steps: readonly Step[], { easierId, harderId }: Step): string[] | null =>
  shortestWay(steps, [harderId], new Set([easierId]));

/**
 * The steps on a circle, or between two of them; none where nothing goes round. One pass from either end, whatever there
 * is.
 */
export const onCircles = <T extends Step>(steps: readonly T[]): T[] => peeled(peeled(steps, 'harder'), 'easier');

/** Without the steps that begin where nothing leads, nor those that then begin there, and so on. */
function peeled<T extends Step>(steps: readonly T[], direction: Direction): T[] {
  const next = neighbours(steps, direction);
  const leadingTo = new Map<string, number>();
  for (const to of [...next.values()].flat()) leadingTo.set(to, (leadingTo.get(to) ?? 0) + 1);
  const free = new Set([...next.keys()].filter((id) => !leadingTo.has(id)));
  for (const id of free) {
    for (const to of next.get(id) ?? []) {
      const left = (leadingTo.get(to) ?? 0) - 1;
      leadingTo.set(to, left);
      if (left === 0) free.add(to);
    }
  }
  return steps.filter(({ easierId, harderId }) => !free.has(direction === 'harder' ? easierId : harderId));
}

/** Every drill that hangs together with this one by such steps, whichever way they go; itself included. */
export function connected(steps: readonly Step[], start: string): Set<string> {
  const [easier, harder] = [neighbours(steps, 'easier'), neighbours(steps, 'harder')];
  const together = new Set([start]);
  for (const at of together) {
    for (const to of [...(easier.get(at) ?? []), ...(harder.get(at) ?? [])]) together.add(to);
  }
  return together;
}

/** The drills to which something leads. */
export const ledTo = (steps: readonly Step[]): Set<string> => new Set(steps.map(({ harderId }) => harderId));
