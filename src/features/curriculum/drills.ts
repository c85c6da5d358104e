import type { Context } from '../../platform/context.ts';
import { unknownIds } from '../../platform/db/unknown-ids.ts';
import { invalid } from '../../platform/problem.ts';
import { apparatus } from '../../tables/gyms.ts';
import { skills } from '../../tables/people.ts';
import { refuseUnknownKinds } from '../people/kinds.ts';
import * as repo from './drills-repo.ts';
import type { Drill, DrillChanges, NewDrill } from './schema.ts';

/** Refuses what names an apparatus, a kind, a grade or a skill that is not there, and a kind that is not for spotting. */
export async function addDrill(ctx: Context, body: NewDrill): Promise<Drill> {
  await checkDrill(ctx, body);
  await checkSpotter(ctx, body.spotting);
  const drill = await repo.insertDrill(ctx, body);
  await ctx.record('curriculum.drill-added', { subjectId: drill.id, revision: 1 }, { drillId: drill.id });
  return drill;
}

/**
 * Published plans keep what they asked for when they were published; drafts follow the drill. Refuses what a new drill is
 * refused for, and when the drill has another revision than `ifMatch` by now.
 */
export async function changeDrill(
  ctx: Context,
  drillId: string,
  ifMatch: number,
  changes: DrillChanges,
): Promise<Drill> {
  const before = await repo.getDrill(ctx, drillId);
  await checkDrill(ctx, {
    apparatusId: changes.apparatusId ?? before.apparatusId,
    spotting: changes.spotting ?? before.spotting,
    skills: changes.skills ?? before.skills,
  });
  if (changes.spotting) await checkSpotter(ctx, changes.spotting);
  const drill = await repo.updateDrill(ctx, drillId, ifMatch, changes);
  await ctx.record('curriculum.drill-changed', { subjectId: drillId, revision: drill.revision }, { drillId });
  return drill;
}

/** Refuses a spotter of no such kind or grade, and of a kind that is not for spotting. */
async function checkSpotter(ctx: Context, spotting: NewDrill['spotting']): Promise<void> {
  if (spotting.mode === 'none') return;
  const { kindId, grade } = spotting;
  const at = { atKind: '/spotting/kindId', atGrade: '/spotting/grade' };
  await refuseUnknownKinds(ctx, [{ kindId, grade, ...at, goodFor: ['spotting'] }]);
}

async function checkDrill(
  ctx: Context,
  { apparatusId, spotting, skills: taught }: Pick<NewDrill, 'apparatusId' | 'spotting' | 'skills'>,
): Promise<void> {
  if ((await unknownIds(ctx, apparatus, [apparatusId])).size > 0) {
    throw invalid('/apparatusId', 'This is no apparatus of the franchise.');
  }
  const unknown = await unknownIds(
    ctx,
    skills,
    taught.map(({ skillId }) => skillId),
  );
  const seen = new Set<string>();
  for (const [at, { skillId, signOff }] of taught.entries()) {
    if (unknown.has(skillId)) throw invalid(`/skills/${at}/skillId`, 'This is no skill of the franchise.');
    if (seen.has(skillId)) throw invalid(`/skills/${at}/skillId`, 'Name each skill once.');
    if (signOff !== null && spotting.mode === 'none') {
      throw invalid(
        `/skills/${at}/signOff`,
        'Nobody spots this drill, so there is nothing to be signed off for: null.',
      );
    }
    seen.add(skillId);
  }
}
