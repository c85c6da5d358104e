import type { Context } from '../../platform/context.ts';
import { drillsById } from '../curriculum/drills-repo.ts';
import type { PlanContent } from '../curriculum/plan-content-schema.ts';
import { namesIn } from '../curriculum/plan-names-repo.ts';
import { allProgressions } from '../curriculum/progressions-repo.ts';
import type { Library } from './adapted-station.ts';
import { drillsOf } from './other-drill.ts';

/** What these contents name, and the drills done beside them. */
export async function loadLibrary(
  ctx: Context,
  contents: readonly PlanContent[],
  others: readonly string[],
): Promise<Library> {
  const planned = contents.flatMap(({ blocks }) => blocks.flatMap(({ stations }) => stations.flatMap(drillsOf)));
  return {
    drills: await drillsById(ctx, [...planned, ...others]),
    // The graph is only asked about drills that take the place of others.
    progressions: others.length === 0 ? [] : await allProgressions(ctx),
    names: await namesIn(ctx, ...contents),
  };
}
