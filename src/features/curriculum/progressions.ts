import type { Context } from '../../platform/context.ts';
import { invalid, refuse } from '../../platform/problem.ts';
import { HEIGHTS } from '../../tables/curriculum.ts';
import { drillsById } from './drills-repo.ts';
import { circleWith } from './progression-graph.ts';
import * as repo from './progressions-repo.ts';
import { type Drill, MOST_STEPS_TO, type Progression } from './schema.ts';

/** The easier drill leads to the harder one. Refuses what would close a circle, and names the circle. */
export async function addProgression(ctx: Context, step: Progression): Promise<Progression> {
  await repo.lockProgressions(ctx);
  const drills = await drillsById(ctx, [step.easierId, step.harderId]);
  const [easier, harder] = [drills.get(step.easierId), drills.get(step.harderId)];
  if (!easier) throw invalid('/easierId', 'This is no drill of the franchise.');
  if (!harder) throw invalid('/harderId', 'This is no drill of the franchise.');
  if (step.kind === 'height' && !isHigher(easier.height, harder.height)) {
    throw invalid('/kind', `"${harder.name}" is not on a higher rung than "${easier.name}": give both their heights.`);
  }
  const steps = await repo.allProgressions(ctx);
  if (steps.filter(({ harderId }) => harderId === harder.id).length >= MOST_STEPS_TO) {
    throw invalid('/harderId', `${MOST_STEPS_TO} drills lead to "${harder.name}" already: as many as may.`);
  }
  const circle = circleWith(steps, step);
  if (circle !== null) throw await refusalOf(ctx, circle);
  await repo.insertProgressions(ctx, [step]);
  const { easierId, harderId } = step;
  await ctx.record('curriculum.progression-added', { subjectId: harderId }, { easierId, harderId });
  return step;
}

/** Is the second on a higher rung than the first? Not where either is on none. */
export const isHigher = (lower: Drill['height'], higher: Drill['height']): boolean =>
  lower !== null && higher !== null && HEIGHTS.indexOf(lower) < HEIGHTS.indexOf(higher);

/** A circle said by the names of its drills in their order, the first again at the end. */
export const circleSaid = (names: readonly string[]): string =>
  names.length === 1
    ? `"${names[0]}" cannot lead to itself.`
    : `It would go round in a circle: ${[...names, names[0]].map((name) => `"${name}"`).join(', then ')}.`;

async function refusalOf(ctx: Context, circle: readonly string[]) {
  const cycle = circle.slice(0, 500);
  const drills = await drillsById(ctx, cycle);
  const names = cycle.map((id) => drills.get(id)?.name ?? '');
  const detail = circleSaid(names);
  return refuse('progression-cycle', detail.length > 4000 ? `${detail.slice(0, 3990)} …` : detail, { cycle, names });
}

/** Refuses as not found where there is no such step. */
export async function removeProgression(
  ctx: Context,
  { easierId, harderId }: Pick<Progression, 'easierId' | 'harderId'>,
): Promise<void> {
  await repo.lockProgressions(ctx);
  await repo.deleteProgression(ctx, { easierId, harderId });
  await ctx.record('curriculum.progression-removed', { subjectId: harderId }, { easierId, harderId });
}
