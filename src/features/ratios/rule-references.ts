import { and, inArray, ne } from 'drizzle-orm';
import type { Scope } from '../../cover/types.ts';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { unknownIds } from '../../platform/db/unknown-ids.ts';
import type { Fault } from '../../platform/problem.ts';
import * as t from '../../tables/index.ts';
import type { StoredRule } from '../../tables/stored-rule.ts';
import { faultsInKinds } from '../people/kinds.ts';
import { testsIn } from './rule-check.ts';

/** What a rule names that is not there: kinds of qualification and their grades, and where it holds. */
export async function faultsInReferences(
  ctx: Context,
  rule: StoredRule,
  gymId: string | null,
  at: string,
): Promise<Fault[]> {
  return [
    ...(await faultsInTests(ctx, rule, at)),
    ...(await faultsInScope(ctx, rule.scope, gymId, `${at}/scope`)),
    ...(await faultsInScope(ctx, rule.except ?? {}, gymId, `${at}/except`)),
  ];
}

const faultsInTests = (ctx: Context, rule: StoredRule, at: string): Promise<Fault[]> =>
  faultsInKinds(
    ctx,
    [...testsIn(rule, at)].flatMap(({ pointer, test }) =>
      test.test === 'holds'
        ? [{ kindId: test.kind, grade: test.grade, atKind: `${pointer}/kind`, atGrade: `${pointer}/grade` }]
        : [],
    ),
  );

/** The franchise's kinds of qualification, by their ids. */
export type Kinds = ReadonlyMap<string, { name: string; grades: string[] }>;

/** The franchise's kinds of qualification. */
export async function kindsOf(ctx: Context): Promise<Kinds> {
  const rows = await ctx.tx
    .select({
      id: t.qualificationKinds.id,
      name: t.qualificationKinds.name,
      grades: t.qualificationKinds.grades,
    })
    .from(t.qualificationKinds)
    .where(ours(ctx, t.qualificationKinds));
  return new Map(rows.map(({ id, ...kind }) => [id, kind]));
}

const SCOPED = [
  ['programme', t.programmes, 'programme of the franchise'],
  ['level', t.levels, 'level of the franchise'],
  ['apparatus', t.apparatus, 'apparatus of the franchise'],
  ['area', t.areas, 'area of the franchise'],
] as const;

/** What a scope names that is not there; a gym's rule names areas of its own. */
export async function faultsInScope(ctx: Context, scope: Scope, gymId: string | null, at: string): Promise<Fault[]> {
  const faults: Fault[] = [];
  for (const [word, table, what] of SCOPED) {
    const named = scope[word] ?? [];
    const unknown = await unknownIds(ctx, table, named);
    const elsewhere = word === 'area' && gymId !== null ? await areasElsewhere(ctx, named, gymId) : new Set<string>();
    for (const [i, id] of named.entries()) {
      if (unknown.has(id)) faults.push({ pointer: `${at}/${word}/${i}`, detail: `This is no ${what}.` });
      if (elsewhere.has(id)) faults.push({ pointer: `${at}/${word}/${i}`, detail: 'This is an area of another gym.' });
    }
  }
  return faults;
}

async function areasElsewhere(ctx: Context, ids: readonly string[], gymId: string): Promise<Set<string>> {
  if (ids.length === 0) return new Set();
  const rows = await ctx.tx
    .select({ id: t.areas.id })
    .from(t.areas)
    .where(and(ours(ctx, t.areas), inArray(t.areas.id, [...ids]), ne(t.areas.gymId, gymId)));
  return new Set(rows.map(({ id }) => id));
}
