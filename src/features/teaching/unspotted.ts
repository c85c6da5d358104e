import { type Finding, type Floor, narrowed, uncoveredBlocks } from '../../cover/index.ts';
import { without } from '../../enforcement/spans.ts';
import { asIfConfirmed } from '../staffing/cover.ts';

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
