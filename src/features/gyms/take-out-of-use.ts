import type { Context } from '../../platform/context.ts';
import { invalid } from '../../platform/problem.ts';
import { itemsIn, setOutOfUse } from './equipment-repo.ts';
import { getArea } from './repo.ts';
import { type AreaRef, NONE_SHORT, type OutOfUse, type TakenOutOfUse } from './schema.ts';
import { shortStations } from './short-stations-repo.ts';

const MOST_SHORT = 200;

/**
 * Says how many of what stands in an area may not be used; they leave the gym's stock. Refuses more than stand there. A
 * fact: it always stands, and the answer names the stations ahead for which there is not enough any more. No cover
 * changes and nothing loses its confirmation: rules and caps, "equipment-item" too, count what a block's plan sets up,
 * which stays as it is until somebody adapts or regroups it.
 */
export async function takeOutOfUse(ctx: Context, at: AreaRef, said: OutOfUse): Promise<TakenOutOfUse> {
  await getArea(ctx, at);
  const items = await itemsIn(ctx, at.areaId, said.apparatusId);
  if (items === 0 && said.items > 0) throw invalid('/apparatusId', 'None of that stands in this area.');
  if (said.items > items) throw invalid('/items', `Only ${items} of it stand in this area.`);
  await setOutOfUse(ctx, at, said);
  const { apparatusId } = said;
  const about = { subjectId: at.areaId, gymId: at.gymId };
  await ctx.record('gyms.out-of-use', about, { areaId: at.areaId, apparatusId, items: said.items });
  const short = (await shortStations(ctx, at.gymId, [apparatusId], MOST_SHORT)).get(apparatusId) ?? NONE_SHORT;
  if (short.stationsCount > 0) {
    const { stations, stationsCount } = short;
    const sessionIds = [...new Set(stations.map(({ sessionId }) => sessionId))];
    await ctx.record('gyms.stations-short', about, { apparatusId, stationsCount, sessionIds });
  }
  return { ...said, short };
}
