import type { Context } from '../../platform/context.ts';
import { unknownIds } from '../../platform/db/unknown-ids.ts';
import { invalid } from '../../platform/problem.ts';
import { apparatus } from '../../tables/gyms.ts';
import { skills } from '../../tables/people.ts';
import { getApparatus } from '../gyms/repo.ts';
import { refuseUnknownKinds } from '../people/kinds.ts';
import * as repo from './drills-repo.ts';
import { isHigher } from './progressions.ts';
import { allProgressions, lockProgressions } from './progressions-repo.ts';
import { levelPlaces } from './repo.ts';
import type { Drill, DrillChanges, NewDrill } from './schema.ts';

/**
 * Refuses what names an apparatus, a level, a kind, a grade or a skill that is not there, and a kind that is not for
 * spotting. A turn takes as long as its apparatus says, where the drill says nothing else.
 */
export async function addDrill(ctx: Context, { secondsATurn, ...body }: NewDrill): Promise<Drill> {
  await checkDrill(ctx, body);
  await checkSpotter(ctx, body.spotting);
  const seconds = secondsATurn ?? (await getApparatus(ctx, body.apparatusId)).secondsATurn;
  const drill = await repo.insertDrill(ctx, { ...body, secondsATurn: seconds });
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
  if (changes.height !== undefined) await lockProgressions(ctx);
  const before = await repo.getDrill(ctx, drillId);
  await checkDrill(ctx, {
    apparatusId: changes.apparatusId ?? before.apparatusId,
    spotting: changes.spotting ?? before.spotting,
    skills: changes.skills ?? before.skills,
    // What was said before may have been moved since: only what is said now is judged.
    levels: changes.levels ?? [],
    equipment: changes.equipment ?? before.equipment,
  });
  if (changes.spotting) await checkSpotter(ctx, changes.spotting);
  if (changes.height !== undefined) await checkRungs(ctx, drillId, changes.height);
  const drill = await repo.updateDrill(ctx, drillId, ifMatch, changes);
  const about = { subjectId: drillId, revision: drill.revision };
  if (drill.retired === before.retired) await ctx.record('curriculum.drill-changed', about, { drillId });
  else await ctx.record(drill.retired ? 'curriculum.drill-retired' : 'curriculum.drill-restored', about, { drillId });
  return drill;
}

/** Refuses a height that would put the drill on no higher rung than what leads to it, or on no lower one than what follows. */
async function checkRungs(ctx: Context, drillId: string, height: Drill['height']): Promise<void> {
  const steps = (await allProgressions(ctx)).filter(
    ({ kind, easierId, harderId }) => kind === 'height' && [easierId, harderId].includes(drillId),
  );
  const others = await repo.drillsById(
    ctx,
    steps.flatMap(({ easierId, harderId }) => [easierId, harderId]),
  );
  const heightOf = (id: string) => (id === drillId ? height : (others.get(id)?.height ?? null));
  const broken = steps.find(({ easierId, harderId }) => !isHigher(heightOf(easierId), heightOf(harderId)));
  if (!broken) return;
  const other = others.get(broken.easierId === drillId ? broken.harderId : broken.easierId);
  throw invalid('/height', `It is on a height ladder with "${other?.name}": take that step away first.`);
}

/** Refuses a spotter of no such kind or grade, and of a kind that is not for spotting. */
async function checkSpotter(ctx: Context, spotting: NewDrill['spotting']): Promise<void> {
  if (spotting.mode === 'none') return;
  const { kindId, grade } = spotting;
  const at = { atKind: '/spotting/kindId', atGrade: '/spotting/grade' };
  await refuseUnknownKinds(ctx, [{ kindId, grade, ...at, goodFor: ['spotting'] }]);
}

type Named = Pick<NewDrill, 'apparatusId' | 'spotting' | 'skills' | 'levels' | 'equipment'>;

async function checkDrill(ctx: Context, { apparatusId, spotting, skills: taught, levels, equipment }: Named) {
  await checkApparatus(ctx, apparatusId, equipment);
  await checkLevels(ctx, levels);
  const unknown = await unknownIds(
    ctx,
    skills,
    taught.map(({ skillId }) => skillId),
  );
  for (const [at, { skillId, signOff }] of taught.entries()) {
    if (unknown.has(skillId)) throw invalid(`/skills/${at}/skillId`, 'This is no skill of the franchise.');
    if (taught.findIndex((one) => one.skillId === skillId) < at) {
      throw invalid(`/skills/${at}/skillId`, 'Name each skill once.');
    }
    if (signOff !== null && spotting.mode === 'none') {
      throw invalid(
        `/skills/${at}/signOff`,
        'Nobody spots this drill, so there is nothing to be signed off for: null.',
      );
    }
  }
}

async function checkApparatus(ctx: Context, apparatusId: string, equipment: NewDrill['equipment']): Promise<void> {
  const raises = equipment.flatMap(({ fit }) => fit?.raise?.apparatusId ?? []);
  const named = [apparatusId, ...equipment.map((one) => one.apparatusId), ...raises];
  const unknown = await unknownIds(ctx, apparatus, named);
  const none = 'This is no apparatus of the franchise.';
  if (unknown.has(apparatusId)) throw invalid('/apparatusId', none);
  for (const [at, one] of equipment.entries()) {
    if (unknown.has(one.apparatusId)) throw invalid(`/equipment/${at}/apparatusId`, none);
    if (equipment.findIndex((other) => other.apparatusId === one.apparatusId) < at) {
      throw invalid(`/equipment/${at}/apparatusId`, 'Name each piece once, with how many of it.');
    }
    if (one.fit?.raise && unknown.has(one.fit.raise.apparatusId)) {
      throw invalid(`/equipment/${at}/fit/raise/apparatusId`, none);
    }
  }
}

async function checkLevels(ctx: Context, ranges: NewDrill['levels']): Promise<void> {
  if (ranges.length === 0) return;
  const places = await levelPlaces(
    ctx,
    ranges.flatMap(({ fromLevelId, toLevelId }) => [fromLevelId, toLevelId]),
  );
  for (const [at, { programmeId, fromLevelId, toLevelId }] of ranges.entries()) {
    const [from, to] = [places.get(fromLevelId), places.get(toLevelId)];
    if (from?.programmeId !== programmeId) {
      throw invalid(`/levels/${at}/fromLevelId`, 'This is no level of that programme.');
    }
    if (to?.programmeId !== programmeId)
      throw invalid(`/levels/${at}/toLevelId`, 'This is no level of that programme.');
    if (to.position < from.position) throw invalid(`/levels/${at}/toLevelId`, 'This level comes before the first one.');
    if (ranges.findIndex((one) => one.programmeId === programmeId) < at) {
      throw invalid(`/levels/${at}/programmeId`, 'Name each programme once.');
    }
  }
}
