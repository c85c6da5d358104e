import { narrowed } from './narrow.ts';
import type { Athlete, Floor, Id } from './types.ts';
import { uncoveredBlocks } from './uncovered.ts';

/** No class has room for more than this; the search stops there. */
export const HEADROOM_BOUND = 200;

/**
 * How many more athletes like this one fit into a block: the largest n such that 1, 2, … n more all leave it covered for
 * its whole span, its session and the premises counted as if it were confirmed. Their category is the one that `like` is
 * enrolled under in that block, none if in another. `binding` is the rule that stops the next
 * one, null when no rule does (spotting, support, a withdrawn plan, or `bound`, where the search stops). Throws a RangeError on an unknown block.
 */
export function headroom(
  floor: Floor,
  block: Id,
  like: Athlete,
  bound = HEADROOM_BOUND,
): { more: number; binding: Id | null } {
  const found = floor.blocks.find(({ id }) => id === block);
  if (found === undefined) throw new RangeError(`Block "${block}" is not on the floor`);
  const near = narrowed(floor, found.span);
  const blocks = near.blocks.map((one) => (one.id === block ? { ...one, confirmed: true } : one));
  const category = like.enrolled.find((one) => one.block === block)?.category ?? null;
  const at: Athlete['at'] = [{ unit: { per: 'block', id: block }, span: found.span, category }];
  const newcomer = { ...like, family: null, at, enrolled: [{ block, category }] };

  const athletes = [...near.athletes];
  for (let more = 0; more < bound; more++) {
    athletes.push({ ...newcomer, person: `${like.person} +${more + 1}` });
    const stopped = uncoveredBlocks({ ...near, blocks, athletes }).find((one) => one.block === block);
    if (stopped !== undefined) return { more, binding: stopped.findings[0]?.rule ?? null };
  }
  return { more: bound, binding: null };
}
