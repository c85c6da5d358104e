import { and, asc, desc, eq, gt, isNull, lte, or, type SQL, sql } from 'drizzle-orm';
import type { Rule } from '../../cover/types.ts';
import type { CoverLock } from '../../enforcement/lock.ts';
import { ruleOf } from '../../enforcement/rule-codec.ts';
import { belongsToGym } from '../../platform/auth/permissions.ts';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { type Paging, pageOf, readIdCursor } from '../../platform/http/paging.ts';
import { instantOf } from '../../platform/http/wire.ts';
import { found } from '../../platform/problem.ts';
import { ratioRules } from '../../tables/staffing.ts';
import type { StoredRule } from '../../tables/stored-rule.ts';
import { getGym } from '../gyms/repo.ts';
import { endOf, versionOn } from './in-force.ts';
import type { RatioRule, WholeRatioRule } from './schema.ts';
import { ruleOnWire } from './written.ts';

type RuleRow = typeof ratioRules.$inferSelect;

interface NewVersion {
  id: string;
  version: number;
  gymId: string | null;
  name: string;
  body: StoredRule;
  from: string;
  until: string | null;
  retired: boolean;
}

/** Versions are only ever added. */
export async function insertVersions(
  ctx: Context,
  _lock: CoverLock,
  versions: readonly NewVersion[],
): Promise<RuleRow[]> {
  return ctx.tx
    .insert(ratioRules)
    .values(
      versions.map((one) => ({
        franchiseId: ctx.franchiseId,
        ...one,
        createdAt: ctx.now,
        createdBy: ctx.accountId,
      })),
    )
    .returning();
}

/** The franchise's rules, and those of gyms that the caller belongs to: of others they may not know. */
function seen(ctx: Context): SQL | undefined {
  const theirs = ctx.roles.map(({ gymId }) => gymId);
  if (theirs.includes(null)) return undefined;
  return or(isNull(ratioRules.gymId), sql`${ratioRules.gymId} = ANY(${sql.param(theirs)}::uuid[])`);
}

/** All versions of a rule, newest first; null when there is no such rule, or none that the caller may know of. */
async function findVersions(ctx: Context, ruleId: string): Promise<[RuleRow, ...RuleRow[]] | null> {
  const [newest, ...older] = await ctx.tx
    .select()
    .from(ratioRules)
    .where(and(ours(ctx, ratioRules), eq(ratioRules.id, ruleId), seen(ctx)))
    .orderBy(desc(ratioRules.version));
  return newest ? [newest, ...older] : null;
}

/** All versions of a rule, newest first. Refuses as not found where there is none that the caller may know of. */
export const getVersions = async (ctx: Context, ruleId: string): Promise<[RuleRow, ...RuleRow[]]> =>
  found(await findVersions(ctx, ruleId), 'ratio rule');

const shown = (row: RuleRow, all: readonly RuleRow[]) => ({
  version: row.version,
  name: row.name,
  from: row.from,
  until: row.retired ? null : endOf(row, all),
  retired: row.retired,
  createdAt: instantOf(row.createdAt),
  rule: ruleOnWire(row.body),
});

/** One version among all of its rule's. */
export const ruleShown = (row: RuleRow, all: readonly RuleRow[]): RatioRule => ({
  id: row.id,
  gymId: row.gymId,
  ...shown(row, all),
  revision: Math.max(...all.map(({ version }) => version)),
});

/** A rule with its versions, newest first; refuses as `getVersions` does. */
export async function getRule(ctx: Context, ruleId: string): Promise<WholeRatioRule> {
  const rows = await getVersions(ctx, ruleId);
  return { ...ruleShown(rows[0], rows), versions: rows.slice(0, 500).map((row) => shown(row, rows)) };
}

/**
 * The newest version of each rule, or the one in force `on` a day; of the franchise and one gym, or of all that the
 * caller belongs to. Refuses a gym that they may not know of.
 */
export async function listRules(
  ctx: Context,
  { limit, cursor }: Paging,
  { gymId, on }: { gymId?: string | undefined; on?: string | undefined },
) {
  if (gymId) found(belongsToGym(ctx.roles, gymId) ? await getGym(ctx, gymId) : null, 'gym');
  const after = readIdCursor(cursor);
  const chosen = await ctx.tx
    .selectDistinctOn([ratioRules.id])
    .from(ratioRules)
    .where(
      and(
        ours(ctx, ratioRules),
        seen(ctx),
        gymId ? or(isNull(ratioRules.gymId), eq(ratioRules.gymId, gymId)) : undefined,
        on ? lte(ratioRules.from, on) : undefined,
        on ? inForceOn(ctx, on) : undefined,
        after ? gt(ratioRules.id, after) : undefined,
      ),
    )
    .orderBy(asc(ratioRules.id), desc(ratioRules.version))
    .limit(limit + 1);
  const all = await versionsOf(
    ctx,
    chosen.map(({ id }) => id),
  );
  return pageOf(
    chosen,
    limit,
    (row) => ruleShown(row, all.get(row.id) ?? [row]),
    (row) => [row.id],
  );
}

/** Nothing newer has begun by that day, and it has not ended. */
const inForceOn = (ctx: Context, day: string): SQL => sql`
  NOT ratio_rules.retired AND (ratio_rules.until_day IS NULL OR ratio_rules.until_day > ${day})
  AND NOT EXISTS (SELECT FROM ratio_rules later WHERE later.franchise_id = ${ctx.franchiseId}
    AND later.id = ratio_rules.id AND later.version > ratio_rules.version AND later.from_day <= ${day})`;

async function versionsOf(ctx: Context, ids: readonly string[]): Promise<Map<string, RuleRow[]>> {
  const all = new Map<string, RuleRow[]>(ids.map((id) => [id, []]));
  if (ids.length === 0) return all;
  const rows = await ctx.tx
    .select()
    .from(ratioRules)
    .where(and(ours(ctx, ratioRules), sql`${ratioRules.id} = ANY(${sql.param(ids)}::uuid[])`))
    .orderBy(desc(ratioRules.version));
  for (const row of rows) all.get(row.id)?.push(row);
  return all;
}

const engineRule = (row: RuleRow, to: string | null): Rule => ({
  ...ruleOf(row.body),
  id: row.id,
  version: row.version,
  owner: row.gymId === null ? 'franchise' : 'gym',
  inForce: { from: row.from, to },
});

export interface NamedRule {
  name: string;
  rule: Rule;
}

/** Every version of the franchise's own rules that is ever in force, each with the days on which it really is. */
export async function franchiseRules(ctx: Context): Promise<NamedRule[]> {
  const rows = await ctx.tx
    .select()
    .from(ratioRules)
    .where(and(ours(ctx, ratioRules), isNull(ratioRules.gymId)));
  return rows.flatMap((row) => {
    const to = endOf(
      row,
      rows.filter(({ id }) => id === row.id),
    );
    if (row.retired || (to !== null && to <= row.from)) return [];
    return [{ name: row.name, rule: engineRule(row, to) }];
  });
}

/** A rule as it stands on a day; where none of its versions does, the newest one; null when there is none to know of. */
export async function findRuleOn(ctx: Context, ruleId: string, day: string): Promise<NamedRule | null> {
  const rows = await findVersions(ctx, ruleId);
  if (rows === null) return null;
  const live = rows.filter(({ retired }) => !retired);
  const row = versionOn(live, day) ?? live[0] ?? rows[0];
  return { name: row.name, rule: engineRule(row, null) };
}
