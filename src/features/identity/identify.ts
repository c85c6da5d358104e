import { sql } from 'drizzle-orm';
import { z } from 'zod';
import { ROLES } from '../../platform/auth/permissions.ts';
import type { Identify } from '../../platform/http/mount.ts';
import { refuse } from '../../platform/problem.ts';

const Row = z.object({
  person_id: z.string().nullable(),
  zone: z.string().nullable(),
  roles: z.array(z.object({ role: z.enum(ROLES), gymId: z.string().nullable() })),
});

/** One round trip: the sign-in still stands, the account is active here, these are its roles at this moment, and the gym asked for. */
export const identify: Identify = async (tx, { franchiseId, accountId, signInId }, gymId) => {
  const { rows } = await tx.execute(sql`
    SELECT m.person_id,
      (SELECT g.zone FROM gyms g WHERE g.franchise_id = ${franchiseId} AND g.id = ${gymId}::uuid) AS zone,
      coalesce((
        SELECT json_agg(json_build_object('role', r.role, 'gymId', r.gym_id))
        FROM memberships r WHERE r.franchise_id = ${franchiseId} AND r.account_id = ${accountId}), '[]') AS roles
    FROM members m JOIN sign_ins s ON s.id = ${signInId} AND s.account_id = m.account_id
      AND s.franchise_id = m.franchise_id AND s.ended_at IS NULL
    WHERE m.franchise_id = ${franchiseId} AND m.account_id = ${accountId} AND m.deactivated_at IS NULL`);
  if (rows.length === 0) throw refuse('not-signed-in', 'That sign-in has ended; sign in again.');
  const row = Row.parse(rows[0]);
  const gym = gymId === null || row.zone === null ? null : { id: gymId, zone: row.zone };
  return { personId: row.person_id, roles: row.roles, gym };
};
