import type { Context } from '../../platform/context.ts';
import { unknownIds } from '../../platform/db/unknown-ids.ts';
import { type Fault, refuse } from '../../platform/problem.ts';
import { drills, levels } from '../../tables/curriculum.ts';
import { apparatus } from '../../tables/gyms.ts';
import * as content from './plan-content-repo.ts';
import type { DraftContent, WholePlanVersion } from './plan-schema.ts';
import { takeDraft } from './take-draft.ts';

/** Puts this in place of everything that the draft said. It may be unfinished, but names nothing that is not there. */
export async function replaceDraft(
  ctx: Context,
  planId: string,
  ifMatch: number,
  body: DraftContent,
): Promise<WholePlanVersion> {
  const version = await takeDraft(ctx, planId, ifMatch);
  await refuseUnknown(ctx, body);
  await content.deleteContent(ctx, version.id);
  await content.insertContent(ctx, version.id, body);
  await ctx.record(
    'curriculum.plan-changed',
    { subjectId: version.id, revision: version.revision },
    { planId, number: version.number },
  );
  return { ...version, blocks: await content.contentOf(ctx, version.id) };
}

async function refuseUnknown(ctx: Context, { blocks }: DraftContent): Promise<void> {
  const stations = blocks.flatMap((block, b) =>
    block.stations.map((station, s) => ({ station, at: `/blocks/${b}/stations/${s}` })),
  );
  const steps = stations.flatMap(({ station, at }) =>
    station.steps.map((step, k) => ({ step, at: `${at}/steps/${k}` })),
  );
  const faults: Fault[] = [];
  const named = stations.map(({ station }) => station.apparatusId);
  const unknownApparatus = await unknownIds(ctx, apparatus, named);
  for (const { station, at } of stations) {
    if (unknownApparatus.has(station.apparatusId)) {
      faults.push({ pointer: `${at}/apparatusId`, detail: 'This is no apparatus of the franchise.' });
    }
  }
  const unknownDrills = await unknownIds(
    ctx,
    drills,
    steps.map(({ step }) => step.drillId),
  );
  const unknownLevels = await unknownIds(
    ctx,
    levels,
    steps.flatMap(({ step }) => step.fromLevelId ?? []),
  );
  for (const { step, at } of steps) {
    if (unknownDrills.has(step.drillId)) {
      faults.push({ pointer: `${at}/drillId`, detail: 'This is no drill of the franchise.' });
    }
    if (step.fromLevelId !== null && unknownLevels.has(step.fromLevelId)) {
      faults.push({ pointer: `${at}/fromLevelId`, detail: 'This is no level of the franchise.' });
    }
  }
  const [first] = faults;
  if (first) throw refuse('invalid-request', `${first.pointer}: ${first.detail}`, { errors: faults.slice(0, 100) });
}
