import { sql } from 'drizzle-orm';
import type { LeapDay } from '../../cover/index.ts';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { found } from '../../platform/problem.ts';
import { franchises } from '../../tables/identity.ts';
import { neissAge } from './neiss.ts';

/** Somebody whom a gym's note can be about. */
export interface PersonHere {
  personId: string;
  /** Null where the name was erased. */
  name: string | null;
  born: string | null;
  isStaff: boolean;
  isAthlete: boolean;
  /** An athlete of this gym, or with a place in one of its sessions; or somebody it employs, or has employed. */
  isHere: boolean;
}

/** What is known of these people at this gym, by id. */
export async function peopleHere(
  ctx: Context,
  gymId: string,
  ids: readonly string[],
): Promise<Map<string, PersonHere>> {
  const { franchiseId } = ctx;
  const { rows } = await ctx.tx.execute<PersonHere & Record<string, unknown>>(sql`
    SELECT p.id::text AS "personId", nullif(trim(coalesce(n.given, '') || ' ' || coalesce(n.family, '')), '') AS name,
      coalesce(a.born, s.born)::text AS born, s.person_id IS NOT NULL AS "isStaff", a.person_id IS NOT NULL AS "isAthlete",
      a.gym_id IS NOT DISTINCT FROM ${gymId}
      OR EXISTS (SELECT FROM employments e
        WHERE e.franchise_id = ${franchiseId} AND e.person_id = p.id AND e.gym_id = ${gymId})
      OR EXISTS (SELECT FROM group_members m JOIN sessions x ON x.franchise_id = ${franchiseId} AND x.id = m.session_id
        WHERE m.franchise_id = ${franchiseId} AND m.athlete_id = p.id AND x.gym_id = ${gymId})
      OR EXISTS (SELECT FROM attendance t
        WHERE t.franchise_id = ${franchiseId} AND t.athlete_id = p.id AND t.gym_id = ${gymId}
          AND t.state <> 'expected') AS "isHere"
    FROM persons p
    LEFT JOIN person_names n ON n.franchise_id = ${franchiseId} AND n.person_id = p.id
    LEFT JOIN athletes a ON a.franchise_id = ${franchiseId} AND a.person_id = p.id
    LEFT JOIN staff_members s ON s.franchise_id = ${franchiseId} AND s.person_id = p.id
    WHERE p.franchise_id = ${franchiseId} AND p.id = ANY(${sql.param([...ids])}::uuid[])`);
  return new Map(rows.map((row) => [row.personId, row]));
}

/** How the franchise counts a birthday on 29 February. */
export async function leapDayOf(ctx: Context): Promise<LeapDay> {
  const [row] = await ctx.tx.select({ leapDay: franchises.leapDay }).from(franchises).where(ours(ctx, franchises));
  return found(row, 'franchise').leapDay;
}

/** Those of a note with the names that they have now and their age on its day. */
export const labelled = <P extends { personId: string }>(
  people: readonly P[],
  known: ReadonlyMap<string, PersonHere>,
  day: string,
  leapDay: LeapDay,
) =>
  people.map((one) => {
    const { name = null, born = null } = known.get(one.personId) ?? {};
    return { ...one, name, ageCode: born === null ? null : neissAge(born, day, leapDay) };
  });
