import type { Context } from '../../platform/context.ts';
import { refuse } from '../../platform/problem.ts';
import { examine } from './check-plan.ts';
import * as content from './plan-content-repo.ts';
import type { WholePlanVersion } from './plan-schema.ts';
import * as plans from './plans-repo.ts';
import { spottingOf } from './spotting.ts';
import { takeDraft } from './take-draft.ts';

/**
 * Publishes the draft: what each station asks of its spotter is fixed from its drills as they are now, and the version
 * is frozen. Blocks that are laid out keep the version that they have. Refuses with every fault while it is not whole,
 * when there is no draft, and when it has another revision than `ifMatch` by now.
 */
export async function publishPlan(ctx: Context, planId: string, ifMatch: number): Promise<WholePlanVersion> {
  const draft = await takeDraft(ctx, planId, ifMatch);
  const { blocks, drills, faults } = await examine(ctx, draft);
  const [first] = faults;
  if (first) {
    const more = faults.length > 1 ? ` And ${faults.length - 1} more.` : '';
    throw refuse('plan-not-whole', `${first.detail}${more}`, { errors: faults.slice(0, 200) });
  }
  const stations = blocks.flatMap((block) => block.stations);
  await content.setSpotting(
    ctx,
    stations.map(({ id, steps }) => ({
      station: id,
      spotting: spottingOf(steps.flatMap(({ drillId }) => drills.get(drillId) ?? [])),
    })),
  );
  const version = await plans.setPublished(ctx, draft);
  await ctx.record(
    'curriculum.plan-published',
    { subjectId: version.id, revision: version.revision },
    { planId, number: version.number },
  );
  return { ...version, blocks: await content.contentOf(ctx, version.id) };
}
