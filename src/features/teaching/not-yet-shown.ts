import { grouped } from '../../enforcement/rows.ts';
import type { Context } from '../../platform/context.ts';
import type { Library } from './adapted-station.ts';
import * as repo from './sheet-repo.ts';
import type { SheetTurn } from './sheet-schema.ts';

export type Lacking = (groupId: string, drillIds: readonly string[]) => SheetTurn['notYetShown'];

/** For a group and what it is taught: which skills that lead there somebody has not yet shown alone. */
export async function notYetShown(
  ctx: Context,
  { drills }: Library,
  members: Awaited<ReturnType<typeof repo.selectMembers>>,
  mayName: (groupId: string) => boolean,
): Promise<Lacking> {
  const before = await repo.selectPrerequisites(ctx, [...drills.keys()]);
  const athleteIds = members.map(({ athleteId }) => athleteId);
  const shown = await repo.selectShownAlone(ctx, athleteIds, [...new Set(before.map(({ skillId }) => skillId))]);
  const membersOf = grouped(members, ({ groupId }) => groupId);
  return (groupId, drillIds) => {
    const taught = new Set(drillIds);
    const skills = new Map(before.filter(({ drillId }) => taught.has(drillId)).map((one) => [one.skillId, one.skill]));
    return [...skills].slice(0, 60).flatMap(([skillId, skill]) => {
      const who = membersOf(groupId).filter(({ athleteId }) => !shown.has(`${athleteId} ${skillId}`));
      if (who.length === 0) return [];
      const called = mayName(groupId) ? who.map(({ name }) => name ?? '(name erased)').slice(0, 60) : [];
      return [{ skillId, skill, athletes: who.length, names: called }];
    });
  };
}
