import { localDay, uncoveredBlocks } from '../../cover/index.ts';
import { asChoice, uncovered } from '../../enforcement/choice.ts';
import { floorAt } from '../../enforcement/floors.ts';
import { type CoverKeys, type GymDay, lockCover } from '../../enforcement/lock.ts';
import { asFact, type Settled } from '../../enforcement/settle.ts';
import type { Context } from '../../platform/context.ts';
import { invalid, notFound, refuse } from '../../platform/problem.ts';
import * as absences from './absences-repo.ts';
import { type Covered, coveredBy } from './cover.ts';
import { insert } from './place.ts';
import * as repo from './repo.ts';
import type { Absence, Assignment } from './schema.ts';

const MOST_DAYS = 92;
const DAY_MS = 86_400_000;

export interface NewAbsence {
  personId: string;
  startsAt: Date;
  endsAt: Date;
}

/**
 * Records that somebody cannot come. Always recorded: what they held then is released, and blocks left uncovered lose
 * their confirmation, at every gym that employs them.
 */
export async function recordAbsence(
  ctx: Context,
  gymId: string,
  { personId, startsAt, endsAt }: NewAbsence,
): Promise<{ absence: Absence; settled: Settled }> {
  if (startsAt >= endsAt) throw invalid('/endsAt', 'Expected an end after the start.');
  if (endsAt.getTime() - startsAt.getTime() > MOST_DAYS * DAY_MS) {
    throw invalid('/endsAt', `Expected at most ${MOST_DAYS} days; for longer, end the employment.`);
  }
  if (!(await repo.isOnStaffOf(ctx, gymId, personId))) {
    throw invalid('/personId', 'There is no such member of staff at this gym.');
  }
  const lock = await lockCover(ctx, 'fact', () => absenceKeys(ctx, personId, startsAt, endsAt));
  const { done, settled } = await asFact(ctx, lock, () =>
    absences.insertAbsence(ctx, lock, personId, startsAt, endsAt),
  );
  await ctx.record(
    'staffing.absence-recorded',
    { subjectId: done.id, gymId },
    { personId, from: startsAt.toISOString(), until: endsAt.toISOString() },
  );
  return { absence: absences.absenceOnWire(done), settled };
}

/** Each local day that the absence touches, at every gym that employs the person. */
async function absenceKeys(ctx: Context, personId: string, startsAt: Date, endsAt: Date): Promise<CoverKeys> {
  const days: GymDay[] = [];
  for (const { gymId, zone } of await repo.gymsEmploying(ctx, personId)) {
    const last = localDay(zone, endsAt.getTime() - 1);
    for (let at = startsAt.getTime(); ; at += DAY_MS / 2) {
      const day = localDay(zone, Math.min(at, endsAt.getTime() - 1));
      days.push({ gymId, day });
      if (day === last) break;
    }
  }
  return { days, people: [personId] };
}

/** Takes an absence back: the person is free again. What was released stays so until somebody assigns them. */
export async function withdrawAbsence(ctx: Context, gymId: string, absenceId: string): Promise<Absence> {
  const get = () => absences.getAbsence(ctx, gymId, absenceId);
  const lock = await lockCover(ctx, 'choice', async () => {
    const { personId, startsAt, endsAt } = await get();
    return absenceKeys(ctx, personId, startsAt, endsAt);
  });
  const { done } = await asChoice(ctx, lock, () => absences.setAbsenceWithdrawn(ctx, lock, absenceId));
  await ctx.record('staffing.absence-withdrawn', { subjectId: absenceId, gymId }, { personId: done.personId });
  return absences.absenceOnWire(done);
}

/**
 * Puts somebody in a place that an absence released, with the same duty and span: refused unless what they stand in for
 * is covered then. What a desk may do when a coach has not come.
 */
export async function replaceAbsent(
  ctx: Context,
  gymId: string,
  absenceId: string,
  { assignmentId, personId }: { assignmentId: string; personId: string },
): Promise<{ assignment: Assignment; cover: Covered }> {
  const absence = await absences.getAbsence(ctx, gymId, absenceId);
  const get = () => repo.getAssignment(ctx, gymId, assignmentId);
  const lock = await lockCover(ctx, 'choice', async () => ({
    days: [{ gymId, day: (await get()).day }],
    people: [personId],
  }));
  const left = await get();
  const isTheirs = left.personId === absence.personId && left.releasedWhy?.includes('absent');
  if (!isTheirs || left.startsAt >= absence.endsAt || left.endsAt <= absence.startsAt) {
    throw notFound('place released by that absence');
  }
  if (left.endsAt <= ctx.now) throw refuse('already-over', 'That has ended.');
  if (!(await repo.isOnStaffOf(ctx, gymId, personId))) {
    throw invalid('/personId', 'There is no such member of staff at this gym.');
  }
  const unit = { per: left.per, id: left.blockId ?? left.sessionId ?? gymId } as const;
  const { done, after } = await asChoice(ctx, lock, () =>
    insert(ctx, lock, personId, left.duty, {
      unit,
      gymId,
      day: left.day,
      span: { from: left.startsAt.getTime(), to: left.endsAt.getTime() },
    }),
  );
  const at = floorAt(after, gymId, left.day);
  const cover = await coveredBy(ctx, at, unit);
  if (!cover.covered) {
    const findings = uncoveredBlocks(at.floor).flatMap((one) => (one.block === unit.id ? one.findings : []));
    throw await uncovered(ctx, 'not-covered', at, findings);
  }
  return { assignment: repo.assignmentOnWire(done), cover };
}
