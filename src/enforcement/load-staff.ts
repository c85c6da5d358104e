import { and, eq, getTableColumns, gt, isNull, lt, or, sql } from 'drizzle-orm';
import type { Place, Span, Staff, Unit } from '../cover/index.ts';
import type { Context } from '../platform/context.ts';
import { ours } from '../platform/db/tenant.ts';
import * as t from '../tables/index.ts';
import { endedLater, isKnown, isStanding, type Past, stands } from './as-of.ts';
import type { GymDay } from './lock.ts';
import { grouped, isOneOf, onDay, spanOf } from './rows.ts';

/** Whoever is placed at a gym on a day, with their places, and whoever is employed there. */
export interface There {
  placed: (typeof t.assignments.$inferSelect)[];
  employed: string[];
}

/** Places are those held now, or those that stood at a moment gone by. */
export async function loadThere(ctx: Context, { gymId, day }: GymDay, past: Past | undefined): Promise<There> {
  const [placed, employed] = await Promise.all([
    ctx.tx
      .select()
      .from(t.assignments)
      .where(
        and(
          ours(ctx, t.assignments),
          eq(t.assignments.gymId, gymId),
          eq(t.assignments.day, day),
          past ? wasHeld(past) : isNull(t.assignments.releasedAt),
        ),
      )
      .orderBy(t.assignments.startsAt, t.assignments.id),
    ctx.tx
      .select({ id: t.employments.personId })
      .from(t.employments)
      .where(and(ours(ctx, t.employments), eq(t.employments.gymId, gymId), onDay(t.employments, day))),
  ]);
  return { placed, employed: employed.map(({ id }) => id) };
}

interface Whom {
  /** The local day, and how long a way between two gyms takes. */
  over: Span;
  travelMs: number;
  /** To be read as well, whether they are there or not. */
  others: readonly string[];
  past: Past | undefined;
}

/** Whoever is there, and whoever is named, with all that cover and admission ask of them. */
export async function loadStaff(
  ctx: Context,
  { gymId }: GymDay,
  { placed, employed }: There,
  { over, travelMs, others, past }: Whom,
): Promise<Staff[]> {
  const people = [...new Set([...placed.map(({ personId }) => personId), ...employed, ...others])].sort();
  const near = { from: new Date(over.from - travelMs), to: new Date(over.to + travelMs) };
  const [isLater, staff, employments, qualifications, signOffs, elsewhere, absences, children, takingPart] =
    await Promise.all([
      endedLater(ctx, past),
      ctx.tx
        .select({ personId: t.staffMembers.personId, born: t.staffMembers.born })
        .from(t.staffMembers)
        .where(and(ours(ctx, t.staffMembers), isOneOf(t.staffMembers.personId, people)))
        .orderBy(t.staffMembers.personId),
      ctx.tx
        .select({
          id: t.employments.id,
          personId: t.employments.personId,
          from: t.employments.from,
          to: t.employments.until,
        })
        .from(t.employments)
        .where(and(ours(ctx, t.employments), eq(t.employments.gymId, gymId), isOneOf(t.employments.personId, people)))
        .orderBy(t.employments.from),
      ctx.tx
        .select({ ...getTableColumns(t.qualifications), kindUntil: t.qualificationKinds.until })
        .from(t.qualifications)
        .innerJoin(
          t.qualificationKinds,
          and(ours(ctx, t.qualificationKinds), eq(t.qualificationKinds.id, t.qualifications.kindId)),
        )
        .where(
          and(
            ours(ctx, t.qualifications),
            isOneOf(t.qualifications.personId, people),
            isKnown(t.qualifications.createdAt, past),
          ),
        )
        .orderBy(t.qualifications.id),
      ctx.tx
        .select()
        .from(t.signOffs)
        .where(and(ours(ctx, t.signOffs), isOneOf(t.signOffs.personId, people), isKnown(t.signOffs.createdAt, past)))
        .orderBy(t.signOffs.id),
      ctx.tx
        .select({
          personId: t.assignments.personId,
          startsAt: t.assignments.startsAt,
          endsAt: t.assignments.endsAt,
        })
        .from(t.assignments)
        .where(
          and(
            ours(ctx, t.assignments),
            isOneOf(t.assignments.personId, people),
            isNull(t.assignments.releasedAt),
            sql`${t.assignments.gymId} <> ${gymId}`,
            lt(t.assignments.startsAt, near.to),
            gt(t.assignments.endsAt, near.from),
          ),
        )
        .orderBy(t.assignments.startsAt),
      ctx.tx
        .select({ personId: t.absences.personId, startsAt: t.absences.startsAt, endsAt: t.absences.endsAt })
        .from(t.absences)
        .where(
          and(
            ours(ctx, t.absences),
            isOneOf(t.absences.personId, people),
            stands(t.absences.createdAt, t.absences.withdrawnAt, past),
            lt(t.absences.startsAt, near.to),
            gt(t.absences.endsAt, near.from),
          ),
        )
        .orderBy(t.absences.startsAt),
      ctx.tx
        .select({ guardianId: t.guardianships.guardianId, athleteId: t.guardianships.athleteId })
        .from(t.guardianships)
        .where(and(ours(ctx, t.guardianships), isOneOf(t.guardianships.guardianId, people)))
        .orderBy(t.guardianships.athleteId),
      ctx.tx
        .select({
          personId: t.groupMembers.athleteId,
          gymId: t.sessions.gymId,
          startsAt: t.groupMembers.startsAt,
          endsAt: t.groupMembers.endsAt,
        })
        .from(t.groupMembers)
        .innerJoin(t.sessions, and(ours(ctx, t.sessions), eq(t.sessions.id, t.groupMembers.sessionId)))
        .where(
          and(
            ours(ctx, t.groupMembers),
            isOneOf(t.groupMembers.athleteId, people),
            isNull(t.groupMembers.releasedAt),
            isNull(t.sessions.cancelledAt),
            lt(t.groupMembers.startsAt, near.to),
            gt(t.groupMembers.endsAt, near.from),
          ),
        )
        .orderBy(t.groupMembers.startsAt),
    ]);

  const byPerson = <Row extends { personId: string }>(rows: readonly Row[]) => grouped(rows, (row) => row.personId);
  const [placesOf, employmentsOf, qualificationsOf] = [
    byPerson(placed),
    byPerson(employments),
    byPerson(qualifications),
  ];
  const [signOffsOf, elsewhereOf, absencesOf] = [byPerson(signOffs), byPerson(elsewhere), byPerson(absences)];
  const [takingPartOf, childrenOf] = [byPerson(takingPart), grouped(children, ({ guardianId }) => guardianId)];
  return staff.map(({ personId, born }) => ({
    person: personId,
    born,
    takingPart: takingPartOf(personId)
      .filter((row) => row.gymId === gymId)
      .map(spanOf),
    ownChildren: childrenOf(personId).map(({ athleteId }) => athleteId),
    employed: employmentsOf(personId).map(({ id, from, to }) => ({ from, to: isLater.has(id) ? null : to })),
    elsewhere: [...elsewhereOf(personId), ...takingPartOf(personId).filter((row) => row.gymId !== gymId)].map((row) => {
      const { from, to } = spanOf(row);
      return { from: from - travelMs, to: to + travelMs };
    }),
    absent: absencesOf(personId).map(spanOf),
    at: placesOf(personId).map((row) => (past ? heldOf(row, past) : placeOf(row))),
    holds: qualificationsOf(personId).flatMap((row) =>
      holdingOf(isLater.has(row.id) ? { ...row, revokedFrom: null } : row),
    ),
    signedOff: signOffsOf(personId).map(({ id, skillId, level, from, until }) => ({
      skill: skillId,
      level,
      from,
      to: isLater.has(id) ? null : until,
    })),
  }));
}

/** An assignment, as the engine sees it. */
export function placeOf(row: typeof t.assignments.$inferSelect): Place {
  return { unit: unitOf(row), duty: row.duty, span: spanOf(row) };
}

/** Places that somebody had in the course of a day that was: given up before they began are none. */
const wasHeld = (past: Past) =>
  and(
    isKnown(t.assignments.createdAt, past),
    or(isStanding(t.assignments.releasedAt, past), sql`assignments.released_at > assignments.starts_at`),
  );

/** A place until it was given up, as far as that was known. */
function heldOf(row: typeof t.assignments.$inferSelect, { knownAt }: Past): Place {
  const { releasedAt } = row;
  const isUp = releasedAt !== null && releasedAt < row.endsAt && (knownAt === null || releasedAt <= knownAt);
  return placeOf(isUp ? { ...row, endsAt: releasedAt } : row);
}

const unitOf = (row: typeof t.assignments.$inferSelect): Unit => ({
  per: row.per,
  id: row.blockId ?? row.sessionId ?? row.gymId,
});

/** A qualification held until it, or its kind, ends, or it is revoked, whichever comes first; none that was revoked from its first day. */
export function holdingOf(row: typeof t.qualifications.$inferSelect & { kindUntil: string | null }): Staff['holds'] {
  const ends = [row.until, row.revokedFrom, row.kindUntil].filter((day) => day !== null).sort();
  const to = ends[0] ?? null;
  if (to !== null && to <= row.from) return [];
  return [{ kind: row.kindId, grade: row.grade, from: row.from, to }];
}
