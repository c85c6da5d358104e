import { and, asc, eq, gt, inArray, sql } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { violates } from '../../platform/db/constraint.ts';
import { ours } from '../../platform/db/tenant.ts';
import { pageOf, readIdCursor } from '../../platform/http/paging.ts';
import { newId } from '../../platform/ids.ts';
import { found, invalid, refuse } from '../../platform/problem.ts';
import { apparatus, areaApparatus, areas, gyms } from '../../tables/gyms.ts';
import type { Apparatus, Area, Gym, GymChanges, NewArea, NewGym } from './schema.ts';

const gymColumns = {
  id: gyms.id,
  name: gyms.name,
  zone: gyms.zone,
  confirmWindowDays: gyms.confirmWindowDays,
  door: gyms.door,
  revision: gyms.revision,
};

export interface Paging {
  limit: number;
  cursor?: string | undefined;
}

export async function insertGym(ctx: Context, gym: NewGym): Promise<Gym> {
  const row = { id: newId(), ...gym };
  await ctx.tx.insert(gyms).values({ franchiseId: ctx.franchiseId, ...row });
  return { ...row, revision: 1 };
}

export async function getGym(ctx: Context, gymId: string): Promise<Gym> {
  const [row] = await ctx.tx
    .select(gymColumns)
    .from(gyms)
    .where(and(ours(ctx, gyms), eq(gyms.id, gymId)));
  return found(row, 'gym');
}

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

export async function insertApparatus(ctx: Context, name: string): Promise<Apparatus> {
  const row = { id: newId(), name };
  try {
    await ctx.tx.insert(apparatus).values({ franchiseId: ctx.franchiseId, ...row });
  } catch (error) {
    if (violates(error, 'unique')) throw refuse('already-exists', `There is an apparatus called "${name}" already.`);
    throw error;
  }
  return row;
}

export async function listApparatus(ctx: Context, { limit, cursor }: Paging) {
  const after = readIdCursor(cursor);
  const rows = await ctx.tx
    .select({ id: apparatus.id, name: apparatus.name })
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

export async function insertArea(ctx: Context, gymId: string, area: NewArea): Promise<Area> {
  const areaId = newId();
  try {
    await ctx.tx.insert(areas).values({ franchiseId: ctx.franchiseId, id: areaId, gymId, name: area.name });
    if (area.apparatus.length > 0) {
      await ctx.tx
        .insert(areaApparatus)
        .values(area.apparatus.map((one) => ({ franchiseId: ctx.franchiseId, areaId, ...one })));
    }
  } catch (error) {
    if (violates(error, 'unique', 'areas_name')) {
      throw refuse('already-exists', `There is an area called "${area.name}" in this gym already.`);
    }
    if (violates(error, 'unique')) throw invalid('/apparatus', 'Name each apparatus once, with how many of it.');
    if (violates(error, 'reference')) throw invalid('/apparatus', 'One of these is no apparatus of the franchise.');
    throw error;
  }
  return { id: areaId, ...area, revision: 1 };
}

export async function listAreas(ctx: Context, gymId: string, { limit, cursor }: Paging) {
  const after = readIdCursor(cursor);
  const standing = sql<{ apparatusId: string; items: number }[]>`coalesce((
    SELECT json_agg(json_build_object('apparatusId', s.apparatus_id, 'items', s.items) ORDER BY s.apparatus_id)
    FROM area_apparatus s WHERE s.franchise_id = ${ctx.franchiseId} AND s.area_id = ${areas.id}), '[]')`;
  const rows = await ctx.tx
    .select({ id: areas.id, name: areas.name, apparatus: standing, revision: areas.revision })
    .from(areas)
    .where(and(ours(ctx, areas), eq(areas.gymId, gymId), after ? gt(areas.id, after) : undefined))
    .orderBy(asc(areas.id))
    .limit(limit + 1);
  return pageOf(
    rows,
    limit,
    (row): Area => row,
    (row) => [row.id],
  );
}
