import { invalid } from '../../platform/problem.ts';
import type { PlanBlockRow } from './plan-repo.ts';
import { rotate, type Turn } from './rotation.ts';
import { MOST_BLOCKS, type NewLayout } from './schema.ts';

/** A turn with its place in the hall. */
export interface Placed extends Turn {
  areaIds: string[];
}

export interface Setting {
  planBlocks: PlanBlockRow[];
  areas: { id: string; apparatusIds: string[] }[];
  groupCount: number;
  sessionMinutes: number;
}

/**
 * Who does what when and where: the blocks that were asked for, or the plain rotation. Refuses what does not lie within
 * the session, what a group would do at the same time as something else, and places that the gym does not have.
 */
export function placeTurns(layout: NewLayout, setting: Setting): Placed[] {
  const { groupCount, sessionMinutes } = setting;
  refuseStrangeAreas(layout, setting);
  const placed = layout.blocks ? turnsAsked(layout, setting) : turnsRotated(layout, setting);

  if (placed.length === 0) throw invalid('/planVersionId', 'That plan has no blocks.');
  if (placed.length > MOST_BLOCKS) {
    const many = `That would be ${placed.length} blocks, and a session has ${MOST_BLOCKS} at the most`;
    throw invalid(layout.groups ? '/groups' : '/groupCount', `${many}: make fewer groups, or name the blocks of each.`);
  }
  const last = Math.max(...placed.map(({ startMinute, minutes }) => startMinute + minutes));
  if (!layout.blocks && last > sessionMinutes) {
    const much = `The plan takes ${last} minutes, and the session has ${sessionMinutes}`;
    throw invalid('/blocks', `${much}: name the blocks that fit, or choose another plan.`);
  }
  for (const [index, { startMinute, minutes, group }] of placed.entries()) {
    const end = startMinute + minutes;
    if (end > sessionMinutes) {
      throw invalid(
        `/blocks/${index}/minutes`,
        `It would end at minute ${end}, and the session has ${sessionMinutes}.`,
      );
    }
    if (minutes < 1) throw invalid('/blocks', 'The plan gives a block no time: say how many `minutes` it has.');
    const earlier = placed.findIndex(
      (other, at) =>
        at < index &&
        other.group === group &&
        other.startMinute < end &&
        other.startMinute + other.minutes > startMinute,
    );
    if (earlier >= 0) {
      throw invalid(`/blocks/${index}/startMinute`, `Group ${group} is at block ${earlier + 1} of the list then.`);
    }
  }
  for (let group = 1; group <= groupCount; group += 1) {
    if (!placed.some((turn) => turn.group === group)) throw invalid('/blocks', `Group ${group} has no block.`);
  }
  return placed;
}

function turnsAsked(layout: NewLayout, setting: Setting): Placed[] {
  return (layout.blocks ?? []).map(({ group, planBlockId, startMinute, minutes, areaIds }, index) => {
    const planBlock = setting.planBlocks.find(({ id }) => id === planBlockId);
    if (!planBlock) throw invalid(`/blocks/${index}/planBlockId`, 'That plan version has no such block.');
    if (group > setting.groupCount) {
      throw invalid(`/blocks/${index}/group`, `There are ${setting.groupCount} groups, counted from 1.`);
    }
    const places = areaIds ?? areasFor(planBlock, layout, setting, `/blocks/${index}/areaIds`);
    return { group, planBlockId, startMinute, minutes: minutes ?? planBlock.minutes, areaIds: [...new Set(places)] };
  });
}

function turnsRotated(layout: NewLayout, setting: Setting): Placed[] {
  const { planBlocks, groupCount } = setting;
  const turns = rotate(planBlocks, groupCount);
  if (turns === null) {
    const few = `${groupCount} groups cannot take turns without two of them sharing a block`;
    throw invalid('/blocks', `${few}: make fewer groups, or name the blocks of each.`);
  }
  const areaIds = new Map(planBlocks.map((block) => [block.id, areasFor(block, layout, setting, '/areas')]));
  return turns.map((turn) => ({ ...turn, areaIds: areaIds.get(turn.planBlockId) ?? [] }));
}

/** Where it was said, or else, for each apparatus that its stations need, the first area where that stands. */
function areasFor(block: PlanBlockRow, { areas: said }: NewLayout, { areas }: Setting, pointer: string): string[] {
  const named = said?.find(({ planBlockId }) => planBlockId === block.id);
  if (named) return [...new Set(named.areaIds)];
  const found = block.apparatusIds.map((apparatusId) => areas.find((area) => area.apparatusIds.includes(apparatusId)));
  if (found.length === 0 || found.includes(undefined)) {
    throw invalid(
      pointer,
      `Say where “${block.title}” is taught: no area of this gym has the apparatus that it needs.`,
    );
  }
  return [...new Set(found.flatMap((area) => (area ? [area.id] : [])))];
}

function refuseStrangeAreas(layout: NewLayout, { areas, planBlocks }: Setting): void {
  const isHere = (areaId: string) => areas.some(({ id }) => id === areaId);
  const check = (areaIds: string[], pointer: string) => {
    const index = areaIds.findIndex((areaId) => !isHere(areaId));
    if (index >= 0) throw invalid(`${pointer}/areaIds/${index}`, 'There is no such area in this gym.');
  };
  for (const [index, { planBlockId, areaIds }] of (layout.areas ?? []).entries()) {
    check(areaIds, `/areas/${index}`);
    if (!planBlocks.some(({ id }) => id === planBlockId)) {
      throw invalid(`/areas/${index}/planBlockId`, 'That plan version has no such block.');
    }
  }
  for (const [index, { areaIds }] of (layout.blocks ?? []).entries()) check(areaIds ?? [], `/blocks/${index}`);
}
