import { and, eq, inArray, isNull, sql } from 'drizzle-orm';
import { type CoverLock, lockCover } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { violates } from '../../platform/db/constraint.ts';
import { ours } from '../../platform/db/tenant.ts';
import { pageOf, readCursor } from '../../platform/http/paging.ts';
import { instantOf, maybeInstant } from '../../platform/http/wire.ts';
import { newId } from '../../platform/ids.ts';
import { found, invalid, refuse } from '../../platform/problem.ts';
import { staffMarks, staffStays } from '../../tables/attendance.ts';
import { zoneOf } from '../gyms/repo.ts';
import { findStaffOf } from '../people/staff-repo.ts';
import { type Worked, worked } from './fold.ts';
import { dayAt, daysOfNow, isDesk, whenOf } from './repo.ts';
import type { NewStaffMark, StaffPresence } from './roll-schema.ts';

type Row = typeof staffMarks.$inferSelect;
type OfDay = Pick<Row, 'gymId' | 'personId' | 'day'>;

const NOT_FITTING = {
  'already-in': 'They are at work already.',
  'already-out': 'They have left already.',
  'not-in': 'They have not come yet.',
  'on-break': 'They are on a break already.',
  'not-on-break': 'They are not on a break.',
} as const;

/**
 * Writes down that somebody on the staff came, went, or is on a break: oneself, or, at the desk, anybody of the gym's.
 * What does not fit is refused; from a device (`offline`) it is kept, as a conflict.
 */
export async function markStaff(
  ctx: Context,
  gymId: string,
  mark: NewStaffMark,
  offline?: { days: number },
): Promise<{ presence: StaffPresence; conflict: Row['conflict'] }> {
  const personId = mark.personId ?? ctx.personId;
  if (personId === null) throw invalid('/personId', 'Say who: you are not on the staff yourself.');
  if (personId !== ctx.personId && !isDesk(ctx, 'attendance.write', gymId)) {
    throw refuse('not-allowed', 'Others are marked by the desk.', { permission: 'attendance.write' });
  }
  if (!(await findStaffOf(ctx, [gymId], personId))) {
    throw invalid('/personId', 'There is no such member of staff at this gym.');
  }
  const at = whenOf(ctx, mark.at, offline?.days);
  const lock = await lockCover(ctx, 'fact', async () => ({ people: [personId] }));
  const of = { gymId, personId, day: await dayOf(ctx, gymId, personId, mark.kind, at) };
  const id = mark.staffMarkId ?? newId();
  const said = await marksOf(ctx, of);
  if (said.length >= MOST_MARKS) throw refuse('conflict', `There are ${MOST_MARKS} marks of theirs that day: no more.`);
  const before = said.filter(({ undoneAt }) => undoneAt === null);
  const after = worked([...before, { id, kind: mark.kind, at }]);
  const conflict = after.conflicts.get(id) ?? null;
  if (conflict !== null && !offline) {
    if (conflict === 'already-in' || conflict === 'already-out') {
      return { presence: await presenceOf(ctx, of, worked(before), null), conflict };
    }
    throw refuse('conflict', NOT_FITTING[conflict]);
  }
  await insertMark(ctx, { ...of, id, kind: mark.kind, at, conflict });
  await keep(ctx, lock, of, before, after);
  const data = { personId, markId: id, kind: mark.kind, at: at.toISOString() };
  await ctx.record('attendance.staff-marked', { subjectId: personId, gymId }, data);
  return { presence: await presenceOf(ctx, of, after, id), conflict };
}

/** The local day of a mark: of whoever came in the evening, and goes or rests in the night, that of their coming. */
async function dayOf(ctx: Context, gymId: string, personId: string, kind: Row['kind'], at: Date): Promise<string> {
  const zone = await zoneOf(ctx, gymId);
  const [today, before] = daysOfNow(zone, at);
  if (before === undefined || kind === 'in') return today;
  const open = await ctx.tx
    .select({ day: staffStays.day })
    .from(staffStays)
    .where(
      and(
        ours(ctx, staffStays),
        eq(staffStays.gymId, gymId),
        eq(staffStays.personId, personId),
        inArray(staffStays.day, [today, before]),
        isNull(staffStays.outAt),
      ),
    );
  const isOpen = (day: string) => open.some((stay) => stay.day === day);
  return isOpen(before) && !isOpen(today) ? before : today;
}

/** Takes a mark of somebody on the staff back; it is kept. */
export async function undoStaffMark(ctx: Context, gymId: string, staffMarkId: string): Promise<StaffPresence> {
  const get = async () => {
    const [row] = await ctx.tx
      .select()
      .from(staffMarks)
      .where(and(ours(ctx, staffMarks), eq(staffMarks.gymId, gymId), eq(staffMarks.id, staffMarkId)));
    if (row && row.personId !== ctx.personId && !isDesk(ctx, 'attendance.write', gymId)) return null;
    return row;
  };
  const { personId } = found(await get(), 'mark');
  const lock = await lockCover(ctx, 'fact', async () => ({ people: [personId] }));
  const mark = found(await get(), 'mark');
  if (mark.undoneAt === null) {
    await ctx.tx
      .update(staffMarks)
      .set({ undoneAt: ctx.now, undoneBy: ctx.accountId, conflict: null })
      .where(and(ours(ctx, staffMarks), eq(staffMarks.id, staffMarkId)));
    const left = await standing(ctx, mark);
    await keep(ctx, lock, mark, left, worked(left));
    const data = { personId, markId: staffMarkId, kind: mark.kind };
    await ctx.record('attendance.staff-mark-undone', { subjectId: personId, gymId }, data);
  }
  return presenceOf(ctx, mark, worked(await standing(ctx, mark)), null);
}

/** Of one day, those taken back too. */
const MOST_MARKS = 100;

const standing = async (ctx: Context, of: OfDay) =>
  (await marksOf(ctx, of)).filter(({ undoneAt }) => undoneAt === null);

const marksOf = (ctx: Context, { gymId, personId, day }: OfDay): Promise<Row[]> =>
  ctx.tx
    .select()
    .from(staffMarks)
    .where(
      and(
        ours(ctx, staffMarks),
        eq(staffMarks.gymId, gymId),
        eq(staffMarks.personId, personId),
        eq(staffMarks.day, day),
      ),
    );

async function insertMark(ctx: Context, mark: OfDay & Pick<Row, 'id' | 'kind' | 'at' | 'conflict'>): Promise<void> {
  try {
    await ctx.tx.insert(staffMarks).values({
      franchiseId: ctx.franchiseId,
      ...mark,
      recordedAt: ctx.now,
      recordedBy: ctx.accountId,
    });
  } catch (error) {
    if (violates(error, 'unique')) throw refuse('already-exists', 'A mark has that id already.');
    throw error;
  }
}

/** The stays as the marks now have them, and which of the marks before do not fit. */
async function keep(ctx: Context, _lock: CoverLock, of: OfDay, before: readonly Row[], after: Worked): Promise<void> {
  const { franchiseId } = ctx;
  const { gymId, day, personId } = of;
  const theirs = and(
    ours(ctx, staffStays),
    eq(staffStays.gymId, gymId),
    eq(staffStays.day, day),
    eq(staffStays.personId, personId),
  );
  await ctx.tx.delete(staffStays).where(theirs);
  if (after.stays.length > 0) {
    await ctx.tx
      .insert(staffStays)
      .values(after.stays.map((stay, index) => ({ franchiseId, gymId, day, personId, position: index + 1, ...stay })));
  }
  for (const { id, conflict } of before) {
    const now = after.conflicts.get(id) ?? null;
    if (now === conflict) continue;
    await ctx.tx
      .update(staffMarks)
      .set({ conflict: now })
      .where(and(ours(ctx, staffMarks), eq(staffMarks.id, id)));
  }
}

async function presenceOf(
  ctx: Context,
  { personId }: OfDay,
  { state, stays }: Worked,
  staffMarkId: string | null,
): Promise<StaffPresence> {
  const { rows } = await ctx.tx.execute<{ given: string; family: string }>(sql`
    SELECT given, family FROM person_names WHERE franchise_id = ${ctx.franchiseId} AND person_id = ${personId}`);
  return {
    personId,
    given: rows[0]?.given ?? null,
    family: rows[0]?.family ?? null,
    state,
    stays: stays.map(({ kind, inAt, outAt }) => ({ kind, inAt: maybeInstant(inAt), outAt: maybeInstant(outAt) })),
    staffMarkId,
  };
}

interface Listed extends Record<string, unknown> {
  personId: string;
  given: string | null;
  family: string | null;
  sortFamily: string;
  sortGiven: string;
  stays: { kind: 'work' | 'break'; inAt: string | null; outAt: string | null }[];
}

/** Everybody employed at the gym on a day (today, when left out), with their comings and goings, by name. */
export async function listStaffPresence(
  ctx: Context,
  gymId: string,
  { day: asked, limit, cursor }: { day?: string | undefined; limit: number; cursor?: string | undefined },
) {
  const zone = await zoneOf(ctx, gymId);
  const day = asked ?? dayAt(zone, ctx.now);
  const after = readCursor(cursor, 3);
  const us = ctx.franchiseId;
  const keys = sql`lower(coalesce(n.family, '')), lower(coalesce(n.given, '')), p.person_id::text`;
  const { rows } = await ctx.tx.execute<Listed>(sql`
    SELECT p.person_id AS "personId", n.given, n.family, lower(coalesce(n.family, '')) AS "sortFamily",
      lower(coalesce(n.given, '')) AS "sortGiven",
      coalesce((SELECT json_agg(json_build_object('kind', y.kind, 'inAt', y.in_at, 'outAt', y.out_at) ORDER BY y.position)
        FROM staff_stays y WHERE y.franchise_id = ${us} AND y.gym_id = ${gymId} AND y.day = ${day}
          AND y.person_id = p.person_id), '[]') AS stays
    FROM (SELECT DISTINCT person_id FROM employments WHERE franchise_id = ${us} AND gym_id = ${gymId}
      AND from_day <= ${day} AND (until_day IS NULL OR until_day > ${day})) p
    LEFT JOIN person_names n ON n.franchise_id = ${us} AND n.person_id = p.person_id
    WHERE ${after === null ? sql`true` : sql`(${keys}) > (${after[0]}, ${after[1]}, ${after[2]})`}
    ORDER BY ${keys} LIMIT ${limit + 1}`);
  return pageOf(
    rows,
    limit,
    ({ personId, given, family, stays }): StaffPresence => {
      const open = (kind: 'work' | 'break') => stays.some((stay) => stay.kind === kind && stay.outAt === null);
      return {
        personId,
        given,
        family,
        state: open('break') ? 'on-break' : open('work') ? 'at-work' : 'away',
        stays: stays.map(({ kind, inAt, outAt }) => ({
          kind,
          inAt: inAt === null ? null : instantOf(new Date(inAt)),
          outAt: outAt === null ? null : instantOf(new Date(outAt)),
        })),
        staffMarkId: null,
      };
    },
    ({ sortFamily, sortGiven, personId }) => [sortFamily, sortGiven, personId],
  );
}
