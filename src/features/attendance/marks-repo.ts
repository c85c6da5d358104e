import { and, eq, sql } from 'drizzle-orm';
import type { CoverLock } from '../../enforcement/lock.ts';
import { grouped } from '../../enforcement/rows.ts';
import type { Context } from '../../platform/context.ts';
import { violates } from '../../platform/db/constraint.ts';
import { type Given, statement } from '../../platform/db/statement.ts';
import { ours } from '../../platform/db/tenant.ts';
import { together } from '../../platform/db/together.ts';
import { refuse } from '../../platform/problem.ts';
import { attendance, attendanceMarks, stays } from '../../tables/attendance.ts';
import { type Attended, attended } from './fold.ts';

type MarkRow = typeof attendanceMarks.$inferSelect;
export type AttendanceRow = typeof attendance.$inferSelect;

/** Something that somebody said of one athlete at one session. */
export interface NewMark extends Pick<MarkRow, 'id' | 'sessionId' | 'athleteId' | 'kind' | 'at'> {
  collectorId?: string | null;
  /** As what they come, taken over from the first mark only; and the group that they go with now. */
  as: { kind: AttendanceRow['kind']; groupId: string | null };
  /** Codes of what the desk was told; kept for marks that let somebody in or hold them. */
  findings?: string[];
}

/** Of one athlete at one session, those taken back too. */
export const MOST_MARKS = 100;

const NOT_FITTING = {
  'already-in': 'They were in already at that time.',
  'already-out': 'They had left already at that time.',
  'not-in': 'They had not come yet at that time.',
  'is-here': 'They were there at that time.',
} as const;

export interface Written {
  row: AttendanceRow;
  comesTo: Attended;
}

const keyOf = ({ sessionId, athleteId }: { sessionId: string; athleteId: string }) => `${sessionId} ${athleteId}`;

/**
 * Writes marks down and, of each athlete at each session, what they all come to now: its row, its stays, and which
 * marks do not fit. At most one mark for an athlete at a session. The lock holds the athletes and the sessions.
 *
 * @throws Problem `conflict` for a mark that does not fit, unless it `hasHappened` all the same; and for one too many.
 */
export async function writeMarks(
  ctx: Context,
  lock: CoverLock,
  gymId: string,
  marks: readonly NewMark[],
  hasHappened: boolean,
): Promise<Map<string, Written>> {
  if (marks.length === 0) return new Map();
  const said = await marksOf(ctx, marks);
  const known = (key: string) => said(key).filter(({ undoneAt }) => undoneAt === null);
  if (marks.some((mark) => said(keyOf(mark)).length >= MOST_MARKS)) {
    throw refuse('conflict', `There are ${MOST_MARKS} marks of that athlete at that session: no more are taken.`);
  }
  const comesTo = new Map(marks.map((mark) => [keyOf(mark), attended([...known(keyOf(mark)), mark])]));
  const conflictOf = (mark: NewMark) => comesTo.get(keyOf(mark))?.conflicts.get(mark.id) ?? null;
  for (const conflict of hasHappened ? [] : marks.map(conflictOf)) {
    if (conflict !== null) throw refuse('conflict', NOT_FITTING[conflict]);
  }
  const told = marks.map((mark) => ({ ...mark, conflict: conflictOf(mark) }));
  // In one go, and in this order: a mark belongs to its attendance.
  const [rows] = await together([
    upsertAttendance(ctx, lock, gymId, marks, comesTo),
    insertMarks(ctx, gymId, told),
    ...marks.map((mark) => keepConflicts(ctx, known(keyOf(mark)), comesTo.get(keyOf(mark)))),
    keepStays(ctx, lock, gymId, marks, comesTo),
  ]);
  return new Map(
    rows.map((row) => {
      const its = comesTo.get(keyOf(row));
      if (!its) throw new Error('an attendance was written of which nothing was marked');
      return [keyOf(row), { row, comesTo: its }];
    }),
  );
}

async function insertMarks(
  ctx: Context,
  gymId: string,
  marks: readonly (NewMark & Pick<MarkRow, 'conflict'>)[],
): Promise<void> {
  const rows = marks.map(({ as: _, findings: __, collectorId = null, ...mark }) => ({
    ...mark,
    franchiseId: ctx.franchiseId,
    gymId,
    collectorId,
    recordedAt: ctx.now,
    recordedBy: ctx.accountId,
  }));
  try {
    await ctx.tx.insert(attendanceMarks).values(rows);
  } catch (error) {
    if (violates(error, 'unique')) throw refuse('already-exists', 'A mark has that id already.');
    throw error;
  }
}

/** Takes a mark back; it is kept. Gives what the others come to. */
export async function undoMark(
  ctx: Context,
  lock: CoverLock,
  gymId: string,
  mark: Pick<MarkRow, 'id' | 'sessionId' | 'athleteId'>,
): Promise<Written> {
  await ctx.tx
    .update(attendanceMarks)
    .set({ undoneAt: ctx.now, undoneBy: ctx.accountId, conflict: null })
    .where(and(ours(ctx, attendanceMarks), eq(attendanceMarks.id, mark.id)));
  const left = (await marksOf(ctx, [mark]))(keyOf(mark)).filter(({ undoneAt }) => undoneAt === null);
  const its = attended(left);
  const [row] = await ctx.tx
    .update(attendance)
    .set({
      state: its.state,
      since: its.since ?? ctx.now,
      late: its.late,
      ...(its.state === 'present' || its.state === 'on-hold' ? {} : { findings: [] }),
      revision: sql`${attendance.revision} + 1`,
    })
    .where(
      and(ours(ctx, attendance), eq(attendance.sessionId, mark.sessionId), eq(attendance.athleteId, mark.athleteId)),
    )
    .returning();
  if (!row) throw new Error('a mark without its attendance');
  await keepConflicts(ctx, left, its);
  await keepStays(ctx, lock, gymId, [mark], new Map([[keyOf(mark), its]]));
  return { row, comesTo: its };
}

/** All that was said, undone or not. */
async function marksOf(ctx: Context, of: readonly { sessionId: string; athleteId: string }[]) {
  const rows = await selectMarks(ctx, {
    sessions: of.map(({ sessionId }) => sessionId),
    athletes: of.map(({ athleteId }) => athleteId),
  });
  return grouped(rows, keyOf);
}

const selectMarks = statement((tx, given: Given<{ sessions: string[]; athletes: string[] }>) =>
  tx
    .select()
    .from(attendanceMarks)
    .where(
      and(
        ours(given, attendanceMarks),
        sql`(${attendanceMarks.sessionId}, ${attendanceMarks.athleteId}) IN (
          SELECT * FROM unnest(${given('sessions')}::uuid[], ${given('athletes')}::uuid[]))`,
      ),
    ),
);

async function upsertAttendance(
  ctx: Context,
  _lock: CoverLock,
  gymId: string,
  marks: readonly NewMark[],
  comesTo: ReadonlyMap<string, Attended>,
): Promise<AttendanceRow[]> {
  const told = (mark: NewMark) => ['in', 'hold', 'release'].includes(mark.kind);
  return ctx.tx
    .insert(attendance)
    .values(
      marks.map((mark) => {
        const its = comesTo.get(keyOf(mark));
        return {
          franchiseId: ctx.franchiseId,
          gymId,
          sessionId: mark.sessionId,
          athleteId: mark.athleteId,
          kind: mark.as.kind,
          groupId: mark.as.groupId,
          state: its?.state ?? 'expected',
          since: its?.since ?? ctx.now,
          late: its?.late ?? false,
          findings: told(mark) ? (mark.findings ?? []) : [],
          createdAt: ctx.now,
        };
      }),
    )
    .onConflictDoUpdate({
      target: [attendance.franchiseId, attendance.sessionId, attendance.athleteId],
      set: {
        state: sql`excluded.state`,
        since: sql`excluded.since`,
        late: sql`excluded.late`,
        findings: sql`CASE WHEN excluded.state IN ('present', 'on-hold') AND excluded.findings = '{}'
          THEN ${attendance.findings} ELSE excluded.findings END`,
        groupId: sql`coalesce(excluded.group_id, ${attendance.groupId})`,
        revision: sql`${attendance.revision} + 1`,
      },
    })
    .returning();
}

/** Which of the marks before fit is told anew: one that came late may explain another. */
async function keepConflicts(ctx: Context, before: readonly MarkRow[], its: Attended | undefined): Promise<void> {
  for (const { id, conflict } of before) {
    const now = its?.conflicts.get(id) ?? null;
    if (now === conflict) continue;
    await ctx.tx
      .update(attendanceMarks)
      .set({ conflict: now })
      .where(and(ours(ctx, attendanceMarks), eq(attendanceMarks.id, id)));
  }
}

async function keepStays(
  ctx: Context,
  _lock: CoverLock,
  gymId: string,
  of: readonly { sessionId: string; athleteId: string }[],
  comesTo: ReadonlyMap<string, Attended>,
): Promise<void> {
  const rows = of.flatMap(({ sessionId, athleteId }) =>
    (comesTo.get(keyOf({ sessionId, athleteId }))?.stays ?? []).map((stay, index) => ({
      franchiseId: ctx.franchiseId,
      sessionId,
      athleteId,
      gymId,
      position: index + 1,
      ...stay,
    })),
  );
  const counts = of.map((one) => comesTo.get(keyOf(one))?.stays.length ?? 0);
  const upsert =
    rows.length > 0 &&
    ctx.tx
      .insert(stays)
      .values(rows)
      .onConflictDoUpdate({
        target: [stays.franchiseId, stays.sessionId, stays.athleteId, stays.position],
        set: { inAt: sql`excluded.in_at`, outAt: sql`excluded.out_at` },
      });
  const deleteOthers = ctx.tx.execute(sql`DELETE FROM stays s USING unnest(
      ${sql.param(of.map(({ sessionId }) => sessionId))}::uuid[],
      ${sql.param(of.map(({ athleteId }) => athleteId))}::uuid[],
      ${sql.param(counts)}::int[]) AS left_of (session_id, athlete_id, stays)
    WHERE s.franchise_id = ${ctx.franchiseId} AND s.session_id = left_of.session_id
      AND s.athlete_id = left_of.athlete_id AND s.position > left_of.stays`);
  await together([upsert, deleteOthers]);
}

export async function findMark(ctx: Context, gymId: string, markId: string): Promise<MarkRow | null> {
  const [row] = await ctx.tx
    .select()
    .from(attendanceMarks)
    .where(and(ours(ctx, attendanceMarks), eq(attendanceMarks.gymId, gymId), eq(attendanceMarks.id, markId)));
  return row ?? null;
}
