import { common } from './hall.ts';
import { overlaps } from './passes.ts';
import { coverTimeline } from './timeline.ts';
import type { Athlete, Cover, Finding, Floor, Id, Span, Unit } from './types.ts';

/** A block that is not covered, with the findings responsible: its own, its session's, the premises'. */
export type UncoveredBlock = { block: Id; findings: Finding[] };

/**
 * The blocks that are not covered, confirmed or not, in the order of the floor. A block is covered only if, for all of its
 * span, it is, and its session and the premises are while it has athletes. `covers` are the floor's, where they are known.
 */
export function uncoveredBlocks(floor: Floor, covers: readonly Cover[] = coverTimeline(floor)): UncoveredBlock[] {
  const blaming = new Map<string, Finding[]>();
  for (const { unit, findings, covered } of covers) {
    if (covered) continue;
    const key = `${unit.per} ${unit.id}`;
    blaming.set(key, [...(blaming.get(key) ?? []), ...findings.filter(isUncovering)]);
  }
  if (blaming.size === 0) return [];
  const about = (key: string) => blaming.get(key) ?? [];
  return floor.blocks.flatMap(({ id, session, span }) => {
    const occupied = [...about(`session ${session}`), ...about(`premises ${floor.gym}`)].filter((finding) =>
      floor.athletes.some(({ at }) => at.some((place) => isDuring(place, id, span, finding.span))),
    );
    const findings = [...about(`block ${id}`), ...occupied];
    return findings.length === 0 ? [] : [{ block: id, findings }];
  });
}

/** Whether somebody's place is in the block, at a time that is in both spans. */
function isDuring(place: Athlete['at'][number], block: Id, span: Span, other: Span): boolean {
  if (place.unit.per !== 'block' || place.unit.id !== block) return false;
  const there = common(place.span, span);
  return there !== null && overlaps(there, other);
}

/**
 * The confirmed blocks that a change from one floor to the other would leave uncovered. A block that was confirmed and
 * uncovered already is not news.
 */
export function newlyUncovered(before: Floor, after: Floor): UncoveredBlock[] {
  const confirmed = (floor: Floor) => new Set(floor.blocks.flatMap((block) => (block.confirmed ? [block.id] : [])));
  const now = uncoveredBlocks(after).filter(({ block }) => confirmed(after).has(block));
  if (now.length === 0) return [];
  const known = confirmed(before);
  const already = new Set(uncoveredBlocks(before).flatMap(({ block }) => (known.has(block) ? [block] : [])));
  return now.filter(({ block }) => !already.has(block));
}

export const isUncovering = ({ strength, override }: Finding): boolean => strength === 'refuse' && override === null;

/** The units that are uncovered at a moment at which they were covered before. */
export function lostUnits(before: Cover[], after: Cover[]): Unit[] {
  const wereCovered = before.filter(({ covered }) => covered);
  const lost = new Map<string, Unit>();
  for (const { unit, span, covered } of after) {
    if (covered) continue;
    const was = wereCovered.some(
      (one) => one.unit.per === unit.per && one.unit.id === unit.id && overlaps(one.span, span),
    );
    if (was) lost.set(`${unit.per} ${unit.id}`, unit);
  }
  return [...lost.values()];
}
