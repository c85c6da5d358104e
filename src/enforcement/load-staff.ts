import type { Place, Span, Staff } from '../cover/index.ts';
import type { Context } from '../platform/context.ts';
import type * as t from '../tables/index.ts';
import { endedLater, type Past } from './as-of.ts';
import type { GymDay } from './lock.ts';
import { grouped, spanOf } from './rows.ts';
import {
  selectAbsences,
  selectChildren,
  selectElsewhere,
  selectEmployedOn,
  selectEmployments,
  selectPlaces,
  selectQualifications,
  selectSignOffs,
  selectStaff,
  selectTakingPart,
} from './staff-statements.ts';

type Held = Awaited<ReturnType<typeof selectPlaces>>[number];

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
export const placeOf = (row: Omit<Held, 'personId' | 'releasedAt'>): Place => ({
  unit: { per: row.per, id: row.unitId },
  duty: row.duty,
  span: spanOf(row),
});

/** A place until it was given up, as far as that was known. */
function heldOf(row: Held, { knownAt }: Past): Place {
  const { releasedAt } = row;
  const isUp = releasedAt !== null && releasedAt < row.endsAt && (knownAt === null || releasedAt <= knownAt);
  return placeOf(isUp ? { ...row, endsAt: releasedAt } : row);
}

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
