import { and, asc, eq, sql } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { type Paging, pageOf, readIdCursor, readScoreCursor } from '../../platform/http/paging.ts';
import { found } from '../../platform/problem.ts';
import { drillSkills, HEIGHTS } from '../../tables/curriculum.ts';
import { skills } from '../../tables/people.ts';
import { isFor } from './drill-search.ts';
import { drillsById, getDrill, listBriefly } from './drills-repo.ts';
import type { HeightLadder, LeadUp, UnledSkill } from './lead-up-schema.ts';
import { connected, type Direction, ledTo, reachable, shortestWay } from './progression-graph.ts';
import { allProgressions } from './progressions-repo.ts';

/** The drills in use by id, and the steps between them: what is retired leads nowhere. */
async function library(ctx: Context) {
  const drills = new Map((await listBriefly(ctx, 'in-use-only')).map((drill) => [drill.id, drill]));
  const steps = (await allProgressions(ctx)).filter((step) => drills.has(step.easierId) && drills.has(step.harderId));
  return { drills, steps };
}

/** The drills that lead to this one, or that it leads to: the nearest first; only those for a level where that is asked. */
export async function listRelated(
  ctx: Context,
  drillId: string,
  direction: Direction,
  { limit, cursor, levelId }: Paging & { levelId?: string | undefined },
) {
  await getDrill(ctx, drillId);
  const after = readScoreCursor(cursor);
  const { steps } = await library(ctx);
  const allowed = levelId === undefined ? null : await drillsFor(ctx, levelId);
  const rows = [...reachable(steps, drillId, direction)]
    .filter(([id]) => allowed?.has(id) ?? true)
    .sort(([a, near], [b, far]) => near - far || (a < b ? -1 : 1))
    .filter(([id, steps]) => after === null || steps > after.score || (steps === after.score && id > after.id))
    .slice(0, limit + 1);
  const drills = await drillsById(
    ctx,
    rows.map(([id]) => id),
  );
  return pageOf(
    rows,
    limit,
    ([id, stepsAway]) => ({ stepsAway, drill: found(drills.get(id), 'drill') }),
    ([id, stepsAway]) => [String(stepsAway), id],
  );
}

async function drillsFor(ctx: Context, levelId: string): Promise<Set<string>> {
  const { rows } = await ctx.tx.execute<{ id: string }>(sql`
    SELECT d.id FROM drills d WHERE d.franchise_id = ${ctx.franchiseId} AND ${isFor(ctx.franchiseId, levelId)}`);
  return new Set(rows.map(({ id }) => id));
}

/** The same thing at every height, lowest first: what hangs together with this drill by steps of height. */
export async function getHeightLadder(ctx: Context, drillId: string): Promise<HeightLadder> {
  await getDrill(ctx, drillId);
  const { drills, steps } = await library(ctx);
  const together = connected(
    steps.filter(({ kind }) => kind === 'height'),
    drillId,
  );
  const onIt = [...together].flatMap((id) => drills.get(id) ?? []).sort((a, b) => (a.id < b.id ? -1 : 1));
  return {
    rungs: HEIGHTS.flatMap((height) => {
      const here = onIt.filter((drill) => drill.height === height).slice(0, 50);
      return here.length > 0 ? [{ height, drills: here }] : [];
    }),
  };
}

/**
 * The shortest way to a skill: from the drill given, else from any that nothing leads to (best one that does not teach the
 * skill itself), to the first drill that teaches it. Refuses as not found a skill or a drill that is not there.
 */
export async function getLeadUp(ctx: Context, skillId: string, fromDrillId: string | undefined): Promise<LeadUp> {
  const [skill] = await ctx.tx
    .select({ id: skills.id })
    .from(skills)
    .where(and(ours(ctx, skills), eq(skills.id, skillId)));
  found(skill, 'skill');
  if (fromDrillId !== undefined) await getDrill(ctx, fromDrillId);
  const { drills, steps } = await library(ctx);
  const teaching = await drillsThatTeach(ctx);
  const goals = new Set((teaching.get(skillId) ?? []).filter((id) => drills.has(id)));
  const led = ledTo(steps);
  const roots = [...drills.keys()].filter((id) => !led.has(id));
  const way =
    fromDrillId !== undefined
      ? shortestWay(steps, [fromDrillId], goals)
      : (shortestWay(
          steps,
          roots.filter((id) => !goals.has(id)),
          goals,
        ) ?? shortestWay(steps, roots, goals));
  return { skillId, way: (way ?? []).slice(0, 500).flatMap((id) => drills.get(id) ?? []) };
}

/** The skills that nothing leads to: no drill teaches them, or none that does has another before it. */
export async function listUnled(ctx: Context, { limit, cursor }: Paging) {
  const after = readIdCursor(cursor);
  const { drills, steps } = await library(ctx);
  const teaching = await drillsThatTeach(ctx);
  const led = ledTo(steps);
  const all = await ctx.tx
    .select({ skillId: skills.id, name: skills.name, apparatusId: skills.apparatusId })
    .from(skills)
    .where(ours(ctx, skills))
    .orderBy(asc(skills.id));
  const rows = all
    .map((skill) => ({ ...skill, by: (teaching.get(skill.skillId) ?? []).filter((id) => drills.has(id)) }))
    .filter(({ skillId, by }) => (after === null || skillId > after) && !by.some((id) => led.has(id)))
    .slice(0, limit + 1);
  return pageOf(
    rows,
    limit,
    ({ by, ...skill }): UnledSkill => ({ ...skill, why: by.length === 0 ? 'no-drill' : 'no-lead-up' }),
    ({ skillId }) => [skillId],
  );
}

async function drillsThatTeach(ctx: Context): Promise<Map<string, string[]>> {
  const rows = await ctx.tx
    .select({ drillId: drillSkills.drillId, skillId: drillSkills.skillId })
    .from(drillSkills)
    .where(ours(ctx, drillSkills));
  const teaching = new Map<string, string[]>();
  for (const { drillId, skillId } of rows) {
    const known = teaching.get(skillId);
    if (known) known.push(drillId);
    else teaching.set(skillId, [drillId]);
  }
  return teaching;
}
