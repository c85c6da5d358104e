import { and, eq, isNull } from 'drizzle-orm';
import {
  admissible,
  localDay,
  missingWith,
  type Names,
  type Place,
  sentence,
  substitutes,
  textsIn,
} from '../../cover/index.ts';
import { describeRefusals } from '../../enforcement/describe.ts';
import { type GymFloor, loadFloor } from '../../enforcement/load-floor.ts';
import { placeOf } from '../../enforcement/load-staff.ts';
import type { CoverLock } from '../../enforcement/lock.ts';
import { loadNames } from '../../enforcement/names.ts';
import type { Settled } from '../../enforcement/settle.ts';
import { belongsToGym } from '../../platform/auth/permissions.ts';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { assignments } from '../../tables/staffing.ts';
import { insert } from './place.ts';
import * as repo from './repo.ts';
import type { Assignment, PlaceLeft, TakenSubstitute } from './schema.ts';

export interface ChosenSubstitute {
  assignmentId: string;
  personId: string;
}

/**
 * Lets the substitutes chosen with an absence take the places that it releases. One who may not, or is not enough, is
 * left out and the answer says why; the absence stands. Runs before the absence is settled, so that a block that has its
 * substitute keeps its confirmation.
 */
export async function takeSubstitutes(
  ctx: Context,
  lock: CoverLock,
  gymId: string,
  absence: { id: string; personId: string; startsAt: Date; endsAt: Date },
  chosen: readonly ChosenSubstitute[],
): Promise<TakenSubstitute[]> {
  const taken: TakenSubstitute[] = [];
  for (const one of chosen) {
    const result = await takeOne(ctx, lock, gymId, absence, one);
    const isTaken = typeof result !== 'string';
    taken.push({ ...one, assignment: isTaken ? result : null, why: isTaken ? null : result });
  }
  return taken;
}

/** The place that was taken, or why not. */
async function takeOne(
  ctx: Context,
  lock: CoverLock,
  gymId: string,
  absence: { id: string; personId: string; startsAt: Date; endsAt: Date },
  { assignmentId, personId }: ChosenSubstitute,
): Promise<Assignment | string> {
  const { substitutes: say } = textsIn(ctx.language);
  if (!lock.people.includes(personId)) return say.notOnStaff;
  const left = await repo.findAssignment(ctx, gymId, assignmentId);
  if (left === null || !isReleasedBy(left, absence, ctx.now)) return say.notReleased;
  const here = await loadFloor(ctx, { gymId, day: left.day }, [personId]);
  const place = placeOf({ ...left, unitId: left.blockId ?? left.sessionId ?? left.gymId });
  const floor = withoutPlace(here, absence.personId, place);
  const names = await loadNames(ctx, here);
  const refusals = admissible(floor, personId, place);
  if (refusals.length > 0) {
    return describeRefusals(names, { personId, refusals })
      .map((refusal) => refusal.sentence)
      .join(' ')
      .slice(0, 2000);
  }
  const [missing] = missingWith(floor, personId, place);
  if (missing) return sentence(missing, names);

  await releaseFor(ctx, lock, assignmentId, absence.id);
  const { unit, duty, span } = place;
  await ctx.record(
    'staffing.released',
    { subjectId: assignmentId, gymId },
    { personId: absence.personId, duty, unit, why: 'absent' },
  );
  const row = await insert(ctx, lock, personId, duty, { unit, gymId, day: left.day, span }, assignmentId);
  return repo.assignmentOnWire(row);
}

type Row = typeof assignments.$inferSelect;

const isReleasedBy = (left: Row, absence: { personId: string; startsAt: Date; endsAt: Date }, now: Date): boolean =>
  left.personId === absence.personId &&
  left.releasedAt === null &&
  left.endsAt > now &&
  left.startsAt < absence.endsAt &&
  left.endsAt > absence.startsAt;

const withoutPlace = ({ floor }: GymFloor, personId: string, { unit, span }: Place) => ({
  ...floor,
  staff: floor.staff.map((one) =>
    one.person === personId
      ? { ...one, at: one.at.filter((place) => place.unit.id !== unit.id || place.span.from !== span.from) }
      : one,
  ),
});

async function releaseFor(ctx: Context, _lock: CoverLock, assignmentId: string, absenceId: string): Promise<void> {
  await ctx.tx
    .update(assignments)
    .set({
      releasedAt: ctx.now,
      releasedBy: ctx.accountId,
      releasedWhy: 'absent',
      releasedByAbsenceId: absenceId,
    })
    .where(and(ours(ctx, assignments), eq(assignments.id, assignmentId), isNull(assignments.releasedAt)));
}

/** Places for which substitutes are looked for at once: those of a day, and a little more. */
const MOST_PLACES = 24;
const MOST_SUBSTITUTES = 8;

/**
 * The places that an absence released at gyms that the caller belongs to, each with those who could take it, best first.
 * Of a longer absence the first places; the others are in `settled`.
 */
export async function placesLeft(ctx: Context, absenceId: string, { released }: Settled): Promise<PlaceLeft[]> {
  const named = new Map<GymFloor['floor'], Names>();
  const left: PlaceLeft[] = [];
  for (const { assignmentId, at, place } of released) {
    if (left.length >= MOST_PLACES) break;
    if (!belongsToGym(ctx.roles, at.gymId)) continue;
    const names = named.get(at.floor) ?? (await loadNames(ctx, at));
    named.set(at.floor, names);
    left.push(placeLeft(at, names, absenceId, assignmentId, place));
  }
  return left;
}

function placeLeft(at: GymFloor, names: Names, absenceId: string, assignmentId: string, place: Place): PlaceLeft {
  const { unit, duty, span } = place;
  return {
    assignmentId,
    gymId: at.gymId,
    unit,
    name: names.unit(unit),
    duty,
    day: localDay(at.floor.zone, span.from),
    startsAt: new Date(span.from).toISOString(),
    endsAt: new Date(span.to).toISOString(),
    substitutes: substitutes(at.floor, place)
      .slice(0, MOST_SUBSTITUTES)
      .map(({ person, isEnough, isThere }) => ({
        personId: person,
        name: names.person(person),
        isEnough,
        isThere,
        request: {
          method: 'POST' as const,
          path: `/v1/gyms/${at.gymId}/absences/${absenceId}/replacements`,
          body: { assignmentId, personId: person },
        },
      })),
  };
}
