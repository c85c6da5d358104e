import { and, eq, gt, isNull, lt, ne, or, sql } from 'drizzle-orm';
import type { PgColumn } from 'drizzle-orm/pg-core';
import type { Place, Span, Staff, Unit } from '../cover/index.ts';
import type { Context } from '../platform/context.ts';
import { type Given, statement } from '../platform/db/statement.ts';
import { ours } from '../platform/db/tenant.ts';
import * as t from '../tables/index.ts';
import { endedLater, type GivenPast, isKnown, isStanding, type Past, reading, stands } from './as-of.ts';
import type { GymDay } from './lock.ts';
import { grouped, isOneOf, onDay, spanOf } from './rows.ts';

type Held = Pick<
  typeof t.assignments.$inferSelect,
  'personId' | 'per' | 'gymId' | 'sessionId' | 'blockId' | 'duty' | 'startsAt' | 'endsAt' | 'releasedAt'
>;

/** Whoever is placed at a gym on a day, with their places, and whoever is employed there. */
export interface There {
  placed: Held[];
  employed: string[];
}

/** Places are those held now, or those that stood at a moment gone by. */
export async function loadThere(ctx: Context, { gymId, day }: GymDay, past: Past | undefined): Promise<There> {
  const [placed, employed] = await Promise.all([
    selectPlaces(ctx, { gymId, day }, past),
    selectEmployedOn(ctx, { gymId, day }),
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
  const near = { people, after: new Date(over.from - travelMs), before: new Date(over.to + travelMs) };
  const [isLater, staff, employments, qualifications, signOffs, elsewhere, absences, children, takingPart] =
    await Promise.all([
      endedLater(ctx, past),
      selectStaff(ctx, { people }),
      selectEmployments(ctx, { people, gymId }),
      selectQualifications(ctx, { people }, past),
      selectSignOffs(ctx, { people }, past),
      selectElsewhere(ctx, { ...near, gymId }),
      selectAbsences(ctx, near, past),
      selectChildren(ctx, { people }),
      selectTakingPart(ctx, near),
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
export function placeOf(row: Held): Place {
  return { unit: unitOf(row), duty: row.duty, span: spanOf(row) };
}

/** A place until it was given up, as far as that was known. */
function heldOf(row: Held, { knownAt }: Past): Place {
  const { releasedAt } = row;
  const isUp = releasedAt !== null && releasedAt < row.endsAt && (knownAt === null || releasedAt <= knownAt);
  return placeOf(isUp ? { ...row, endsAt: releasedAt } : row);
}

const unitOf = (row: Held): Unit => ({
  per: row.per,
  id: row.blockId ?? row.sessionId ?? row.gymId,
});

type Qualification = Pick<
  typeof t.qualifications.$inferSelect,
  'kindId' | 'grade' | 'from' | 'until' | 'revokedFrom'
> & {
  kindUntil: string | null;
};

/** A qualification held until it, or its kind, ends, or it is revoked, whichever comes first; none that was revoked from its first day. */
export function holdingOf(row: Qualification): Staff['holds'] {
  const ends = [row.until, row.revokedFrom, row.kindUntil].filter((day) => day !== null).sort();
  const to = ends[0] ?? null;
  if (to !== null && to <= row.from) return [];
  return [{ kind: row.kindId, grade: row.grade, from: row.from, to }];
}

type OfPeople = { people: string[] };
type Near = OfPeople & { after: Date; before: Date };

const selectPlaces = reading((tx, given: Given<{ gymId: string; day: string }>, past) =>
  tx
    .select({
      personId: t.assignments.personId,
      per: t.assignments.per,
      gymId: t.assignments.gymId,
      sessionId: t.assignments.sessionId,
      blockId: t.assignments.blockId,
      duty: t.assignments.duty,
      startsAt: t.assignments.startsAt,
      endsAt: t.assignments.endsAt,
      releasedAt: t.assignments.releasedAt,
    })
    .from(t.assignments)
    .where(
      and(
        ours(given, t.assignments),
        eq(t.assignments.gymId, given('gymId')),
        eq(t.assignments.day, given('day')),
        past ? wasHeld(past) : isNull(t.assignments.releasedAt),
      ),
    )
    .orderBy(t.assignments.startsAt, t.assignments.id),
);

/** Places that somebody had in the course of a day that was: given up before they began are none. */
const wasHeld = (past: GivenPast) =>
  and(
    isKnown(t.assignments.createdAt, past),
    or(isStanding(t.assignments.releasedAt, past), sql`assignments.released_at > assignments.starts_at`),
  );

const selectEmployedOn = statement((tx, given: Given<{ gymId: string; day: string }>) =>
  tx
    .select({ id: t.employments.personId })
    .from(t.employments)
    .where(
      and(ours(given, t.employments), eq(t.employments.gymId, given('gymId')), onDay(t.employments, given('day'))),
    ),
);

const selectStaff = statement((tx, given: Given<OfPeople>) =>
  tx
    .select({ personId: t.staffMembers.personId, born: t.staffMembers.born })
    .from(t.staffMembers)
    .where(and(ours(given, t.staffMembers), isOneOf(t.staffMembers.personId, given('people'))))
    .orderBy(t.staffMembers.personId),
);

const selectEmployments = statement((tx, given: Given<OfPeople & { gymId: string }>) =>
  tx
    .select({
      id: t.employments.id,
      personId: t.employments.personId,
      from: t.employments.from,
      to: t.employments.until,
    })
    .from(t.employments)
    .where(
      and(
        ours(given, t.employments),
        eq(t.employments.gymId, given('gymId')),
        isOneOf(t.employments.personId, given('people')),
      ),
    )
    .orderBy(t.employments.from),
);

const selectQualifications = reading((tx, given: Given<OfPeople>, past) =>
  tx
    .select({
      id: t.qualifications.id,
      personId: t.qualifications.personId,
      kindId: t.qualifications.kindId,
      grade: t.qualifications.grade,
      from: t.qualifications.from,
      until: t.qualifications.until,
      revokedFrom: t.qualifications.revokedFrom,
      kindUntil: t.qualificationKinds.until,
    })
    .from(t.qualifications)
    .innerJoin(
      t.qualificationKinds,
      and(ours(given, t.qualificationKinds), eq(t.qualificationKinds.id, t.qualifications.kindId)),
    )
    .where(
      and(
        ours(given, t.qualifications),
        isOneOf(t.qualifications.personId, given('people')),
        isKnown(t.qualifications.createdAt, past),
      ),
    )
    .orderBy(t.qualifications.id),
);

const selectSignOffs = reading((tx, given: Given<OfPeople>, past) =>
  tx
    .select({
      id: t.signOffs.id,
      personId: t.signOffs.personId,
      skillId: t.signOffs.skillId,
      level: t.signOffs.level,
      from: t.signOffs.from,
      until: t.signOffs.until,
    })
    .from(t.signOffs)
    .where(
      and(ours(given, t.signOffs), isOneOf(t.signOffs.personId, given('people')), isKnown(t.signOffs.createdAt, past)),
    )
    .orderBy(t.signOffs.id),
);

/** Meets the time from `after` to `before`. */
const isNear = (given: Given<Near>, table: { startsAt: PgColumn; endsAt: PgColumn }) =>
  and(lt(table.startsAt, given('before')), gt(table.endsAt, given('after')));

const selectElsewhere = statement((tx, given: Given<Near & { gymId: string }>) =>
  tx
    .select({ personId: t.assignments.personId, startsAt: t.assignments.startsAt, endsAt: t.assignments.endsAt })
    .from(t.assignments)
    .where(
      and(
        ours(given, t.assignments),
        isOneOf(t.assignments.personId, given('people')),
        isNull(t.assignments.releasedAt),
        ne(t.assignments.gymId, given('gymId')),
        isNear(given, t.assignments),
      ),
    )
    .orderBy(t.assignments.startsAt),
);

const selectAbsences = reading((tx, given: Given<Near>, past) =>
  tx
    .select({ personId: t.absences.personId, startsAt: t.absences.startsAt, endsAt: t.absences.endsAt })
    .from(t.absences)
    .where(
      and(
        ours(given, t.absences),
        isOneOf(t.absences.personId, given('people')),
        stands(t.absences.createdAt, t.absences.withdrawnAt, past),
        isNear(given, t.absences),
      ),
    )
    .orderBy(t.absences.startsAt),
);

const selectChildren = statement((tx, given: Given<OfPeople>) =>
  tx
    .select({ guardianId: t.guardianships.guardianId, athleteId: t.guardianships.athleteId })
    .from(t.guardianships)
    .where(and(ours(given, t.guardianships), isOneOf(t.guardianships.guardianId, given('people'))))
    .orderBy(t.guardianships.athleteId),
);

const selectTakingPart = statement((tx, given: Given<Near>) =>
  tx
    .select({
      personId: t.groupMembers.athleteId,
      gymId: t.sessions.gymId,
      startsAt: t.groupMembers.startsAt,
      endsAt: t.groupMembers.endsAt,
    })
    .from(t.groupMembers)
    .innerJoin(t.sessions, and(ours(given, t.sessions), eq(t.sessions.id, t.groupMembers.sessionId)))
    .where(
      and(
        ours(given, t.groupMembers),
        isOneOf(t.groupMembers.athleteId, given('people')),
        isNull(t.groupMembers.releasedAt),
        isNull(t.sessions.cancelledAt),
        isNear(given, t.groupMembers),
      ),
    )
    .orderBy(t.groupMembers.startsAt),
);
