import { and, asc, eq, inArray, isNull, type SQL, sql } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { violates } from '../../platform/db/constraint.ts';
import { ours } from '../../platform/db/tenant.ts';
import { newId } from '../../platform/ids.ts';
import { found, invalid, refuse } from '../../platform/problem.ts';
import { drillEquipment, drillLevels, drillSkills, drills } from '../../tables/curriculum.ts';
import type { Drill, DrillChanges } from './schema.ts';

/** A drill as it is written: everything said, nothing left to a default. */
export type DrillContent = Omit<Drill, 'id' | 'revision' | 'retired'>;

const columnsOf = ({ skills: _, levels: __, equipment: ___, spotting, ...rest }: Omit<DrillChanges, 'retired'>) => ({
  ...rest,
  ...(spotting && {
    spottingMode: spotting.mode,
    spottingKindId: spotting.mode === 'none' ? null : spotting.kindId,
    spottingGrade: spotting.mode === 'none' ? null : spotting.grade,
  }),
});

function refusalOf(error: unknown, name: string | undefined) {
  if (violates(error, 'unique', 'drills_name')) {
    return refuse(
      'already-exists',
      `There is a drill called "${name}" on that apparatus already, or was: it may be retired.`,
    );
  }
  return error;
}

/**
 * What a franchise's library holds at the most, retired drills included: lead-ups and imports read it whole. Of those who
 * add at the same moment a few may come in beyond it.
 */
const MOST_DRILLS = 5000;

async function refuseBeyondMost(ctx: Context, added: number): Promise<void> {
  if (added === 0) return;
  const there = await ctx.tx.$count(drills, ours(ctx, drills));
  if (there + added <= MOST_DRILLS) return;
  throw invalid(
    '',
    `The library holds ${MOST_DRILLS} drills at the most, retired ones included; it has ${there}. Change one that nobody uses any more into the new one.`,
  );
}

/** Refuses a name that another drill on that apparatus has, and a drill beyond what the library holds. */
export async function insertDrill(ctx: Context, content: DrillContent): Promise<Drill> {
  await refuseBeyondMost(ctx, 1);
  const id = newId();
  try {
    await ctx.tx.insert(drills).values(rowOf(ctx, id, content));
  } catch (error) {
    throw refusalOf(error, content.name);
  }
  await insertParts(ctx, [{ id, content }]);
  return getDrill(ctx, id);
}

function rowOf(ctx: Context, id: string, { skills: _, levels: __, equipment: ___, spotting, ...rest }: DrillContent) {
  const need = spotting.mode === 'none' ? { kindId: null, grade: null } : spotting;
  return {
    franchiseId: ctx.franchiseId,
    id,
    ...rest,
    spottingMode: spotting.mode,
    spottingKindId: need.kindId,
    spottingGrade: need.grade,
  };
}

/** Writes many at once; gives the ids of those whose name another drill on their apparatus had, which are not written. Refuses those beyond what the library holds. */
export async function insertDrills(ctx: Context, added: readonly { id: string; content: DrillContent }[]) {
  await refuseBeyondMost(ctx, added.length);
  const written = new Set<string>();
  for (const some of chunks(added)) {
    const rows = await ctx.tx
      .insert(drills)
      .values(some.map(({ id, content }) => rowOf(ctx, id, content)))
      .onConflictDoNothing()
      .returning({ id: drills.id });
    for (const { id } of rows) written.add(id);
  }
  await insertParts(
    ctx,
    added.filter(({ id }) => written.has(id)),
  );
  return added.flatMap(({ id }) => (written.has(id) ? [] : [id]));
}

/** A statement takes at most 65,535 values. */
function* chunks<T>(all: readonly T[]): Generator<T[]> {
  for (let at = 0; at < all.length; at += 500) yield all.slice(at, at + 500);
}

/** Refuses when somebody else wrote since revision `ifMatch`. */
export async function updateDrill(
  ctx: Context,
  drillId: string,
  ifMatch: number,
  { retired, ...changes }: DrillChanges,
): Promise<Drill> {
  const retiring = retired === undefined ? {} : { retiredAt: retired ? ctx.now : null };
  try {
    const rows = await ctx.tx
      .update(drills)
      .set({ ...columnsOf(changes), ...retiring, revision: sql`${drills.revision} + 1` })
      .where(and(ours(ctx, drills), eq(drills.id, drillId), eq(drills.revision, ifMatch)))
      .returning({ id: drills.id });
    if (rows.length === 0) throw refuse('changed-meanwhile', 'The drill has another revision by now.');
  } catch (error) {
    throw refusalOf(error, changes.name);
  }
  const { skills, levels, equipment } = changes;
  const ofIt = [drillId];
  if (skills) await ctx.tx.delete(drillSkills).where(and(ours(ctx, drillSkills), inArray(drillSkills.drillId, ofIt)));
  if (levels) await ctx.tx.delete(drillLevels).where(and(ours(ctx, drillLevels), inArray(drillLevels.drillId, ofIt)));
  if (equipment) {
    await ctx.tx.delete(drillEquipment).where(and(ours(ctx, drillEquipment), inArray(drillEquipment.drillId, ofIt)));
  }
  await insertParts(ctx, [
    { id: drillId, content: { skills: skills ?? [], levels: levels ?? [], equipment: equipment ?? [] } },
  ]);
  return getDrill(ctx, drillId);
}

/** Writes the whole content of drills that are held anew, which are then in use; gives their revisions by id. */
export async function replaceDrills(
  ctx: Context,
  changed: readonly { id: string; content: DrillContent }[],
): Promise<Map<string, number>> {
  const revisions = new Map<string, number>();
  for (const some of chunks(changed)) {
    const rows = JSON.stringify(some.map(({ id, content }) => rowOf(ctx, id, content)));
    const written = await ctx.tx.execute<{ id: string; revision: number }>(sql`
      UPDATE drills d SET name = n.name, apparatus_id = n."apparatusId", say_first = n."sayFirst",
        if_it_goes_wrong = n."ifItGoesWrong", look_fors = n."lookFors", spotting_mode = n."spottingMode",
        spotting_kind_id = n."spottingKindId", spotting_grade = n."spottingGrade", seconds_a_turn = n."secondsATurn",
        places = n.places, places_are = n."placesAre", height = n.height, demonstration = n.demonstration,
        diagram = nullif(n.diagram, 'null'), retired_at = NULL, revision = d.revision + 1
      FROM jsonb_to_recordset(${rows}::jsonb) AS n (id uuid, name text, "apparatusId" uuid, "sayFirst" text,
        "ifItGoesWrong" text, "lookFors" jsonb, "spottingMode" text, "spottingKindId" uuid, "spottingGrade" int,
        "secondsATurn" int, places int, "placesAre" text, height text, demonstration text, diagram jsonb)
      WHERE d.franchise_id = ${ctx.franchiseId} AND d.id = n.id RETURNING d.id, d.revision`);
    for (const { id, revision } of written.rows) revisions.set(id, revision);
    const ids = some.map(({ id }) => id);
    await ctx.tx.delete(drillSkills).where(and(ours(ctx, drillSkills), inArray(drillSkills.drillId, ids)));
    await ctx.tx.delete(drillLevels).where(and(ours(ctx, drillLevels), inArray(drillLevels.drillId, ids)));
    await ctx.tx.delete(drillEquipment).where(and(ours(ctx, drillEquipment), inArray(drillEquipment.drillId, ids)));
  }
  await insertParts(ctx, changed);
  return revisions;
}

type Parts = Pick<DrillContent, 'skills' | 'levels' | 'equipment'>;

async function insertParts(ctx: Context, all: readonly { id: string; content: Parts }[]): Promise<void> {
  const { franchiseId } = ctx;
  const skills = all.flatMap(({ id, content }) => content.skills.map((one) => ({ franchiseId, drillId: id, ...one })));
  const levels = all.flatMap(({ id, content }) => content.levels.map((one) => ({ franchiseId, drillId: id, ...one })));
  const equipment = all.flatMap(({ id, content }) =>
    content.equipment.map(({ apparatusId, amount, fit }, at) => ({
      franchiseId,
      drillId: id,
      apparatusId,
      amount,
      position: at + 1,
      fitsMeasure: fit?.measure,
      lowerByCm: fit?.lowerByCm,
      higherByCm: fit?.higherByCm,
      raiseId: fit?.raise?.apparatusId,
      raiseUnder: fit?.raise?.under,
    })),
  );
  for (const some of chunks(skills)) await ctx.tx.insert(drillSkills).values(some);
  for (const some of chunks(levels)) await ctx.tx.insert(drillLevels).values(some);
  for (const some of chunks(equipment)) await ctx.tx.insert(drillEquipment).values(some);
}

/** Drills with everything that is said of them; narrow it with a condition that names the franchise. */
export const selectDrills = (ctx: Context) =>
  ctx.tx
    .select({
      id: drills.id,
      name: drills.name,
      apparatusId: drills.apparatusId,
      sayFirst: drills.sayFirst,
      ifItGoesWrong: drills.ifItGoesWrong,
      lookFors: drills.lookFors,
      levels: sql<Drill['levels']>`coalesce((
        SELECT json_agg(json_build_object('programmeId', l.programme_id, 'fromLevelId', l.from_level_id,
          'toLevelId', l.to_level_id) ORDER BY l.programme_id)
        FROM drill_levels l WHERE l.franchise_id = ${ctx.franchiseId} AND l.drill_id = drills.id), '[]')`,
      spottingMode: drills.spottingMode,
      spottingKindId: drills.spottingKindId,
      spottingGrade: drills.spottingGrade,
      skills: sql<Drill['skills']>`coalesce((
        SELECT json_agg(json_build_object('skillId', s.skill_id, 'signOff', s.sign_off) ORDER BY s.skill_id)
        FROM drill_skills s WHERE s.franchise_id = ${ctx.franchiseId} AND s.drill_id = drills.id), '[]')`,
      equipment: sql<Drill['equipment']>`coalesce((
        SELECT json_agg(json_build_object('apparatusId', e.apparatus_id, 'amount', e.amount,
          'fit', CASE WHEN e.fits_measure IS NOT NULL THEN json_build_object('measure', e.fits_measure,
            'lowerByCm', e.lower_by_cm, 'higherByCm', e.higher_by_cm,
            'raise', CASE WHEN e.raise_id IS NOT NULL
              THEN json_build_object('apparatusId', e.raise_id, 'under', e.raise_under) END) END) ORDER BY e.position)
        FROM drill_equipment e WHERE e.franchise_id = ${ctx.franchiseId} AND e.drill_id = drills.id), '[]')`,
      secondsATurn: drills.secondsATurn,
      places: drills.places,
      placesAre: drills.placesAre,
      height: drills.height,
      demonstration: drills.demonstration,
      diagram: drills.diagram,
      retired: sql<boolean>`${drills.retiredAt} IS NOT NULL`,
      revision: drills.revision,
    })
    .from(drills);
type Row = Awaited<ReturnType<typeof selectDrills>>[number];

export function drillOf({ spottingMode: mode, spottingKindId: kindId, spottingGrade: grade, ...rest }: Row): Drill {
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

/** Every drill of the library, each as little as a graph needs; those that are retired too where that is asked. */
export async function listBriefly(ctx: Context, retired: 'retired-too' | 'in-use-only') {
  const inUse: SQL | undefined = retired === 'retired-too' ? undefined : isNull(drills.retiredAt);
  return ctx.tx
    .select({ id: drills.id, name: drills.name, apparatusId: drills.apparatusId, height: drills.height })
    .from(drills)
    .where(and(ours(ctx, drills), inUse))
    .orderBy(asc(drills.id));
}
