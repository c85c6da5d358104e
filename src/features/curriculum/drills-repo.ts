import { and, asc, eq, gt, inArray, or, type SQL, sql } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { violates } from '../../platform/db/constraint.ts';
import { ours } from '../../platform/db/tenant.ts';
import { type Paging, pageOf, readCursor, readIdCursor } from '../../platform/http/paging.ts';
import { newId } from '../../platform/ids.ts';
import { found, invalid, refuse } from '../../platform/problem.ts';
import { drillSkills, drills, progressions } from '../../tables/curriculum.ts';
import type { Drill, DrillChanges, NewDrill, Progression } from './schema.ts';

const columnsOf = ({ skills: _, spotting, ...rest }: DrillChanges) => ({
  ...rest,
  ...(spotting && {
    spottingMode: spotting.mode,
    spottingKindId: spotting.mode === 'none' ? null : spotting.kindId,
    spottingGrade: spotting.mode === 'none' ? null : spotting.grade,
  }),
});

function refusalOf(error: unknown, name: string | undefined) {
  if (violates(error, 'unique', 'drills_name')) {
    return refuse('already-exists', `There is a drill called "${name}" on that apparatus already.`);
  }
  return error;
}

/** Refuses a name that another drill on that apparatus has. */
export async function insertDrill(ctx: Context, drill: NewDrill): Promise<Drill> {
  const id = newId();
  const { skills: _, spotting, ...rest } = drill;
  const need = spotting.mode === 'none' ? { kindId: null, grade: null } : spotting;
  try {
    await ctx.tx.insert(drills).values({
      franchiseId: ctx.franchiseId,
      id,
      ...rest,
      spottingMode: spotting.mode,
      spottingKindId: need.kindId,
      spottingGrade: need.grade,
    });
  } catch (error) {
    throw refusalOf(error, drill.name);
  }
  await insertDrillSkills(ctx, id, drill.skills);
  return { id, ...drill, revision: 1 };
}

/** Refuses when somebody else wrote since revision `ifMatch`. */
export async function updateDrill(
  ctx: Context,
  drillId: string,
  ifMatch: number,
  changes: DrillChanges,
): Promise<Drill> {
  try {
    const rows = await ctx.tx
      .update(drills)
      .set({ ...columnsOf(changes), revision: sql`${drills.revision} + 1` })
      .where(and(ours(ctx, drills), eq(drills.id, drillId), eq(drills.revision, ifMatch)))
      .returning({ id: drills.id });
    if (rows.length === 0) throw refuse('changed-meanwhile', 'The drill has another revision by now.');
  } catch (error) {
    throw refusalOf(error, changes.name);
  }
  if (changes.skills) {
    await ctx.tx.delete(drillSkills).where(and(ours(ctx, drillSkills), eq(drillSkills.drillId, drillId)));
    await insertDrillSkills(ctx, drillId, changes.skills);
  }
  return getDrill(ctx, drillId);
}

async function insertDrillSkills(ctx: Context, drillId: string, skills: NewDrill['skills']) {
  if (skills.length === 0) return;
  await ctx.tx.insert(drillSkills).values(skills.map((one) => ({ franchiseId: ctx.franchiseId, drillId, ...one })));
}

const selectDrills = (ctx: Context) =>
  ctx.tx
    .select({
      id: drills.id,
      name: drills.name,
      apparatusId: drills.apparatusId,
      sayFirst: drills.sayFirst,
      spottingMode: drills.spottingMode,
      spottingKindId: drills.spottingKindId,
      spottingGrade: drills.spottingGrade,
      skills: sql<Drill['skills']>`coalesce((
        SELECT json_agg(json_build_object('skillId', s.skill_id, 'signOff', s.sign_off) ORDER BY s.skill_id)
        FROM drill_skills s WHERE s.franchise_id = ${ctx.franchiseId} AND s.drill_id = drills.id), '[]')`,
      secondsATurn: drills.secondsATurn,
      places: drills.places,
      revision: drills.revision,
    })
    .from(drills);
type Row = Awaited<ReturnType<typeof selectDrills>>[number];

function drillOf({ spottingMode: mode, spottingKindId: kindId, spottingGrade: grade, ...rest }: Row): Drill {
  const none = mode === 'none' || kindId === null || grade === null;
  return { ...rest, spotting: none ? { mode: 'none' } : { mode, kindId, grade } };
}

/** Refuses as not found where there is no such drill. */
export async function getDrill(ctx: Context, drillId: string): Promise<Drill> {
  const [row] = await selectDrills(ctx).where(and(ours(ctx, drills), eq(drills.id, drillId)));
  return drillOf(found(row, 'drill'));
}

/** These drills by id; those that are not the franchise's are simply missing. */
export async function drillsById(ctx: Context, ids: Iterable<string>): Promise<Map<string, Drill>> {
  const wanted = [...new Set(ids)];
  if (wanted.length === 0) return new Map();
  const rows = await selectDrills(ctx).where(and(ours(ctx, drills), inArray(drills.id, wanted)));
  return new Map(rows.map((row) => [row.id, drillOf(row)]));
}

/** Oldest first; of one apparatus, or teaching one skill, where these are given. */
export async function listDrills(
  ctx: Context,
  { limit, cursor }: Paging,
  { apparatusId, skillId }: { apparatusId?: string | undefined; skillId?: string | undefined },
) {
  const after = readIdCursor(cursor);
  const teaches: SQL | undefined = skillId
    ? sql`EXISTS (SELECT FROM drill_skills s WHERE s.franchise_id = ${ctx.franchiseId}
        AND s.drill_id = drills.id AND s.skill_id = ${skillId})`
    : undefined;
  const rows = await selectDrills(ctx)
    .where(
      and(
        ours(ctx, drills),
        apparatusId ? eq(drills.apparatusId, apparatusId) : undefined,
        teaches,
        after ? gt(drills.id, after) : undefined,
      ),
    )
    .orderBy(asc(drills.id))
    .limit(limit + 1);
  return pageOf(rows, limit, drillOf, (row) => [row.id]);
}

/** Nobody else draws or rubs out a progression until this transaction ends: two steps could close a circle together. */
export async function lockProgressions(ctx: Context): Promise<void> {
  await ctx.tx.execute(sql`SELECT FROM franchises WHERE franchise_id = ${ctx.franchiseId} FOR NO KEY UPDATE`);
}

const progressionColumns = { easierId: progressions.easierId, harderId: progressions.harderId };

/** The whole graph: hold it with `lockProgressions` first where a step depends on it. */
export const allProgressions = (ctx: Context): Promise<Progression[]> =>
  ctx.tx.select(progressionColumns).from(progressions).where(ours(ctx, progressions));

/** Refuses a step that is there already, and drills that are not. */
export async function insertProgression(ctx: Context, step: Progression): Promise<void> {
  try {
    await ctx.tx.insert(progressions).values({ franchiseId: ctx.franchiseId, ...step });
  } catch (error) {
    if (violates(error, 'unique')) throw refuse('already-exists', 'That drill leads to that one already.');
    if (violates(error, 'reference')) throw invalid('', 'One of these is no drill of the franchise.');
    throw error;
  }
}

/** Refuses as not found where there is no such step. */
export async function deleteProgression(ctx: Context, { easierId, harderId }: Progression): Promise<void> {
  const rows = await ctx.tx
    .delete(progressions)
    .where(and(ours(ctx, progressions), eq(progressions.easierId, easierId), eq(progressions.harderId, harderId)))
    .returning(progressionColumns);
  found(rows[0], 'progression');
}

/** In the order of their ids; only the steps from or to a drill, where one is given. */
export async function listProgressions(ctx: Context, { limit, cursor }: Paging, drillId?: string) {
  const after = readCursor(cursor, 2);
  const rows = await ctx.tx
    .select(progressionColumns)
    .from(progressions)
    .where(
      and(
        ours(ctx, progressions),
        drillId ? or(eq(progressions.easierId, drillId), eq(progressions.harderId, drillId)) : undefined,
        after
          ? sql`(${progressions.easierId}::text, ${progressions.harderId}::text) > (${after[0]}, ${after[1]})`
          : undefined,
      ),
    )
    .orderBy(asc(sql`${progressions.easierId}::text`), asc(sql`${progressions.harderId}::text`))
    .limit(limit + 1);
  return pageOf(
    rows,
    limit,
    (row): Progression => row,
    (row) => [row.easierId, row.harderId],
  );
}
