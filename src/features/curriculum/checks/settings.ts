import { and, eq, sql } from 'drizzle-orm';
import type { Context } from '../../../platform/context.ts';
import { ours } from '../../../platform/db/tenant.ts';
import { refuse } from '../../../platform/problem.ts';
import { curriculumSettings } from '../../../tables/curriculum-settings.ts';
import { DEFAULT_LIMITS, type Limits } from './limits.ts';
import { type CurriculumSettings, SettableLimits } from './schema.ts';

/** The franchise's limits; until it sets its own, those that are common practice, at revision 1. */
export async function getSettings(ctx: Context): Promise<CurriculumSettings> {
  const [row] = await ctx.tx.select().from(curriculumSettings).where(ours(ctx, curriculumSettings));
  return row
    ? { ...SettableLimits.parse({ ...DEFAULT_LIMITS, ...row.limits }), revision: row.revision }
    : { ...DEFAULT_LIMITS, revision: 1 };
}

/** Puts these in place of all limits. Refuses when somebody else wrote since revision `ifMatch`. */
export async function setSettings(ctx: Context, ifMatch: number, limits: Limits): Promise<CurriculumSettings> {
  const stored = { ...limits };
  // Of two who are the first to set them, one wins: the other waits at the key, and then finds no revision 1.
  const begun =
    ifMatch === 1
      ? await ctx.tx
          .insert(curriculumSettings)
          .values({ franchiseId: ctx.franchiseId, limits: stored, revision: 2 })
          .onConflictDoNothing()
          .returning({ revision: curriculumSettings.revision })
      : await ctx.tx
          .update(curriculumSettings)
          .set({ limits: stored, revision: sql`${curriculumSettings.revision} + 1` })
          .where(and(ours(ctx, curriculumSettings), eq(curriculumSettings.revision, ifMatch)))
          .returning({ revision: curriculumSettings.revision });
  const [row] = begun;
  if (!row) throw refuse('changed-meanwhile', 'The settings have another revision by now.');
  await ctx.record('curriculum.settings-changed', { subjectId: ctx.franchiseId, revision: row.revision }, {});
  return { ...limits, revision: row.revision };
}
