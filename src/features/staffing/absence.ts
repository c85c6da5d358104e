import { localDay, uncoveredBlocks } from '../../cover/index.ts';
import { asChoice, uncovered } from '../../enforcement/choice.ts';
import { floorAt } from '../../enforcement/floors.ts';
import { type CoverKeys, type GymDay, lockCover } from '../../enforcement/lock.ts';
import { asFact, type Settled } from '../../enforcement/settle.ts';
import type { Context } from '../../platform/context.ts';
import { invalid, notFound, refuse } from '../../platform/problem.ts';
import { DAY_MS } from '../../platform/time.ts';
import * as absences from './absences-repo.ts';
import { type Covered, coveredBy } from './cover.ts';
import { insert } from './place.ts';
import * as repo from './repo.ts';
import type { Absence, Assignment, TakenSubstitute } from './schema.ts';
import { type ChosenSubstitute, takeSubstitutes } from './take-substitutes.ts';

const MOST_DAYS = 92;

export interface NewAbsence {
  personId: string;
  startsAt: Date;
  endsAt: Date;
  /** Who takes which of the places that it releases there. */
  substitutes: readonly ChosenSubstitute[];
}

/**
 * Records that somebody cannot come. Always recorded, unless they are absent all that time already: what they held then is released, and blocks left uncovered lose
 * their confirmation, at every gym that employs them. A substitute chosen with it takes the place in the same change
 * where that holds; where it does not, the absence stands all the same.
 */
export async function recordAbsence(
  ctx: Context,
  gymId: string,
  { personId, startsAt, endsAt, substitutes }: NewAbsence,
): Promise<{ absence: Absence; taken: TakenSubstitute[]; settled: Settled }> {
  if (startsAt >= endsAt) throw invalid('/endsAt', 'Expected an end after the start.');
  if (endsAt.getTime() - startsAt.getTime() > MOST_DAYS * DAY_MS) {
    throw invalid('/endsAt', `Expected at most ${MOST_DAYS} days; for longer, end the employment.`);
  }
  await repo.refuseStrangers(ctx, gymId, [{ personId, at: '/personId' }]);
  const standIns = await staffAmong(ctx, gymId, substitutes);
  const lock = await lockCover(ctx, 'fact', async () => {
    const keys = await absenceKeys(ctx, personId, startsAt, endsAt);
    return { ...keys, people: [personId, ...standIns] };
  });
  const { done, settled } = await asFact(ctx, lock, async () => {
    const { id } = await absences.insertAbsence(ctx, lock, personId, startsAt, endsAt);
    const absence = await absences.findAbsence(ctx, gymId, id);
    if (!absence) throw invalid('/personId', 'This gym does not employ them then.');
    const known = await absences.findContaining(ctx, absence);
    if (known) throw refuse('already-exists', `They are absent all that time already, by the absence ${known.id}.`);
    return { absence, taken: await takeSubstitutes(ctx, lock, gymId, absence, substitutes) };
  });
  await ctx.record(
    'staffing.absence-recorded',
    { subjectId: done.absence.id, gymId },
    { personId, from: startsAt.toISOString(), until: endsAt.toISOString() },
  );
  return { absence: absences.absenceOnWire(done.absence), taken: done.taken, settled };
}

/** Those of the chosen substitutes who are on the staff of that gym. */
async function staffAmong(ctx: Context, gymId: string, chosen: readonly ChosenSubstitute[]): Promise<string[]> {
  const known: string[] = [];
  for (const personId of new Set(chosen.map((one) => one.personId))) {
    if (await repo.isOnStaffOf(ctx, gymId, personId)) known.push(personId);
  }
  return known;
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
  const get = () => repo.getAssignment(ctx, gymId, assignmentId);
  const unitNow = async () => unitOf(ctx, gymId, await get());
  const lock = await lockCover(ctx, 'choice', async () => ({ days: [await unitNow()], people: [personId] }));
  const absence = await absences.getAbsence(ctx, gymId, absenceId);
  if (absence.withdrawnAt !== null) throw refuse('conflict', 'That absence has been withdrawn: they can come.');
  const left = await get();
  if (left.releasedByAbsenceId !== absenceId) throw notFound('place released by that absence');
  const unit = await unitNow();
  const span = { from: left.startsAt.getTime(), to: left.endsAt.getTime() };
  if (unit.day !== left.day || unit.span.from > span.from || unit.span.to < span.to) {
    throw refuse('conflict', 'What they were to teach has been moved since: assign somebody there anew.');
  }
  if (left.endsAt <= ctx.now) throw refuse('already-over', 'That has ended.');
  await repo.refuseStrangers(ctx, gymId, [{ personId, at: '/personId' }]);
  const { done, after } = await asChoice(ctx, lock, () =>
    insert(ctx, lock, personId, left.duty, { ...unit, span }, left.id),
  );
  const at = floorAt(after, gymId, left.day);
  const cover = await coveredBy(ctx, at, unit.unit);
  if (!cover.covered) {
    const findings = uncoveredBlocks(at.floor).flatMap((one) => (one.block === unit.unit.id ? one.findings : []));
    throw await uncovered(ctx, 'not-covered', at, findings);
  }
  return { assignment: repo.assignmentOnWire(done), cover };
}

/** The unit of a place, as it stands. */
async function unitOf(ctx: Context, gymId: string, held: Awaited<ReturnType<typeof repo.getAssignment>>) {
  if (held.blockId !== null) return (await repo.getBlockUnit(ctx, gymId, held.blockId)).at;
  if (held.sessionId !== null) return (await repo.getSessionUnit(ctx, gymId, held.sessionId)).at;
  const span = { from: held.startsAt.getTime(), to: held.endsAt.getTime() };
  return { unit: { per: 'premises', id: gymId } as const, gymId, day: held.day, span };
}
