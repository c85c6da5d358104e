import { sql } from 'drizzle-orm';
import type { Spotting } from '../../cover/types.ts';
import type { Context } from '../../platform/context.ts';
import { invalid, refuse } from '../../platform/problem.ts';
import { drillsById } from '../curriculum/drills-repo.ts';
import { frozenNeeds } from '../curriculum/plan-content-repo.ts';
import type { PlanStation } from '../curriculum/plan-content-schema.ts';
import { type Direction, reachable, type Step } from '../curriculum/progression-graph.ts';
import { allProgressions } from '../curriculum/progressions-repo.ts';
import type { Drill } from '../curriculum/schema.ts';
import { kindsAsked, needOf, together } from '../curriculum/spotting.ts';
import { holds } from '../people/persons.ts';
import { SignOffLevel } from '../people/staff-schema.ts';
import type { BlockAhead } from './adaptations-repo.ts';

/** Which of a station's drills another takes the place of: those that it leads to, else those that lead to it. */
export function replacedBy(
  steps: readonly Step[],
  drillId: string,
  planned: readonly string[],
): { direction: Direction; replaced: Set<string> } | null {
  const among = (direction: Direction) => {
    const away = reachable(steps, drillId, direction);
    return new Set(planned.filter((id) => away.has(id)));
  };
  // What lies further up from the drill makes it the easier one.
  const [above, below] = [among('harder'), among('easier')];
  if (above.size > 0) return { direction: 'easier', replaced: above };
  return below.size > 0 ? { direction: 'harder', replaced: below } : null;
}

export const drillsOf = (station: Pick<PlanStation, 'steps'>): string[] => [
  ...new Set(station.steps.flatMap(({ drillIds }) => drillIds)),
];

/**
 * What doing another drill at a station comes to: easier or harder, and what the station then asks of its spotter.
 * Easier is for anybody; harder, for a level of each class that it is for, and for a coach only with their own sign-offs.
 */
export async function judgeDrill(
  ctx: Context,
  gymId: string,
  station: PlanStation,
  drillId: string,
  ahead: readonly BlockAhead[],
): Promise<{ direction: Direction; spotting: Spotting }> {
  const planned = drillsOf(station);
  const drills = await drillsById(ctx, [...planned, drillId]);
  const drill = drills.get(drillId);
  if (!drill || drill.retired) throw invalid('/change/drillId', 'There is no such drill in the library.');
  if (drill.apparatusId !== station.apparatusId) throw invalid('/change/drillId', 'It is done on another apparatus.');
  const judged = replacedBy(await allProgressions(ctx), drillId, planned);
  if (judged === null) {
    throw invalid(
      '/change/drillId',
      'It neither leads to what is done there, nor follows from it, in the progressions.',
    );
  }
  const { direction, replaced } = judged;
  if (direction === 'harder') {
    await refuseAboveLevels(ctx, drill, ahead);
    if (!holds(ctx, 'plans.adapt', gymId)) await refuseWithoutSignOffs(ctx, drill, ahead);
  }
  // What stays is spotted as it was published, whatever its drill in the library says by now.
  const frozen = await frozenNeeds(ctx, station.id);
  const kept = planned
    .filter((id) => !replaced.has(id))
    .flatMap((id) => frozen.get(id) ?? [drills.get(id)].flatMap((one) => (one ? needOf(one) : [])));
  const needs = [needOf(drill), ...kept];
  if (kindsAsked(needs).length > 1) {
    throw invalid('/change/drillId', 'The station would then ask for spotters of more than one kind.');
  }
  return { direction, spotting: together(needs) };
}

async function refuseAboveLevels(ctx: Context, { id, name }: Drill, ahead: readonly BlockAhead[]): Promise<void> {
  const us = ctx.franchiseId;
  const classIds = [...new Set(ahead.map(({ classId }) => classId))];
  const { rows } = await ctx.tx.execute<{ name: string }>(sql`
    SELECT c.name FROM classes c WHERE c.franchise_id = ${us} AND c.id = ANY(${sql.param(classIds)}::uuid[])
      AND EXISTS (SELECT FROM drill_levels r WHERE r.franchise_id = ${us} AND r.drill_id = ${id})
      AND NOT EXISTS (SELECT FROM drill_levels r
        JOIN levels f ON f.franchise_id = ${us} AND f.id = r.from_level_id
        JOIN levels t ON t.franchise_id = ${us} AND t.id = r.to_level_id
        JOIN class_levels cl ON cl.franchise_id = ${us} AND cl.class_id = c.id
        JOIN levels l ON l.franchise_id = ${us} AND l.id = cl.level_id AND l.programme_id = r.programme_id
        WHERE r.franchise_id = ${us} AND r.drill_id = ${id}
          AND l.position BETWEEN SYMMETRIC f.position AND t.position)
    ORDER BY c.name LIMIT 1`);
  if (rows[0]) throw invalid('/change/drillId', `“${name}” is for none of the levels of ${rows[0].name}.`);
}

async function refuseWithoutSignOffs(ctx: Context, drill: Drill, ahead: readonly BlockAhead[]): Promise<void> {
  const asked = drill.spotting.mode === 'none' ? [] : drill.skills.filter(({ signOff }) => signOff !== null);
  if (asked.length === 0) return;
  const days = [...new Set(ahead.map(({ day }) => day))];
  const { rows } = await ctx.tx.execute<{ name: string }>(sql`
    SELECT s.name FROM unnest(${sql.param(asked.map(({ skillId }) => skillId))}::uuid[],
      ${sql.param(asked.map(({ signOff }) => signOff))}::text[]) AS asked (skill_id, level)
    JOIN skills s ON s.franchise_id = ${ctx.franchiseId} AND s.id = asked.skill_id
    CROSS JOIN unnest(${sql.param(days)}::date[]) AS d (day)
    WHERE NOT EXISTS (SELECT FROM sign_offs o WHERE o.franchise_id = ${ctx.franchiseId}
      AND o.person_id = ${ctx.personId}::uuid AND o.skill_id = asked.skill_id
      AND o.from_day <= d.day AND (o.until_day IS NULL OR o.until_day > d.day)
      AND ${rankOf(sql`o.level`)} >= ${rankOf(sql`asked.level`)})
    ORDER BY s.name LIMIT 1`);
  if (!rows[0]) return;
  throw refuse('not-allowed', `You are not signed off to spot ${rows[0].name}: somebody who plans may step it up.`, {
    permission: 'plans.adapt',
  });
}

/** Sign-offs, the least first. */
export const SIGN_OFFS = sql`${sql.param(SignOffLevel.options)}::text[]`;
/** How far a sign-off goes, to compare with another. */
export const rankOf = (level: ReturnType<typeof sql>) => sql`array_position(${SIGN_OFFS}, ${level})`;
