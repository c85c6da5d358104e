import { and, asc, gt, inArray, isNull } from 'drizzle-orm';
import { z } from 'zod';
import { asChoice } from '../../enforcement/choice.ts';
import { lockCover } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { Id } from '../../platform/http/wire.ts';
import { invalid, refuse } from '../../platform/problem.ts';
import { assignments } from '../../tables/staffing.ts';
import { groupsOf, insertPlaces, membersOf, releasePlaces } from '../schedule/places-repo.ts';
import { readSession } from '../schedule/read-sessions.ts';
import { updateSession } from '../schedule/repo.ts';
import { WholeSession } from '../schedule/schema.ts';
import { staffDays } from '../schedule/staff-days.ts';
import { insert } from './place.ts';
import * as repo from './repo.ts';
import { Assignment } from './schema.ts';

export const Merging = z.strictObject({ intoGroupId: Id, fromGroupId: Id }).meta({
  id: 'GroupMerging',
  example: {
    intoGroupId: '01930d5e-8a4c-7c3a-9f65-3b1f0c6d2a11',
    fromGroupId: '01930d5e-8a4c-7c3a-9f65-3b1f0c6d2a12',
  },
});
export type Merging = z.output<typeof Merging>;
export const Merged = z
  .strictObject({
    session: WholeSession,
    moved: z.array(Assignment).max(1000).meta({ description: 'The places of the staff who went along' }),
  })
  .meta({ id: 'GroupsMerged' });

/**
 * One group of a session joins another for all of it. Its staff go along to the blocks of the other that have the same
 * span as theirs; its own blocks are left with nobody.
 */
export async function mergeGroups(ctx: Context, gymId: string, sessionId: string, merging: Merging) {
  const { intoGroupId, fromGroupId } = merging;
  if (intoGroupId === fromGroupId) throw invalid('/fromGroupId', 'Expected two different groups.');
  const lock = await lockCover(ctx, 'choice', async () => {
    const { session } = await repo.getSessionUnit(ctx, gymId, sessionId);
    const athleteIds = (await membersIn(ctx, sessionId, fromGroupId)).map(({ athleteId }) => athleteId);
    const staffIds = (await staffWith(ctx, gymId, sessionId, merging)).map(({ held }) => held.personId);
    return {
      days: [{ gymId, day: session.day }, ...(await staffDays(ctx, athleteIds, [session]))],
      people: [...athleteIds, ...staffIds],
      sessions: [sessionId],
    };
  });
  const { session } = await repo.getSessionUnit(ctx, gymId, sessionId);
  if (session.endsAt <= ctx.now) throw refuse('already-over', 'That session has ended.');
  const known = (await groupsOf(ctx, [sessionId])).map(({ id }) => id);
  for (const [pointer, id] of [['/intoGroupId', intoGroupId] as const, ['/fromGroupId', fromGroupId] as const]) {
    if (!known.includes(id)) throw invalid(pointer, 'There is no such group in this session.');
  }
  const members = await membersIn(ctx, sessionId, fromGroupId);
  if (members.length === 0) throw refuse('conflict', 'Nobody is in the group that would join.');

  const { startsAt, endsAt, day } = session;
  const { done } = await asChoice(ctx, lock, async () => {
    await releasePlaces(
      ctx,
      lock,
      members.map(({ id }) => id),
    );
    await insertPlaces(
      ctx,
      lock,
      members.map(({ athleteId }) => ({ sessionId, groupId: intoGroupId, athleteId, startsAt, endsAt })),
    );
    await updateSession(ctx, lock, sessionId, {});
    const moved = [];
    for (const { held, twinId } of await staffWith(ctx, gymId, sessionId, merging)) {
      const { id, personId, duty } = held;
      await repo.releaseAssignment(ctx, lock, id, 'moved');
      const left = { per: 'block', id: held.blockId ?? twinId } as const;
      await ctx.record('staffing.released', { subjectId: id, gymId }, { personId, duty, unit: left, why: 'moved' });
      const span = { from: held.startsAt.getTime(), to: held.endsAt.getTime() };
      moved.push(await insert(ctx, lock, personId, duty, { unit: { per: 'block', id: twinId }, gymId, day, span }));
    }
    return moved;
  });
  const whole = await readSession(ctx, gymId, sessionId);
  await ctx.record(
    'schedule.regrouped',
    { subjectId: sessionId, gymId, revision: whole.revision },
    { sessionId, athleteIds: members.map(({ athleteId }) => athleteId) },
  );
  return { session: whole, moved: done.map(repo.assignmentOnWire) };
}

const membersIn = async (ctx: Context, sessionId: string, groupId: string) =>
  (await membersOf(ctx, sessionId)).filter((one) => one.groupId === groupId);

/** Who is placed, from now on, on a block of the joining group that has a twin: the other group's block of the same span. */
async function staffWith(ctx: Context, gymId: string, sessionId: string, { intoGroupId, fromGroupId }: Merging) {
  const blocks = await repo.blocksOfSession(ctx, gymId, sessionId);
  const twins = new Map<string, string>();
  for (const one of blocks.filter(({ groupId }) => groupId === fromGroupId)) {
    const twin = blocks.find(
      ({ groupId, startsAt, endsAt }) =>
        groupId === intoGroupId &&
        startsAt.getTime() === one.startsAt.getTime() &&
        endsAt.getTime() === one.endsAt.getTime(),
    );
    if (twin) twins.set(one.id, twin.id);
  }
  if (twins.size === 0) return [];
  const rows = await ctx.tx
    .select()
    .from(assignments)
    .where(
      and(
        ours(ctx, assignments),
        inArray(assignments.blockId, [...twins.keys()]),
        isNull(assignments.releasedAt),
        gt(assignments.endsAt, ctx.now),
      ),
    )
    .orderBy(asc(assignments.startsAt), asc(assignments.id));
  return rows.flatMap((held) => {
    const twinId = held.blockId === null ? undefined : twins.get(held.blockId);
    return twinId === undefined ? [] : [{ held, twinId }];
  });
}
