import type { Permission, Scope } from './auth/permissions.ts';
import { type HeldRole, scopesOf } from './auth/permissions.ts';
import type { Tx } from './db/tenant.ts';
import type { About, Happening, Happenings } from './events/catalogue.ts';
import type { Language } from './language.ts';
import { refuse } from './problem.ts';

/** A gym, as far as every question about one goes by it; its zone never changes. */
export interface PathGym {
  id: string;
  zone: string;
}

/** Who asks, in which franchise, inside which transaction. Knows nothing of HTTP. */
export interface Context {
  readonly tx: Tx;
  readonly franchiseId: string;
  /** Null when the service itself acts: the sweep, the seed. */
  readonly accountId: string | null;
  /** The caller as a person of this franchise, where they are one. */
  readonly personId: string | null;
  readonly roles: readonly HeldRole[];
  /** The gym in the path of the request, where it names one. */
  readonly gym: PathGym | null;
  /** What sentences for people are written in. */
  readonly language: Language;
  readonly requestId: string;
  /** The moment of the request: the same throughout. */
  readonly now: Date;
  /** Writes one event beside the change. */
  record<N extends Happening>(name: N, about: About, data: Happenings[N]): Promise<void>;
}

/** The scopes at which the caller holds a permission at a gym: empty is no. */
export const scopesAt = (ctx: Context, permission: Permission, gymId: string | null): Set<Scope> =>
  scopesOf(ctx.roles, permission, gymId);

/** Refuses with 403 unless the caller holds the permission at that gym (null: in the franchise) at one of the scopes. */
export function mayOrRefuse(
  ctx: Context,
  permission: Permission,
  gymId: string | null,
  scopes: readonly Scope[] = ['franchise', 'gym'],
): void {
  const held = scopesAt(ctx, permission, gymId);
  if (!scopes.some((scope) => held.has(scope))) {
    throw refuse('not-allowed', `This needs the permission ${permission}.`, { permission });
  }
}
