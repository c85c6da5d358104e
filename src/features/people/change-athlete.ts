import { and, eq, sql } from 'drizzle-orm';
import { formatFraction, parseFraction } from '../../cover/index.ts';
import type { CoverLock } from '../../enforcement/lock.ts';
import { factAbout, nothingSettled } from '../../enforcement/undated-fact.ts';
import { belongsToGym } from '../../platform/auth/permissions.ts';
import { type Context, mayOrRefuse } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { invalid, refuse } from '../../platform/problem.ts';
import { gyms } from '../../tables/gyms.ts';
import { athletes } from '../../tables/people.ts';
import { bumpAthlete, getAthlete, getAthleteOf } from './athlete-repo.ts';
import type { AthleteChanges, AthleteRef, ChangedAthlete } from './athlete-schema.ts';
import { setBirthDate } from './change-staff.ts';
import { joinFamily, leaveFamily } from './families.ts';
import { todayAt, updatePerson } from './persons.ts';
import { findStaffOnce, refuseStaff } from './staff-repo.ts';

type Facts = Pick<AthleteChanges, 'born' | 'familyOf' | 'countsAs' | 'gymId' | 'left'>;

/** Corrects what is known of an athlete. Birth date, family, load and gym are facts; names and contacts are not. */
export async function changeAthlete(
  ctx: Context,
  at: AthleteRef,
  ifMatch: number,
  changes: AthleteChanges,
): Promise<ChangedAthlete> {
  const { born, familyOf, countsAs, gymId, left, ...ofPerson } = changes;
  const facts: Facts = { born, familyOf, countsAs, gymId, left };
  const isFact = Object.values(facts).some((value) => value !== undefined);
  const write = async (lock: CoverLock | null) => {
    await getAthleteOf(ctx, at.gymId, at.athleteId);
    const ofBoth = [born, ...Object.values(ofPerson)];
    if (ofBoth.some((value) => value !== undefined)) await refuseStaff(ctx, at.gymId, at.athleteId);
    const revision = await bumpAthlete(ctx, at.athleteId, ifMatch);
    await updatePerson(ctx, at.athleteId, ofPerson);
    if (lock) await writeFacts(ctx, lock, at, facts);
    const about = { subjectId: at.athleteId, gymId: at.gymId, revision };
    await ctx.record('people.athlete-changed', about, { athleteId: at.athleteId, fields: Object.keys(changes) });
    return getAthlete(ctx, gymId ?? at.gymId, at.athleteId);
  };
  return isFact ? factAbout(ctx, [at.athleteId], write) : { ...(await write(null)), settled: nothingSettled() };
}

async function writeFacts(ctx: Context, lock: CoverLock, at: AthleteRef, facts: Facts): Promise<void> {
  const { athleteId } = at;
  const { born, familyOf, countsAs, gymId, left } = facts;
  if (born === null) await forgetBirthDate(ctx, lock, athleteId);
  else if (born !== undefined) await setBirthDate(ctx, lock, athleteId, born);
  if (familyOf === null) await leaveFamily(ctx, lock, athleteId);
  else if (familyOf !== undefined) await joinFamily(ctx, lock, at.gymId, athleteId, familyOf);
  if (gymId !== undefined && gymId !== at.gymId) {
    await refuseUnreachable(ctx, gymId);
    await refuseEnrolled(ctx, at);
  }
  if (left === true) await refuseEnrolled(ctx, at);
  await ctx.tx
    .update(athletes)
    .set({
      gymId: gymId ?? at.gymId,
      ...(countsAs === undefined ? {} : { countsAs: formatFraction(parseFraction(countsAs)) }),
      ...(left === undefined ? {} : { leftAt: left ? ctx.now : null }),
    })
    .where(and(ours(ctx, athletes), eq(athletes.personId, athleteId)));
}

async function forgetBirthDate(ctx: Context, _lock: CoverLock, athleteId: string): Promise<void> {
  if (await findStaffOnce(ctx, null, athleteId)) {
    throw invalid('/born', 'They are on the staff as well, where a birth date is needed.');
  }
  await ctx.tx
    .update(athletes)
    .set({ born: null })
    .where(and(ours(ctx, athletes), eq(athletes.personId, athleteId)));
}

/** The gym that somebody moves to has to be one that the caller writes for as well. */
async function refuseUnreachable(ctx: Context, gymId: string): Promise<void> {
  const [gym] = await ctx.tx
    .select({ id: gyms.id })
    .from(gyms)
    .where(and(ours(ctx, gyms), eq(gyms.id, gymId)));
  if (!gym || !belongsToGym(ctx.roles, gymId)) throw invalid('/gymId', 'There is no such gym here.');
  mayOrRefuse(ctx, 'athletes.write', gymId);
}

/** The lock keeps anybody from enrolling meanwhile. */
async function refuseEnrolled(ctx: Context, { gymId, athleteId }: AthleteRef): Promise<void> {
  const { rowCount } = await ctx.tx.execute(sql`
    SELECT FROM enrolments e WHERE e.franchise_id = ${ctx.franchiseId} AND e.athlete_id = ${athleteId}
      AND e.gym_id = ${gymId} AND (e.until_day IS NULL OR e.until_day > ${todayAt(ctx, gymId)}) LIMIT 1`);
  if (rowCount !== 0) throw refuse('still-in-use', 'They are enrolled in a class here; unenrol them first.');
}
