import type { Context } from '../../platform/context.ts';
import * as content from './plan-content-repo.ts';
import { insertContent } from './plan-content-write.ts';
import type { WholePlanVersion } from './plan-schema.ts';
import * as plans from './plans-repo.ts';

/** A new draft with the content of the newest version. Refuses while there is a draft. */
export async function startVersion(ctx: Context, planId: string): Promise<WholePlanVersion> {
  const newest = await plans.newestVersion(ctx, planId);
  const version = await plans.insertVersion(ctx, planId, newest.number + 1);
  await insertContent(ctx, version.id, await content.contentOf(ctx, newest.id));
  await ctx.record(
    'curriculum.plan-drafted',
    { subjectId: version.id, revision: version.revision },
    { planId, number: version.number },
  );
  return { ...version, ...(await content.contentOf(ctx, version.id)) };
}
