import { gymsFor, type Permission } from '../../platform/auth/permissions.ts';
import type { Context } from '../../platform/context.ts';
import { type Cursor, pageOf, readIdCursor } from '../../platform/http/paging.ts';
import { found, invalid } from '../../platform/problem.ts';
import { getTerm } from '../curriculum/terms-repo.ts';
import { placeOf } from './term-place.ts';
import type { NewTermPlace, PlacesQuery, TermPlace } from './term-place-schema.ts';
import { forgetWeeks, insertPlace, type PlaceRow, plansOfWeeks, selectPlaces } from './term-places-repo.ts';

/** How far each class of the term's programme is, at the gyms whose schedule the caller reads. */
export async function listPlaces(ctx: Context, termId: string, { on, limit, cursor }: PlacesQuery) {
  await getTerm(ctx, termId);
  const gymIds = gymsFor(ctx.roles, 'schedule.read');
  const rows = await selectPlaces(ctx, { termId, gymIds, on, after: readIdCursor(cursor), limit: limit + 1 });
  const shown = await withPlans(ctx, termId, rows);
  return pageOf(
    shown,
    limit,
    (place) => place,
    ({ classId }): Cursor => [classId],
  );
}

/** How far one class is; null where it is not of the term's programme, is over, or is at no gym where the caller may. */
export async function findPlace(
  ctx: Context,
  termId: string,
  classId: string,
  on?: string,
  permission: Permission = 'schedule.read',
): Promise<TermPlace | null> {
  const gymIds = gymsFor(ctx.roles, permission);
  const rows = await selectPlaces(ctx, { termId, gymIds, classId, on, limit: 1 });
  const [place] = await withPlans(ctx, termId, rows);
  return place ?? null;
}

/** The same; refuses as not found where there is none. */
export const getPlace = async (ctx: Context, termId: string, classId: string, on?: string): Promise<TermPlace> =>
  found(await findPlace(ctx, termId, classId, on), 'class in that term');

/** Puts a class at a week of a term from a day on, and says why; it goes on from there. */
export async function setPlace(ctx: Context, termId: string, classId: string, place: NewTermPlace): Promise<TermPlace> {
  const known = await findPlace(ctx, termId, classId, place.fromDay, 'curriculum.write');
  const { gymId } = found(known, 'class in that term');
  const { weeks, startsOn } = await getTerm(ctx, termId);
  if (place.fromDay < startsOn) throw invalid('/fromDay', `The term begins on ${startsOn}.`);
  if (place.week > weeks.length) throw invalid('/week', `The term has ${weeks.length} weeks.`);
  await insertPlace(ctx, termId, classId, place);
  await forgetWeeks(ctx, termId, classId, place.fromDay);
  const { fromDay, week } = place;
  await ctx.record('schedule.term-place-set', { subjectId: classId, gymId }, { termId, classId, fromDay, week });
  return getPlace(ctx, termId, classId, fromDay);
}

async function withPlans(ctx: Context, termId: string, rows: readonly PlaceRow[]): Promise<TermPlace[]> {
  const placed = rows.map((row) => ({ row, ...placeOf({ ...row, held: row.heldSince }) }));
  const plans = await plansOfWeeks(
    ctx,
    termId,
    placed.flatMap(({ week }) => week ?? []),
  );
  return placed.map(({ row, week, due, weeksBehind }) => ({
    termId,
    classId: row.classId,
    className: row.className,
    gymId: row.gymId,
    weekday: row.weekday,
    on: row.on,
    week,
    planId: week === null ? null : (plans.get(week) ?? null),
    held: row.held,
    due,
    weeksBehind,
    setByHand: setByHand(row),
  }));
}

function setByHand({ placeWeek, fromDay, reason, setAt }: PlaceRow): TermPlace['setByHand'] {
  if (placeWeek === null || fromDay === null || reason === null || setAt === null) return null;
  return { week: placeWeek, fromDay, reason, setAt: new Date(setAt).toISOString() };
}
