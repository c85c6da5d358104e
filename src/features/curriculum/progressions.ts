import type { Context } from '../../platform/context.ts';
import { invalid, refuse } from '../../platform/problem.ts';
import * as repo from './drills-repo.ts';
import type { Progression } from './schema.ts';

/** The easier drill leads to the harder one. Refuses what would close a circle, and names the circle. */
export async function addProgression(ctx: Context, step: Progression): Promise<Progression> {
  const drills = await repo.drillsById(ctx, [step.easierId, step.harderId]);
  for (const end of ['easierId', 'harderId'] as const) {
    if (!drills.has(step[end])) throw invalid(`/${end}`, 'This is no drill of the franchise.');
  }
  await repo.lockProgressions(ctx);
  const way = shortestWay(await repo.allProgressions(ctx), step.harderId, step.easierId);
  if (way !== null) {
    const names = await repo.drillsById(ctx, way.slice(0, 20));
    const said = way.slice(0, 20).map((id) => `"${names.get(id)?.name}"`);
    const already =
      way.length === 1 ? `${said[0]} cannot lead to itself.` : `There is a way already: ${said.join(', ')}.`;
    throw refuse('progression-cycle', already, { cycle: way.slice(0, 500) });
  }
  await repo.insertProgression(ctx, step);
  await ctx.record('curriculum.progression-added', { subjectId: step.harderId }, step);
  return step;
}

/** Refuses as not found where there is no such step. */
export async function removeProgression(ctx: Context, step: Progression): Promise<void> {
  await repo.lockProgressions(ctx);
  await repo.deleteProgression(ctx, step);
  await ctx.record('curriculum.progression-removed', { subjectId: step.harderId }, step);
}

/** The drills from `start` to `end` along the progressions, both included; null where no way leads there. */
function shortestWay(steps: readonly Progression[], start: string, end: string): string[] | null {
  const next = new Map<string, string[]>();
  for (const { easierId, harderId } of steps) next.set(easierId, [...(next.get(easierId) ?? []), harderId]);
  const cameFrom = new Map<string, string | null>([[start, null]]);
  for (const at of cameFrom.keys()) {
    if (at === end) return wayBack(cameFrom, end);
    for (const to of next.get(at) ?? []) if (!cameFrom.has(to)) cameFrom.set(to, at);
  }
  return null;
}

function wayBack(cameFrom: ReadonlyMap<string, string | null>, end: string): string[] {
  const way: string[] = [];
  for (let at: string | null = end; at !== null; at = cameFrom.get(at) ?? null) way.unshift(at);
  return way;
}
