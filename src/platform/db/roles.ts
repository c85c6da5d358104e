import type pg from 'pg';
import { CannotStart, errorCode } from '../cannot-start.ts';
import { unreachable } from './migrate.ts';

/**
 * What the service runs as: made by the migrations, which grant it what it needs. It owns nothing and can't bypass
 * row security, so a statement that forgets its franchise finds no row.
 */
export const SERVICE_ROLE = 'matside_service';

/** Lets the service role sign in by itself. Idempotent. */
export async function giveServicePassword(owner: pg.Client, password: string): Promise<void> {
  await owner.query(`ALTER ROLE ${SERVICE_ROLE} LOGIN PASSWORD ${owner.escapeLiteral(password)}`);
}

/**
 * Sees that the user in `serviceUrl` can act as the service role, as far as the owner may arrange it: the role itself
 * gets the URL's password if it could not sign in so far, any other user becomes a member.
 */
export async function admitServiceUser(owner: pg.Client, serviceUrl: string): Promise<void> {
  const { username, password } = new URL(serviceUrl);
  const user = decodeURIComponent(username);
  const { rows } = await owner.query<{ login: boolean; member: boolean }>(
    "SELECT rolcanlogin AS login, pg_has_role(oid, $2::name, 'USAGE') AS member FROM pg_roles WHERE rolname = $1",
    [user, SERVICE_ROLE],
  );
  const known = rows[0];
  if (known === undefined) return;
  if (user === SERVICE_ROLE && !known.login && password !== '') {
    await giveServicePassword(owner, decodeURIComponent(password));
  } else if (!known.member) {
    await grantServiceRole(owner, user);
  }
}

/** Where one sign-in serves both purposes, its user must be allowed to step down to the service role. */
export async function admitOwnerAsService(owner: pg.Client): Promise<void> {
  const { rows } = await owner.query<{ user: string; superuser: boolean }>(
    'SELECT rolname AS user, rolsuper AS superuser FROM pg_roles WHERE rolname = current_user',
  );
  const me = rows[0]!;
  if (!me.superuser) await grantServiceRole(owner, me.user);
}

async function grantServiceRole(owner: pg.Client, user: string): Promise<void> {
  try {
    await owner.query(`GRANT ${SERVICE_ROLE} TO ${owner.escapeIdentifier(user)}`);
  } catch (error) {
    if (errorCode(error) !== '42501') throw error;
    throw new CannotStart(
      `The database user "${user}" may not act as ${SERVICE_ROLE}; have an administrator run: GRANT ${SERVICE_ROLE} TO "${user}".`,
    );
  }
}

/**
 * Refuses to go on with a pool whose statements row security would not hold back, whatever the way: a superuser, the
 * attribute itself, membership in a role that has either, or owning what is to be protected.
 */
export async function refusePrivileged(pool: pg.Pool, serviceUrl: string): Promise<void> {
  const { rows } = await pool
    .query<{ user: string; bypasses: boolean; owns: boolean }>(
      `SELECT current_user AS user,
        EXISTS (SELECT FROM pg_roles
                WHERE (rolsuper OR rolbypassrls) AND pg_has_role(current_user, oid, 'MEMBER')) AS bypasses,
        EXISTS (SELECT FROM pg_class
                WHERE relkind IN ('r', 'p') AND relnamespace = 'public'::regnamespace
                  AND pg_has_role(current_user, relowner, 'MEMBER')) AS owns`,
    )
    .catch((error: unknown) => {
      throw unreachable(serviceUrl, error);
    });
  const { user, bypasses, owns } = rows[0]!;
  if (!bypasses && !owns) return;
  const why = bypasses ? 'may bypass row security' : 'owns the tables';
  throw new CannotStart(
    `The service would run as the database user "${user}", who ${why}, so franchises would not be kept apart; let DATABASE_URL sign in as ${SERVICE_ROLE}, and put this user in DATABASE_DIRECT_URL.`,
  );
}
