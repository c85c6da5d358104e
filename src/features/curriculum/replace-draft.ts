import type { Context } from '../../platform/context.ts';
import { unknownIds } from '../../platform/db/unknown-ids.ts';
import { refuse } from '../../platform/problem.ts';
import { drills, levels } from '../../tables/curriculum.ts';
import { apparatus } from '../../tables/gyms.ts';
import { skills } from '../../tables/people.ts';
import * as content from './plan-content-repo.ts';
import type { DraftContent } from './plan-content-schema.ts';
import { deleteContent, insertContent } from './plan-content-write.ts';
import { namingFaults, namingsIn } from './plan-namings.ts';
import type { WholePlanVersion } from './plan-schema.ts';
import { takeDraft } from './take-draft.ts';

/**
 * Puts this in place of everything that the draft said. It may be unfinished, but names nothing that is not there, and
 * nothing twice where once is meant.
 */
export async function replaceDraft(
  ctx: Context,
  planId: string,
  ifMatch: number,
  body: DraftContent,
): Promise<WholePlanVersion> {
  const version = await takeDraft(ctx, planId, ifMatch);
  await refuseUnknown(ctx, body);
  await deleteContent(ctx, version.id);
  await insertContent(ctx, version.id, body);
  await ctx.record(
    'curriculum.plan-changed',
    { subjectId: version.id, revision: version.revision },
    { planId, number: version.number },
  );
  return { ...version, ...(await content.contentOf(ctx, version.id)) };
}

const unknownOf = (ctx: Context, table: Parameters<typeof unknownIds>[1], namings: readonly { id: string }[]) =>
  unknownIds(
    ctx,
    table,
    namings.map(({ id }) => id),
  );

async function refuseUnknown(ctx: Context, body: DraftContent): Promise<void> {
  const named = namingsIn(body);
  const faults = namingFaults(named, {
    apparatus: await unknownOf(ctx, apparatus, named.apparatus),
    skill: await unknownOf(ctx, skills, named.skill),
    drill: await unknownOf(ctx, drills, named.drill),
    level: await unknownOf(ctx, levels, named.level),
  });
  const [first] = faults;
  if (first) throw refuse('invalid-request', `${first.pointer}: ${first.detail}`, { errors: faults.slice(0, 100) });
}
