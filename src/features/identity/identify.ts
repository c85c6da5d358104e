import { sql } from 'drizzle-orm';
import { z } from 'zod';
import { ROLES } from '../../platform/auth/permissions.ts';
import { type Given, statement } from '../../platform/db/statement.ts';
import type { Identify } from '../../platform/http/mount.ts';
import { refuse } from '../../platform/problem.ts';

const Row = z.object({
  personId: z.string().nullable(),
  zone: z.string().nullable(),
  roles: z.array(z.object({ role: z.enum(ROLES), gymId: z.string().nullable() })),
});

/** One statement: the sign-in still stands, the account is active here, and these are its roles at this moment, and the gym asked for. */
export const identify: Identify = async (tx, { franchiseId, accountId, signInId }, gymId) => {
  const [found] = await selectWho({ tx, franchiseId }, { accountId, signInId, gymId });
  if (found === undefined) throw refuse('not-signed-in', 'That sign-in has ended; sign in again.');
  const { personId, zone, roles } = Row.parse(found);
  return { personId, roles, gym: gymId === null || zone === null ? null : { id: gymId, zone } };
};

type Asked = { accountId: string; signInId: string; gymId: string | null };

const selectWho = statement((tx, given: Given<Asked>) => {
  const { franchiseId } = given;
  return tx
    .select({
      personId: sql`m.person_id`,
      zone: sql`(SELECT g.zone FROM gyms g WHERE g.franchise_id = ${franchiseId} AND g.id = ${given('gymId')}::uuid)`,
      roles: sql`coalesce((
        SELECT json_agg(json_build_object('role', r.role, 'gymId', r.gym_id)) FROM memberships r
        WHERE r.franchise_id = ${franchiseId} AND r.account_id = ${given('accountId')}), '[]')`,
    })
    .from(
      sql`members m JOIN sign_ins s ON s.id = ${given('signInId')} AND s.account_id = m.account_id
        AND s.franchise_id = m.franchise_id AND s.ended_at IS NULL`,
    )
    .where(sql`m.franchise_id = ${franchiseId} AND m.account_id = ${given('accountId')} AND m.deactivated_at IS NULL`);
});
