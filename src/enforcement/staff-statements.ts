import { and, eq, gt, isNull, lt, ne, or, sql } from 'drizzle-orm';
import type { PgColumn } from 'drizzle-orm/pg-core';
import { type Given, statement } from '../platform/db/statement.ts';
import { ours } from '../platform/db/tenant.ts';
import * as t from '../tables/index.ts';
import { type GivenPast, isKnown, isStanding, reading, stands } from './as-of.ts';
import { isOneOf, onDay } from './rows.ts';

// What `loadStaff` reads.

type OfPeople = { people: string[] };
type Near = OfPeople & { after: Date; before: Date };

export const selectPlaces = reading((tx, given: Given<{ gymId: string; day: string }>, past) =>
  tx
    .select({
      personId: t.assignments.personId,
      per: t.assignments.per,
      unitId: sql<string>`coalesce(${t.assignments.blockId}, ${t.assignments.sessionId}, ${t.assignments.gymId})`,
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

export const selectEmployedOn = statement((tx, given: Given<{ gymId: string; day: string }>) =>
  tx
    .select({ id: t.employments.personId })
    .from(t.employments)
    .where(
      and(ours(given, t.employments), eq(t.employments.gymId, given('gymId')), onDay(t.employments, given('day'))),
    ),
);

export const selectStaff = statement((tx, given: Given<OfPeople>) =>
  tx
    .select({ personId: t.staffMembers.personId, born: t.staffMembers.born })
    .from(t.staffMembers)
    .where(and(ours(given, t.staffMembers), isOneOf(t.staffMembers.personId, given('people'))))
    .orderBy(t.staffMembers.personId),
);

export const selectEmployments = statement((tx, given: Given<OfPeople & { gymId: string }>) =>
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

export const selectQualifications = reading((tx, given: Given<OfPeople>, past) =>
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

export const selectSignOffs = reading((tx, given: Given<OfPeople>, past) =>
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

export const selectElsewhere = statement((tx, given: Given<Near & { gymId: string }>) =>
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

export const selectAbsences = reading((tx, given: Given<Near>, past) =>
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

export const selectChildren = statement((tx, given: Given<OfPeople>) =>
  tx
    .select({ guardianId: t.guardianships.guardianId, athleteId: t.guardianships.athleteId })
    .from(t.guardianships)
    .where(and(ours(given, t.guardianships), isOneOf(t.guardianships.guardianId, given('people'))))
    .orderBy(t.guardianships.athleteId),
);

export const selectTakingPart = statement((tx, given: Given<Near>) =>
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
