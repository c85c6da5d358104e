import type { Floor, Span } from '../cover/index.ts';

/**
 * The stretch of a day within which two floors differ; null when they don't. Cover at a moment depends on that moment
 * alone, so outside it nobody's cover has changed.
 */
export function changedSpan(before: Floor, after: Floor): Span | null {
  if (!same([before.rules, before.duties], [after.rules, after.duties])) return after.over;
  const spans = [
    ...changes(before.blocks, after.blocks, ({ id }) => id).map(({ span }) => span),
    ...changes(before.overrides, after.overrides, ({ id }) => id).map(({ span }) => span),
    ...changes(before.staff, after.staff, ({ person }) => person).flatMap(({ at }) => at.map(({ span }) => span)),
    ...changes(before.athletes, after.athletes, ({ person }) => person).flatMap(({ at }) => at.map(({ span }) => span)),
  ];
  if (spans.length === 0) return null;
  return { from: Math.min(...spans.map(({ from }) => from)), to: Math.max(...spans.map(({ to }) => to)) };
}

/** What is in one list and not, or not the same, in the other: as it was and as it is. */
function changes<T>(before: readonly T[], after: readonly T[], keyOf: (one: T) => string): T[] {
  const known = new Map(before.map((one) => [keyOf(one), one]));
  const changed: T[] = [];
  for (const one of after) {
    const was = known.get(keyOf(one));
    known.delete(keyOf(one));
    if (was === undefined) changed.push(one);
    else if (!same(was, one)) changed.push(was, one);
  }
  return [...changed, ...known.values()];
}

const same = (one: unknown, other: unknown) => written(one) === written(other);
const written = (value: unknown) =>
  JSON.stringify(value, (_key, part: unknown) => (typeof part === 'bigint' ? `${part}` : part));
