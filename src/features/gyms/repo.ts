import { and, asc, eq, gt, inArray, type SQL, sql } from 'drizzle-orm';
import type { CoverLock } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { violates } from '../../platform/db/constraint.ts';
import { ours } from '../../platform/db/tenant.ts';
import { type Paging, pageOf, readIdCursor } from '../../platform/http/paging.ts';
import { newId } from '../../platform/ids.ts';
import { found, invalid, refuse } from '../../platform/problem.ts';
import { apparatus, areaApparatus, areas, gyms } from '../../tables/gyms.ts';
import type {
  Apparatus,
  ApparatusChanges,
  Area,
  AreaChanges,
  AreaRef,
  Gym,
  GymChanges,
  NewApparatus,
  NewArea,
  NewGym,
} from './schema.ts';

const gymColumns = {
  id: gyms.id,
  name: gyms.name,
  zone: gyms.zone,
  confirmWindowDays: gyms.confirmWindowDays,
  door: gyms.door,
  revision: gyms.revision,
};

/** Writes a new gym, at revision 1. */
export async function insertGym(ctx: Context, gym: NewGym): Promise<Gym> {
  const row = { id: newId(), ...gym };
  await ctx.tx.insert(gyms).values({ franchiseId: ctx.franchiseId, ...row });
  return { ...row, revision: 1 };
}

/** A gym of this franchise; refuses any other as not found. */
export async function getGym(ctx: Context, gymId: string): Promise<Gym> {
  const [row] = await ctx.tx
    .select(gymColumns)
    .from(gyms)
    .where(and(ours(ctx, gyms), eq(gyms.id, gymId)));
  return found(row, 'gym');
}

/** The IANA zone that a gym's days and wall times are in; refuses a gym that is none of this franchise's as not found. */
export const zoneOf = async (ctx: Context, gymId: string): Promise<string> =>
  ctx.gym?.id === gymId ? ctx.gym.zone : (await getGym(ctx, gymId)).zone;

/** The gyms among `ids` (null: all of the franchise), in the order in which they were made. */
export async function listGyms(ctx: Context, ids: string[] | null, { limit, cursor }: Paging) {
  const after = readIdCursor(cursor);
  const rows = await ctx.tx
    .select(gymColumns)
    .from(gyms)
    .where(
      and(ours(ctx, gyms), ids === null ? undefined : inArray(gyms.id, ids), after ? gt(gyms.id, after) : undefined),
    )
    .orderBy(asc(gyms.id))
    .limit(limit + 1);
  return pageOf(
    rows,
    limit,
    (row): Gym => row,
    (row) => [row.id],
  );
}

/** Refuses when somebody else wrote since revision `ifMatch`. */
export async function updateGym(ctx: Context, gymId: string, ifMatch: number, changes: GymChanges): Promise<Gym> {
  const [row] = await ctx.tx
    .update(gyms)
    .set({ ...changes, revision: sql`${gyms.revision} + 1` })
    .where(and(ours(ctx, gyms), eq(gyms.id, gymId), eq(gyms.revision, ifMatch)))
    .returning(gymColumns);
  if (!row) throw refuse('changed-meanwhile', 'The gym has another revision by now.');
  return row;
}

const apparatusColumns = {
  id: apparatus.id,
  name: apparatus.name,
  secondsATurn: apparatus.secondsATurn,
  lengthCm: apparatus.lengthCm,
  widthCm: apparatus.widthCm,
  heightCm: apparatus.heightCm,
  armHeavy: apparatus.armHeavy,
  revision: apparatus.revision,
};

const apparatusTaken = (error: unknown, name: string | undefined) =>
  violates(error, 'unique') ? refuse('already-exists', `There is an apparatus called "${name}" already.`) : error;

/** Writes a new kind of apparatus; refuses a name that another has, whatever its upper and lower case. */
export async function insertApparatus(ctx: Context, kind: NewApparatus): Promise<Apparatus> {
  const row = { id: newId(), ...kind };
  try {
    await ctx.tx.insert(apparatus).values({ franchiseId: ctx.franchiseId, ...row });
  } catch (error) {
    throw apparatusTaken(error, kind.name);
  }
  return { ...row, revision: 1 };
}

/** Refuses a name that another has, a kind that is none of this franchise's, and one that changed since `ifMatch`. */
export async function updateApparatus(
  ctx: Context,
  id: string,
  ifMatch: number,
  changes: ApparatusChanges,
): Promise<Apparatus> {
  const itself = and(ours(ctx, apparatus), eq(apparatus.id, id));
  const [before] = await ctx.tx.select({ id: apparatus.id }).from(apparatus).where(itself);
  found(before, 'apparatus');
  const [row] = await ctx.tx
    .update(apparatus)
    .set({ ...changes, revision: sql`${apparatus.revision} + 1` })
    .where(and(itself, eq(apparatus.revision, ifMatch)))
    .returning(apparatusColumns)
    .catch((error) => {
      throw apparatusTaken(error, changes.name);
    });
  if (!row) throw refuse('changed-meanwhile', 'The apparatus has another revision by now.');
  return row;
}

/** Refuses as not found where there is no such apparatus. */
export async function getApparatus(ctx: Context, id: string): Promise<Apparatus> {
  const [row] = await ctx.tx
    .select(apparatusColumns)
    .from(apparatus)
    .where(and(ours(ctx, apparatus), eq(apparatus.id, id)));
  return found(row, 'apparatus');
}

/** The franchise's kinds of apparatus, in the order in which they were made. */
export async function listApparatus(ctx: Context, { limit, cursor }: Paging) {
  const after = readIdCursor(cursor);
  const rows = await ctx.tx
    .select(apparatusColumns)
    .from(apparatus)
    .where(and(ours(ctx, apparatus), after ? gt(apparatus.id, after) : undefined))
    .orderBy(asc(apparatus.id))
    .limit(limit + 1);
  return pageOf(
    rows,
    limit,
    (row): Apparatus => row,
    (row) => [row.id],
  );
}

const areaFault = (error: unknown, name: string | undefined) => {
  if (violates(error, 'unique', 'areas_name')) {
    return refuse('already-exists', `There is an area called "${name}" in this gym already.`);
  }
  if (violates(error, 'unique')) return invalid('/apparatus', 'Name each apparatus once, with how many of it.');
  if (violates(error, 'reference')) return invalid('/apparatus', 'One of these is no apparatus of the franchise.');
  return error;
};

/** Writes a new area; refuses a name that another area of the gym has, and apparatus that is not the franchise's. */
export async function insertArea(ctx: Context, gymId: string, area: NewArea): Promise<Area> {
  const areaId = newId();
  try {
    await ctx.tx.insert(areas).values({ franchiseId: ctx.franchiseId, id: areaId, gymId, name: area.name });
    await insertStanding(ctx, areaId, area.apparatus);
  } catch (error) {
    throw areaFault(error, area.name);
  }
  return { id: areaId, ...area, revision: 1 };
}

async function insertStanding(ctx: Context, areaId: string, standing: Area['apparatus']): Promise<void> {
  if (standing.length === 0) return;
  await ctx.tx.insert(areaApparatus).values(standing.map((one) => ({ franchiseId: ctx.franchiseId, areaId, ...one })));
}

/**
 * Changes an area's name, or what stands there as a whole. Refuses as not found an area that is none of the gym's, one
 * that changed since revision `ifMatch`, and what a new area is refused for.
 */
export async function updateArea(
  ctx: Context,
  _lock: CoverLock,
  { gymId, areaId }: AreaRef,
  ifMatch: number,
  { name, apparatus }: AreaChanges,
): Promise<Area> {
  await getArea(ctx, { gymId, areaId });
  try {
    const rows = await ctx.tx
      .update(areas)
      .set({ name, revision: sql`${areas.revision} + 1` })
      .where(and(ours(ctx, areas), eq(areas.id, areaId), eq(areas.revision, ifMatch)))
      .returning({ id: areas.id });
    if (rows.length === 0) throw refuse('changed-meanwhile', 'The area has another revision by now.');
    if (apparatus) {
      await ctx.tx.delete(areaApparatus).where(and(ours(ctx, areaApparatus), eq(areaApparatus.areaId, areaId)));
      await insertStanding(ctx, areaId, apparatus);
      await capOutOfUse(ctx, areaId);
    }
  } catch (error) {
    throw areaFault(error, name);
  }
  return getArea(ctx, { gymId, areaId });
}

/** No more is out of use than stands there. */
async function capOutOfUse(ctx: Context, areaId: string): Promise<void> {
  const us = ctx.franchiseId;
  await ctx.tx.execute(sql`
    DELETE FROM out_of_use o WHERE o.franchise_id = ${us} AND o.area_id = ${areaId} AND NOT EXISTS (
      SELECT FROM area_apparatus s
      WHERE s.franchise_id = ${us} AND s.area_id = o.area_id AND s.apparatus_id = o.apparatus_id)`);
  await ctx.tx.execute(sql`
    UPDATE out_of_use o SET items = s.items FROM area_apparatus s
    WHERE o.franchise_id = ${us} AND o.area_id = ${areaId} AND s.franchise_id = ${us} AND s.area_id = o.area_id
      AND s.apparatus_id = o.apparatus_id AND o.items > s.items`);
}

const selectAreas = (ctx: Context, where: SQL | undefined) =>
  ctx.tx
    .select({
      id: areas.id,
      name: areas.name,
      apparatus: sql<Area['apparatus']>`coalesce((
        SELECT json_agg(json_build_object('apparatusId', s.apparatus_id, 'items', s.items) ORDER BY s.apparatus_id)
        FROM area_apparatus s WHERE s.franchise_id = ${ctx.franchiseId} AND s.area_id = ${areas.id}), '[]')`,
      revision: areas.revision,
    })
    .from(areas)
    .where(and(ours(ctx, areas), where));

/** Refuses as not found an area that is none of the gym's. */
export async function getArea(ctx: Context, { gymId, areaId }: AreaRef): Promise<Area> {
  const [row] = await selectAreas(ctx, and(eq(areas.gymId, gymId), eq(areas.id, areaId)));
  return found(row, 'area');
}

/** The areas of a gym's hall, in the order in which they were made. */
export async function listAreas(ctx: Context, gymId: string, { limit, cursor }: Paging) {
  const after = readIdCursor(cursor);
  const rows = await selectAreas(ctx, and(eq(areas.gymId, gymId), after ? gt(areas.id, after) : undefined))
    .orderBy(asc(areas.id))
    .limit(limit + 1);
  return pageOf(
    rows,
    limit,
    (row): Area => row,
    (row) => [row.id],
  );
}
