import type { Context } from '../../platform/context.ts';
import { refuse } from '../../platform/problem.ts';
import { examine } from './check-plan.ts';
import * as content from './plan-content-repo.ts';
import { holdDrills, setDrillSpotting, setSpotting } from './plan-content-write.ts';
import type { Publication, WholePlanVersion } from './plan-schema.ts';
import * as plans from './plans-repo.ts';
import { needOf, spottingOf } from './spotting.ts';
import { takeDraft } from './take-draft.ts';

/**
 * Publishes the draft: what each station asks of its spotter is fixed from its drills as they are now, and the version
 * is frozen. Where a step has drills to choose from, all of them count: whoever stands there can spot what is chosen.
 * Blocks that are laid out keep the version that they have. Refuses with every fault while it is not whole, when there
 * is no draft, and when it has another revision than `ifMatch` by now.
 */
export async function publishPlan(
  ctx: Context,
  planId: string,
  ifMatch: number,
  publication: Publication = {},
): Promise<WholePlanVersion> {
  const draft = await takeDraft(ctx, planId, ifMatch);
  await holdDrills(ctx, draft.id);
  const { blocks, drills, faults } = await examine(ctx, draft);
  const [first] = faults;
  if (first) {
    const more = faults.length > 1 ? ` And ${faults.length - 1} more.` : '';
    throw refuse('plan-not-whole', `${first.detail}${more}`, { errors: faults.slice(0, 200) });
  }
  const stations = blocks.flatMap((block) => block.stations);
  await setSpotting(
    ctx,
    stations.map(({ id, steps }) => ({
      station: id,
      spotting: spottingOf(steps.flatMap(({ drillIds }) => drillIds.flatMap((drillId) => drills.get(drillId) ?? []))),
    })),
  );
  await setDrillSpotting(
    ctx,
    draft.id,
    [...drills.values()].map((drill) => ({ drill: drill.id, spotting: needOf(drill) })),
  );
  const version = await plans.setPublished(ctx, draft, publication);
  await ctx.record(
    'curriculum.plan-published',
    { subjectId: version.id, revision: version.revision },
    { planId, number: version.number },
  );
  return { ...version, ...(await content.contentOf(ctx, version.id)) };
}
