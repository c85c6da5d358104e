import { and, asc, eq, gt, inArray, sql } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { violates } from '../../platform/db/constraint.ts';
import { ours } from '../../platform/db/tenant.ts';
import { type Paging, pageOf, readIdCursor } from '../../platform/http/paging.ts';
import { newId } from '../../platform/ids.ts';
import { found, invalid, refuse } from '../../platform/problem.ts';
import { levels, programmes } from '../../tables/curriculum.ts';
import { skills } from '../../tables/people.ts';
import type { NewProgramme, NewSkill, Programme, ProgrammeChange, Skill } from './schema.ts';

const nameTaken = (name: string) => refuse('already-exists', `There is a programme called "${name}" already.`);

/** With its levels, in their order. Refuses a name that another programme has. */
export async function insertProgramme(ctx: Context, { name, levels: wanted }: NewProgramme): Promise<Programme> {
  const id = newId();
  const rows = wanted.map((level) => ({ id: newId(), name: level.name }));
  try {
    await ctx.tx.insert(programmes).values({ franchiseId: ctx.franchiseId, id, name });
  } catch (error) {
    if (violates(error, 'unique')) throw nameTaken(name);
    throw error;
  }
  await ctx.tx
    .insert(levels)
    .values(rows.map((row, at) => ({ franchiseId: ctx.franchiseId, programmeId: id, position: at + 1, ...row })));
  return { id, name, levels: rows, revision: 1 };
}

const selectProgrammes = (ctx: Context) =>
  ctx.tx
    .select({
      id: programmes.id,
      name: programmes.name,
      levels: sql<Programme['levels']>`coalesce((
        SELECT json_agg(json_build_object('id', l.id, 'name', l.name) ORDER BY l.position)
        FROM levels l WHERE l.franchise_id = ${ctx.franchiseId} AND l.programme_id = programmes.id), '[]')`,
      revision: programmes.revision,
    })
    .from(programmes);

/** Refuses as not found where there is no such programme. */
export async function getProgramme(ctx: Context, programmeId: string): Promise<Programme> {
  const [row] = await selectProgrammes(ctx).where(and(ours(ctx, programmes), eq(programmes.id, programmeId)));
  return found(row, 'programme');
}

export async function listProgrammes(ctx: Context, { limit, cursor }: Paging) {
  const after = readIdCursor(cursor);
  const rows = await selectProgrammes(ctx)
    .where(and(ours(ctx, programmes), after ? gt(programmes.id, after) : undefined))
    .orderBy(asc(programmes.id))
    .limit(limit + 1);
  return pageOf(
    rows,
    limit,
    (row): Programme => row,
    (row) => [row.id],
  );
}

/** Renames, and puts its levels in the order given; a level without an id is new. Refuses when somebody else wrote since. */
export async function updateProgramme(
  ctx: Context,
  programmeId: string,
  ifMatch: number,
  { name, levels: wanted }: ProgrammeChange,
): Promise<Programme> {
  const rows = wanted.map((level) => ({ id: level.id ?? newId(), name: level.name }));
  try {
    const [row] = await ctx.tx
      .update(programmes)
      .set({ name, revision: sql`${programmes.revision} + 1` })
      .where(and(ours(ctx, programmes), eq(programmes.id, programmeId), eq(programmes.revision, ifMatch)))
      .returning({ revision: programmes.revision });
    if (!row) throw refuse('changed-meanwhile', 'The programme has another revision by now.');
    await placeLevels(ctx, programmeId, rows);
    return { id: programmeId, name, levels: rows, revision: row.revision };
  } catch (error) {
    if (violates(error, 'unique', 'programmes_name')) throw nameTaken(name);
    throw error;
  }
}

async function placeLevels(ctx: Context, programmeId: string, rows: readonly { id: string; name: string }[]) {
  // Out of the way first: positions are unique at every moment, also half-way through.
  await ctx.tx
    .update(levels)
    .set({ position: sql`-${levels.position}` })
    .where(and(ours(ctx, levels), eq(levels.programmeId, programmeId)));
  await ctx.tx
    .insert(levels)
    .values(rows.map((row, at) => ({ franchiseId: ctx.franchiseId, programmeId, position: at + 1, ...row })))
    .onConflictDoUpdate({
      target: [levels.franchiseId, levels.id],
      set: { name: sql`excluded.name`, position: sql`excluded.position` },
    });
}

/** The levels of these programmes. */
export async function levelsOf(ctx: Context, programmeIds: readonly string[]): Promise<Set<string>> {
  const rows = await ctx.tx
    .select({ id: levels.id })
    .from(levels)
    .where(and(ours(ctx, levels), inArray(levels.programmeId, [...programmeIds])));
  return new Set(rows.map(({ id }) => id));
}

/** Of which programme these levels are, and where in it; those that are not the franchise's are simply missing. */
export async function levelPlaces(ctx: Context, ids: readonly string[]) {
  const rows = await ctx.tx
    .select({ id: levels.id, programmeId: levels.programmeId, position: levels.position })
    .from(levels)
    .where(and(ours(ctx, levels), inArray(levels.id, [...ids])));
  return new Map(rows.map(({ id, ...place }) => [id, place]));
}

/** Refuses an apparatus that is not there, and a name that another skill on it has. */
export async function insertSkill(ctx: Context, skill: NewSkill): Promise<Skill> {
  const row = { id: newId(), ...skill };
  try {
    await ctx.tx.insert(skills).values({ franchiseId: ctx.franchiseId, ...row });
  } catch (error) {
    if (violates(error, 'unique')) {
      throw refuse('already-exists', `There is a skill called "${skill.name}" on that apparatus already.`);
    }
    if (violates(error, 'reference')) throw invalid('/apparatusId', 'This is no apparatus of the franchise.');
    throw error;
  }
  return row;
}

export async function listSkills(ctx: Context, { limit, cursor }: Paging, apparatusId?: string) {
  const after = readIdCursor(cursor);
  const rows = await ctx.tx
    .select({ id: skills.id, name: skills.name, apparatusId: skills.apparatusId })
    .from(skills)
    .where(
      and(
        ours(ctx, skills),
        apparatusId ? eq(skills.apparatusId, apparatusId) : undefined,
        after ? gt(skills.id, after) : undefined,
      ),
    )
    .orderBy(asc(skills.id))
    .limit(limit + 1);
  return pageOf(
    rows,
    limit,
    (row): Skill => row,
    (row) => [row.id],
  );
}
