import { type Finding, type Floor, narrowed, uncoveredBlocks } from '../../cover/index.ts';
import { uncovered } from '../../enforcement/choice.ts';
import type { Floors } from '../../enforcement/floors.ts';
import { loadFloor } from '../../enforcement/load-floor.ts';
import type { GymDay } from '../../enforcement/lock.ts';
import { grouped } from '../../enforcement/rows.ts';
import { without } from '../../enforcement/spans.ts';
import type { Context } from '../../platform/context.ts';
import type { NewlyDone } from '../schedule/other-drills.ts';
import { asIfConfirmed } from './cover.ts';

/**
 * Refuses drills that come to be done where nobody may spot them, whether the block is confirmed or not: a step up, at any
 * time of it; a step down, at a time at which somebody could spot what was done there before.
 *
 * @throws Problem `not-covered`, with findings and remedies.
 */
export async function refuseUnspotted(
  ctx: Context,
  before: Floors,
  after: Floors,
  drills: readonly NewlyDone[],
): Promise<void> {
  const spotted = drills.filter(({ spotting }) => spotting.mode !== 'none');
  const ofDay = grouped(spotted, keyOf);
  const wereAt = new Map(before.map((at) => [keyOf(at), at]));
  const areAt = new Map(after.map((at) => [keyOf(at), at]));
  for (const [key, day] of new Map(spotted.map((drill) => [keyOf(drill), drill]))) {
    const was = wereAt.get(key);
    // Of many days, those on which nobody is placed were not read: there nobody spots anything, before and after.
    const judged = ofDay(key).filter((one) => areAt.has(key) || one.direction === 'harder' || !one.wasSpotted);
    if (judged.length === 0) continue;
    const at = areAt.get(key) ?? (await loadFloor(ctx, day));
    for (const { blockId, stationId, direction } of judged) {
      const known = was === undefined || direction === 'harder' ? [] : unspottedAt(was.floor, blockId, stationId);
      const findings = newsIn(unspottedAt(at.floor, blockId, stationId), known);
      if (findings.length > 0) throw await uncovered(ctx, 'not-covered', at, findings);
    }
  }
}

const keyOf = ({ gymId, day }: GymDay) => `${gymId} ${day}`;

/**
 * What a floor lacks at one station of a block, whether the block is confirmed or not: a spotter, for the station itself or
 * for some of which it is one, when there are fewer spotters than stations. What other stations lack is not its doing.
 */
export function unspottedAt(floor: Floor, blockId: string, stationId: string): Finding[] {
  const block = floor.blocks.find(({ id }) => id === blockId);
  if (!block) return [];
  const near = narrowed(asIfConfirmed(floor, blockId), block.span);
  const findings = uncoveredBlocks(near).find((one) => one.block === blockId)?.findings ?? [];
  const station = `${blockId}/${stationId}`;
  return findings.filter(
    ({ code, subjects }) =>
      code === 'spotting' && subjects.some(({ what, id }) => what === 'station' && id === station),
  );
}

/** Those of the findings that are about a time of which none of the others is. */
export function newsIn(now: readonly Finding[], before: readonly Finding[]): Finding[] {
  const known = before.map(({ span }) => span);
  return now.filter(({ span }) => without([span], known).length > 0);
}
