import { asChoice } from '../../enforcement/choice.ts';
import { type CoverLock, lockCover } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { invalid, refuse } from '../../platform/problem.ts';
import { blocksOf, replaceBlocks, staffOf, withdrawOverrides } from './blocks-repo.ts';
import { enrolledOn } from './enrolments-repo.ts';
import { takeUpOtherDrills } from './other-drills.ts';
import { type Placed, placeTurns } from './place-turns.ts';
import { insertPlaces, membersOf, putGroups, releasePlaces } from './places-repo.ts';
import { areasOf, findPublished, planBlocksOf, planIsFor } from './plan-repo.ts';
import { readSession } from './read-sessions.ts';
import { getClass, getSession, getSessionAt, refuseOnceBegun, type SessionRow, updateSession } from './repo.ts';
import type { NewLayout, WholeSession } from './schema.ts';
import { staffDays } from './staff-days.ts';
import { findPlace } from './term-places.ts';

/**
 * Lays a session's blocks out from a published plan version and pins them to it: groups, everybody who is enrolled that
 * day spread evenly over them, and what each group does when and where. Laying out again replaces what was there, as
 * long as the session has not begun, nothing is confirmed and nobody on the staff is placed on it; what was accepted for
 * the old blocks is taken back. Easier drills that stand for the class are done in the new ones.
 */
export async function layOutBlocks(
  ctx: Context,
  gymId: string,
  sessionId: string,
  ifMatch: number,
  layout: NewLayout,
): Promise<WholeSession> {
  const names = groupNames(layout);
  const lock = await lockCover(ctx, 'choice', async () => {
    const session = await getSession(ctx, gymId, sessionId);
    const { day, classId } = session;
    const members = await membersOf(ctx, sessionId);
    const people = [...members.map(({ athleteId }) => athleteId), ...(await enrolledOn(ctx, classId, day))];
    return {
      classes: [classId],
      days: [{ gymId, day }, ...(await staffDays(ctx, people, [session]))],
      people,
      sessions: [sessionId],
    };
  });
  const session = await getSessionAt(ctx, lock, gymId, sessionId, ifMatch);
  refuseOnceBegun(ctx, session);

  const { planVersionId, termWeek } = await versionFor(ctx, session, layout);
  const placed = placeTurns(layout, {
    planBlocks: await planBlocksOf(ctx, planVersionId),
    areas: await areasOf(ctx, gymId),
    groupCount: names.length,
    sessionMinutes: Math.floor((session.endsAt.getTime() - session.startsAt.getTime()) / 60_000),
  });
  const { done } = await asChoice(ctx, lock, async () => {
    const withdrawn = await giveUpLayout(ctx, lock, session);
    const blockIds = await writeLayout(ctx, lock, session, planVersionId, names, placed);
    await updateSession(ctx, lock, sessionId, { planVersionId, termId: layout.termId ?? null, termWeek });
    return { withdrawn, blockIds };
  });
  const whole = await readSession(ctx, gymId, sessionId);
  await ctx.record(
    'schedule.blocks-laid-out',
    { subjectId: sessionId, gymId, revision: whole.revision },
    { sessionId, planVersionId, blockIds: done.blockIds },
  );
  for (const overrideId of done.withdrawn) {
    await ctx.record('staffing.override-withdrawn', { subjectId: overrideId, gymId }, { overrideId });
  }
  return whole;
}

function groupNames({ groups, groupCount }: NewLayout): string[] {
  if (groups && groupCount !== undefined) throw invalid('/groupCount', 'Send either `groups` or `groupCount`.');
  if (groups) return groups.map(({ name }) => name);
  return Array.from({ length: groupCount ?? 1 }, (_, index) => `Group ${index + 1}`);
}

/** The version to lay out from, and the week of the term that says so, where one does. */
async function versionFor(ctx: Context, session: SessionRow, layout: NewLayout) {
  const { planId, planVersionId, termId } = layout;
  const [field, ...others] = (['planId', 'planVersionId', 'termId'] as const).filter(
    (one) => layout[one] !== undefined,
  );
  if (field === undefined || others.length > 0) {
    throw invalid('/planVersionId', 'Send one of `planId`, `planVersionId` and `termId`.');
  }
  const { day } = session;
  const inTerm = termId === undefined ? null : await planInTerm(ctx, session, termId);
  const version = await findPublished(
    ctx,
    planVersionId === undefined ? { planId: inTerm?.planId ?? planId ?? '', day } : { planVersionId },
  );
  if (version === null) {
    const when = planVersionId === undefined ? ' and in effect that day' : '';
    throw invalid(`/${field}`, `There is no such plan version that is published${when}.`);
  }
  const { programmeId, name } = await getClass(ctx, session.gymId, session.classId);
  if (!(await planIsFor(ctx, version.planId, programmeId))) {
    throw invalid(`/${field}`, `That plan does not teach the programme of “${name}”.`);
  }
  return { planVersionId: version.id, termWeek: inTerm?.week ?? null };
}

/** The plan that hangs from the week that the class has reached by itself when the session comes. */
async function planInTerm(ctx: Context, { classId, day }: SessionRow, termId: string) {
  const place = await findPlace(ctx, termId, classId, day);
  if (place === null) throw invalid('/termId', 'The class of this session is in no such term.');
  if (place.week === null) throw refuse('conflict', `“${place.className}” is through with that term by ${day}.`);
  if (place.planId === null) throw refuse('conflict', `No lesson plan hangs from week ${place.week} of that term.`);
  return { planId: place.planId, week: place.week };
}

/** Gives the overrides that were taken back. */
async function giveUpLayout(ctx: Context, lock: CoverLock, { id }: SessionRow): Promise<string[]> {
  const blocks = await blocksOf(ctx, id);
  if (blocks.some(({ confirmedAt }) => confirmedAt !== null)) {
    throw refuse('conflict', 'Blocks of this session are confirmed: un-confirm them with a reason first.');
  }
  if ((await staffOf(ctx, id)).length > 0) {
    throw refuse('conflict', 'Staff are placed on this session: release them first.');
  }
  const members = await membersOf(ctx, id);
  await releasePlaces(
    ctx,
    lock,
    members.map((member) => member.id),
  );
  return withdrawOverrides(ctx, lock, id);
}

async function writeLayout(
  ctx: Context,
  lock: CoverLock,
  session: SessionRow,
  planVersionId: string,
  names: string[],
  placed: Placed[],
): Promise<string[]> {
  const { id: sessionId, gymId, classId, day, startsAt, endsAt } = session;
  const groupIds = await putGroups(ctx, lock, sessionId, names);
  const groupAt = (index: number) => groupIds[index % groupIds.length] ?? '';
  const blocks = placed.map(({ group, planBlockId, startMinute, minutes, areaIds }) => {
    const from = startsAt.getTime() + startMinute * 60_000;
    return {
      gymId,
      sessionId,
      groupId: groupAt(group - 1),
      planVersionId,
      planBlockId,
      day,
      startsAt: new Date(from),
      endsAt: new Date(from + minutes * 60_000),
      areaIds,
    };
  });
  const blockIds = await replaceBlocks(ctx, lock, sessionId, blocks);
  const enrolled = await enrolledOn(ctx, classId, day);
  const places = enrolled.map((athleteId, at) => ({ sessionId, groupId: groupAt(at), athleteId, startsAt, endsAt }));
  await insertPlaces(ctx, lock, places);
  await takeUpOtherDrills(ctx, lock, blockIds);
  return blockIds;
}
