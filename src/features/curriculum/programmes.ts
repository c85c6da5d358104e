import type { Context } from '../../platform/context.ts';
import { invalid, refuse } from '../../platform/problem.ts';
import * as repo from './repo.ts';
import type { NewProgramme, NewSkill, Programme, ProgrammeChange, Skill } from './schema.ts';

/** Refuses a name that another programme has, and two levels of one name. */
export async function addProgramme(ctx: Context, body: NewProgramme): Promise<Programme> {
  refuseNamesakes(body.levels);
  const programme = await repo.insertProgramme(ctx, body);
  const about = { subjectId: programme.id, revision: programme.revision };
  await ctx.record('curriculum.programme-added', about, { programmeId: programme.id });
  return programme;
}

/** Levels may be renamed, moved and added; one that plans and classes may name does not go away. */
export async function changeProgramme(
  ctx: Context,
  programmeId: string,
  ifMatch: number,
  change: ProgrammeChange,
): Promise<Programme> {
  const { levels, revision } = await repo.getProgramme(ctx, programmeId);
  if (revision !== ifMatch) throw refuse('changed-meanwhile', 'The programme has another revision by now.');
  refuseNamesakes(change.levels);
  const known = new Set(levels.map(({ id }) => id));
  const seen = new Set<string>();
  for (const [at, { id }] of change.levels.entries()) {
    if (id === null) continue;
    if (!known.has(id)) throw invalid(`/levels/${at}/id`, 'This is no level of the programme; null makes a new one.');
    if (seen.has(id)) throw invalid(`/levels/${at}/id`, 'Name each level once.');
    seen.add(id);
  }
  const left = levels.find(({ id }) => !seen.has(id));
  if (left) throw invalid('/levels', `Name every level: "${left.name}" is missing, and a level does not go away.`);
  const programme = await repo.updateProgramme(ctx, programmeId, ifMatch, change);
  await ctx.record(
    'curriculum.programme-changed',
    { subjectId: programmeId, revision: programme.revision },
    { programmeId },
  );
  return programme;
}

/** A level is named by its name in a file: two of one name in a programme could not be told apart. */
function refuseNamesakes(levels: readonly { name: string }[]): void {
  const names = levels.map(({ name }) => name.toLowerCase());
  const at = names.findIndex((name, index) => names.indexOf(name) < index);
  if (at >= 0) throw invalid(`/levels/${at}/name`, 'Another level of the programme has that name.');
}

/** Refuses an apparatus that is not there, and a name that another skill on it has. */
export async function addSkill(ctx: Context, body: NewSkill): Promise<Skill> {
  const skill = await repo.insertSkill(ctx, body);
  await ctx.record('curriculum.skill-added', { subjectId: skill.id, revision: 1 }, { skillId: skill.id });
  return skill;
}
