import { z } from 'zod';
import { Grade, Id, Line, Name, PageQuery, page, Revision, Text } from '../../platform/http/wire.ts';
import { SignOffLevel } from '../people/staff-schema.ts';

export const ProgrammeRef = z.strictObject({ programmeId: Id });
export const DrillRef = z.strictObject({ drillId: Id });
export const ProgressionRef = z.strictObject({ easierId: Id, harderId: Id });

const Levels = <T extends z.ZodType>(level: T) =>
  z.array(level).min(1).max(20).meta({ description: 'In order: the first is where a beginner starts' });

export const NewProgramme = z
  .strictObject({ name: Name, levels: Levels(z.strictObject({ name: Line(80) })) })
  .meta({ id: 'NewProgramme', example: { name: 'First rolls', levels: [{ name: 'Acorn' }, { name: 'Sapling' }] } });
export type NewProgramme = z.output<typeof NewProgramme>;

export const ProgrammeChange = z
  .strictObject({
    name: Name,
    levels: Levels(z.strictObject({ id: Id.nullable().meta({ description: 'Null: a new level' }), name: Line(80) })),
  })
  .meta({ id: 'ProgrammeChange' });
export type ProgrammeChange = z.output<typeof ProgrammeChange>;

export const Programme = z
  .strictObject({
    id: Id,
    name: Name,
    levels: Levels(z.strictObject({ id: Id, name: Line(80) })),
    revision: Revision,
  })
  .meta({ id: 'Programme' });
export type Programme = z.output<typeof Programme>;
export const ProgrammePage = page(Programme, 'ProgrammePage');

export const SkillQuery = z.strictObject({ ...PageQuery, apparatusId: Id.optional() });
const skill = { name: Name, apparatusId: Id };
export const NewSkill = z.strictObject(skill).meta({ id: 'NewSkill' });
export type NewSkill = z.output<typeof NewSkill>;
export const Skill = z.strictObject({ id: Id, ...skill }).meta({ id: 'Skill' });
export type Skill = z.output<typeof Skill>;
export const SkillPage = page(Skill, 'SkillPage');

export const LowestGrade = Grade.meta({ description: 'The lowest grade that will do; 1 is the first' });

/** What a drill asks of whoever stands by it. */
export const DrillSpotting = z
  .discriminatedUnion('mode', [
    z.strictObject({ mode: z.literal('none') }),
    z.strictObject({ mode: z.enum(['stand-by', 'hands-on']), kindId: Id, grade: LowestGrade }),
  ])
  .meta({ id: 'DrillSpotting', description: 'Who has to spot it: the kind of qualification and its lowest grade' });
export type DrillSpotting = z.output<typeof DrillSpotting>;

const drill = {
  name: Name,
  apparatusId: Id,
  sayFirst: Text(500).meta({ description: 'What the coach says before anybody moves' }),
  spotting: DrillSpotting,
  skills: z
    .array(
      z.strictObject({
        skillId: Id,
        signOff: SignOffLevel.nullable().meta({ description: 'How far a spotter has to be signed off for it' }),
      }),
    )
    .max(12)
    .meta({ description: 'What it teaches' }),
  secondsATurn: z.int().min(1).max(3600).meta({ description: 'One turn, with the way back' }),
  places: z.int().min(1).max(60).meta({ description: 'How many can do it side by side at one set-up' }),
};
export const NewDrill = z.strictObject(drill).meta({ id: 'NewDrill' });
export type NewDrill = z.output<typeof NewDrill>;
export const DrillChanges = z.strictObject(drill).partial().meta({ id: 'DrillChanges' });
export type DrillChanges = z.output<typeof DrillChanges>;
export const Drill = z.strictObject({ id: Id, ...drill, revision: Revision }).meta({ id: 'Drill' });
export type Drill = z.output<typeof Drill>;
export const DrillPage = page(Drill, 'DrillPage');
export const DrillQuery = z.strictObject({ ...PageQuery, apparatusId: Id.optional(), skillId: Id.optional() });

export const Progression = z
  .strictObject({ easierId: Id, harderId: Id })
  .meta({ id: 'Progression', description: 'The easier drill leads to the harder one' });
export type Progression = z.output<typeof Progression>;
export const ProgressionPage = page(Progression, 'ProgressionPage');
export const ProgressionQuery = z.strictObject({
  ...PageQuery,
  drillId: Id.optional().meta({ description: 'Only the steps from or to this drill' }),
});
