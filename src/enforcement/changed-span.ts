import type { Block, Floor, Span } from '../cover/index.ts';

/**
 * The stretch of a day within which two floors differ; null when they don't. Cover at a moment depends on that moment
 * alone, but for whom a rule knows by their blocks; so outside it nobody's cover has changed.
 */
export function changedSpan(before: Floor, after: Floor): Span | null {
  if (!same([before.rules, before.duties], [after.rules, after.duties])) return after.over;
  const blocks = changes(before.blocks, after.blocks, ({ id }) => id);
  const athletes = changes(before.athletes, after.athletes, ({ person }) => person);
  // There or not: the ages of those enrolled may govern.
  const enrolledIn = new Set(athletes.flatMap(({ enrolled }) => enrolled.map(({ block }) => block)));
  const spans = [
    ...blocks.map(({ span }) => span),
    ...[before, after].flatMap((floor) => knownBy(blocks, floor)),
    ...changes(before.overrides, after.overrides, ({ id }) => id).map(({ span }) => span),
    ...changes(before.staff, after.staff, ({ person }) => person).flatMap(({ at }) => at.map(({ span }) => span)),
    ...athletes.flatMap(({ at }) => at.map(({ span }) => span)),
    ...[...before.blocks, ...after.blocks].filter(({ id }) => enrolledIn.has(id)).map(({ span }) => span),
  ];
  if (spans.length === 0) return null;
  return { from: Math.min(...spans.map(({ from }) => from)), to: Math.max(...spans.map(({ to }) => to)) };
}

/**
 * When somebody is there whom a rule knows by one of these blocks, whether it runs then or not: an overseer, by those of
 * their session; who waits on the premises, by those that they came for.
 */
function knownBy(blocks: readonly Block[], { staff, athletes }: Floor): Span[] {
  const [ids, sessions] = [new Set(blocks.map(({ id }) => id)), new Set(blocks.map(({ session }) => session))];
  const overseeing = staff
    .flatMap(({ at }) => at)
    .filter(({ unit }) => unit.per === 'session' && sessions.has(unit.id));
  const waiting = athletes
    .filter(({ enrolled }) => enrolled.some(({ block }) => ids.has(block)))
    .flatMap(({ at }) => at.filter(({ unit }) => unit.per === 'premises'));
  return [...overseeing, ...waiting].map(({ span }) => span);
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
