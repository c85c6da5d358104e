import { z } from 'zod';
import { flag, Grade, Id, Line, Name, PageQuery, page, Revision, Text } from '../../platform/http/wire.ts';
import { BODY_MEASURES, HEIGHTS, PROGRESSION_KINDS, SPOTTING_MODES } from '../../tables/curriculum.ts';
import { SignOffLevel } from '../people/staff-schema.ts';
import { Diagram } from './diagram-schema.ts';

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

const LookFor = z
  .strictObject({
    phase: Line(60).meta({ description: 'When to look', example: 'Take-off' }),
    right: Line(200).meta({ description: 'How it should be' }),
    wrong: Line(200).meta({ description: 'How it goes wrong' }),
    say: Line(200).meta({ description: 'What to say then' }),
  })
  .meta({ id: 'LookFor' });

const LevelRange = z
  .strictObject({ programmeId: Id, fromLevelId: Id, toLevelId: Id })
  .meta({ id: 'LevelRange', description: 'The levels of a programme that it is for, both ends included' });

const Slack = z.int().min(0).max(200);
const SizeFit = z
  .strictObject({
    measure: z.enum(BODY_MEASURES).meta({ description: 'What the piece’s height has to match on the child' }),
    lowerByCm: Slack.meta({ description: 'How much lower will still do' }),
    higherByCm: Slack.meta({ description: 'How much higher will still do' }),
    raise: z
      .strictObject({ apparatusId: Id, under: z.enum(['piece', 'child']) })
      .nullable()
      .meta({ description: 'What bridges the rest, and what it is laid under' }),
  })
  .meta({ id: 'SizeFit' });

const DrillEquipment = z
  .strictObject({
    apparatusId: Id,
    amount: z.int().min(1).max(99),
    fit: SizeFit.nullable().meta({ description: 'Null: its size does not matter' }),
  })
  .meta({ id: 'DrillEquipment' });

const isPlain = (url: string) => URL.canParse(url) && new URL(url).username === '' && new URL(url).password === '';
/** A page of the franchise's own: read by people, never fetched. */
const Demonstration = z
  .string()
  .max(500)
  .regex(/^https:\/\/[!-~]+$/, 'Expected an address that begins with "https://".')
  .refine(isPlain, 'Expected an address without a name and password in it.')
  .meta({ description: 'The franchise’s own demonstration', example: 'https://example.org/rolls/rock-and-stand' });

const drill = {
  name: Name,
  apparatusId: Id,
  sayFirst: Text(500).meta({ description: 'The class rule: what the coach says before anybody moves' }),
  ifItGoesWrong: Text(500).meta({ description: 'The class rule: what everybody does when it goes wrong' }),
  lookFors: z.array(LookFor).max(8).meta({ description: 'In the order in which they come' }),
  levels: z.array(LevelRange).max(6).meta({ description: 'One a programme; none: for everyone' }),
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
  equipment: z.array(DrillEquipment).max(8).meta({ description: 'What it needs beside its apparatus' }),
  secondsATurn: z.int().min(1).max(3600).meta({ description: 'One turn, with the way back' }),
  places: z.int().min(1).max(60).meta({ description: 'How many are on their turn at once at one set-up' }),
  placesAre: z
    .enum(['side-by-side', 'under-way'])
    .meta({ description: 'Side by side, or children under way one after another' }),
  height: z.enum(HEIGHTS).nullable().meta({
    description: 'Which rung of a height ladder it is; null: none. Choosing a lower rung is never a failing',
  }),
  demonstration: Demonstration.nullable(),
  diagram: Diagram.nullable(),
};
export const NewDrill = z
  .strictObject({
    ...drill,
    ifItGoesWrong: drill.ifItGoesWrong.default(''),
    lookFors: drill.lookFors.default([]),
    levels: drill.levels.default([]),
    equipment: drill.equipment.default([]),
    secondsATurn: drill.secondsATurn
      .optional()
      .meta({ description: 'One turn, with the way back; left out: what its apparatus says' }),
    placesAre: drill.placesAre.default('side-by-side'),
    height: drill.height.default(null),
    demonstration: drill.demonstration.default(null),
    diagram: drill.diagram.default(null),
  })
  .meta({ id: 'NewDrill' });
export type NewDrill = z.output<typeof NewDrill>;
/** As it may be sent: what has a default may be left out. */
export type SentDrill = z.input<typeof NewDrill>;
export const DrillChanges = z
  .strictObject({ ...drill, retired: z.boolean() })
  .partial()
  .meta({ id: 'DrillChanges', example: { places: 3 } });
export type DrillChanges = z.output<typeof DrillChanges>;
export const Drill = z
  .strictObject({
    id: Id,
    ...drill,
    retired: z.boolean().meta({ description: 'Out of the library; plans that were made with it still name it' }),
    revision: Revision,
  })
  .meta({ id: 'Drill' });
export type Drill = z.output<typeof Drill>;
export const DrillPage = page(Drill, 'DrillPage');
export const DrillQuery = z.strictObject({
  ...PageQuery,
  text: Line(80)
    .optional()
    .meta({ description: 'Words of its name, its class rule, its look-fors or its skills; spelling is forgiven' }),
  apparatusId: Id.optional(),
  skillId: Id.optional(),
  levelId: Id.optional().meta({ description: 'Only drills for this level, or for everyone' }),
  spotting: z.enum(SPOTTING_MODES).optional(),
  gymId: Id.optional().meta({ description: 'Only drills for which this gym has all the equipment in use' }),
  retired: flag.optional().meta({ description: 'Only those that are retired; left out: only those that are not' }),
});
export type DrillQuery = z.output<typeof DrillQuery>;

/** How many drills may lead to one: what a line of a file has room for. */
export const MOST_STEPS_TO = 40;

export const Progression = z
  .strictObject({
    easierId: Id,
    harderId: Id,
    kind: z
      .enum(PROGRESSION_KINDS)
      .meta({ description: 'A step in difficulty, or the same a rung higher on a height ladder' }),
  })
  .meta({ id: 'Progression', description: 'The easier drill leads to the harder one' });
export type Progression = z.output<typeof Progression>;
export const NewProgression = Progression.extend({ kind: Progression.shape.kind.default('skill') }).meta({
  id: 'NewProgression',
});
export const ProgressionPage = page(Progression, 'ProgressionPage');
export const ProgressionQuery = z.strictObject({
  ...PageQuery,
  drillId: Id.optional().meta({ description: 'Only the steps from or to this drill' }),
  kind: Progression.shape.kind.optional(),
});
