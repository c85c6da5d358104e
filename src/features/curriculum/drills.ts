import type { Context } from '../../platform/context.ts';
import { unknownIds } from '../../platform/db/unknown-ids.ts';
import { invalid } from '../../platform/problem.ts';
import { apparatus } from '../../tables/gyms.ts';
import { skills } from '../../tables/people.ts';
import * as repo from './drills-repo.ts';
import type { Drill, DrillChanges, NewDrill } from './schema.ts';

export async function addDrill(ctx: Context, body: NewDrill): Promise<Drill> {
  await checkDrill(ctx, body);
  const drill = await repo.insertDrill(ctx, body);
  await ctx.record('curriculum.drill-added', { subjectId: drill.id, revision: 1 }, { drillId: drill.id });
  return drill;
}

/** Published plans keep what they asked for when they were published; drafts follow the drill. */
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
  const drill = await repo.updateDrill(ctx, drillId, ifMatch, changes);
  await ctx.record('curriculum.drill-changed', { subjectId: drillId, revision: drill.revision }, { drillId });
  return drill;
}

async function checkDrill(
  ctx: Context,
  { apparatusId, spotting, skills: taught }: Pick<NewDrill, 'apparatusId' | 'spotting' | 'skills'>,
): Promise<void> {
  if ((await unknownIds(ctx, apparatus, [apparatusId])).size > 0) {
    throw invalid('/apparatusId', 'This is no apparatus of the franchise.');
  }
  if (spotting.mode !== 'none') {
    const grades = await repo.gradesOf(ctx, spotting.kindId);
    if (grades === null) throw invalid('/spotting/kindId', 'This is no kind of qualification of the franchise.');
    if (spotting.grade > grades) {
      throw invalid('/spotting/grade', `That kind of qualification has ${grades} grades; expected at most ${grades}.`);
    }
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
