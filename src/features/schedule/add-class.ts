import { lockGym } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { invalid } from '../../platform/problem.ts';
import { findLevelsOf, insertClass } from './repo.ts';
import type { Class, NewClass } from './schema.ts';

const MINUTES_A_DAY = 24 * 60;

/** Adds a weekly class to a gym; its sessions are laid out later. Refuses one that would run past midnight. */
export async function addClass(ctx: Context, gymId: string, newClass: NewClass): Promise<Class> {
  const { from, until, time, durationMinutes, programmeId } = newClass;
  if (until !== null && until <= from) throw invalid('/until', `Expected a day after ${from}, or null.`);
  const [hours, minutes] = time.split(':').map(Number) as [number, number];
  const left = MINUTES_A_DAY - (hours * 60 + minutes);
  if (durationMinutes > left) {
    throw invalid('/durationMinutes', `A class ends by midnight: from ${time} on it has ${left} minutes at the most.`);
  }

  const levelIds = await findLevelsOf(ctx, programmeId);
  if (levelIds === null) throw invalid('/programmeId', 'There is no such programme.');
  const asked = newClass.levelIds ?? levelIds;
  const stray = asked.findIndex((levelId, index) => !levelIds.includes(levelId) || asked.indexOf(levelId) < index);
  if (stray >= 0) throw invalid(`/levelIds/${stray}`, 'Expected a level of the programme, named once.');

  // Whoever means all classes of the gym means this one too, or it comes after them.
  await lockGym(ctx, gymId, 'shared');
  const levelsInOrder = levelIds.filter((levelId) => asked.includes(levelId));
  const added = await insertClass(ctx, gymId, { ...newClass, levelIds: levelsInOrder });
  await ctx.record('schedule.class-added', { subjectId: added.id, gymId, revision: 1 }, { classId: added.id });
  return added;
}
