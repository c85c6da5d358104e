import { z } from 'zod';
import { Id, Line, Name, Text } from '../../platform/http/wire.ts';
import { ACTIVITIES, DOSE_UNITS, FORMATIONS, JOBS, STANDINGS } from '../../tables/plans.ts';
import { SignOffLevel } from '../people/staff-schema.ts';
import { Diagram } from './diagram-schema.ts';
import { LowestGrade } from './schema.ts';

// What a version of a lesson plan says: its focus, and its blocks with their stations and steps.

const focus = {
  apparatusId: Id,
  skills: z.array(z.strictObject({ skillId: Id, standing: z.enum(STANDINGS) })).max(12),
  nextWeek: Line(200)
    .nullable()
    .meta({ description: 'One line on what comes next week', example: 'Next week without the wedge.' }),
};
const Focus = z.strictObject(focus).meta({ id: 'PlanFocus', description: 'What the week is about on one apparatus' });
const Focuses = z.array(Focus).max(12).meta({ description: 'One an apparatus' });

const amount = z.int().min(1).max(99);
const Piece = z
  .strictObject({
    apparatusId: Id.meta({ description: 'The kind of apparatus or equipment' }),
    amount,
    job: z.enum(JOBS).meta({ description: 'What it is there for' }),
    forMixedSizes: z.boolean().meta({
      description: 'A raise that is put in only for those whom the set-up does not fit',
      example: false,
    }),
    orInstead: z
      .array(z.strictObject({ apparatusId: Id, amount }))
      .max(4)
      .meta({ description: 'What will do instead, the better first' }),
  })
  .refine(({ forMixedSizes, job }) => !forMixedSizes || job === 'raise', {
    error: 'Only a raise can be for mixed sizes.',
    path: ['forMixedSizes'],
  })
  .meta({ id: 'SetUpPiece', description: 'A piece of a set-up beside the apparatus itself' });

const setUp = {
  words: Text(1000).meta({ description: 'The set-up in words' }),
  pieces: z.array(Piece).max(20),
  staysUp: z.boolean().meta({ description: 'It may stay up for the next block' }),
  diagram: Diagram.nullable(),
};
const SetUp = z.strictObject(setUp).meta({ id: 'SetUp' });
const DraftSetUp = z.strictObject({ ...setUp, diagram: setUp.diagram.default(null) }).meta({ id: 'DraftSetUp' });

const Dose = z
  .strictObject({
    amount: z.int().min(1).max(9999).nullable().meta({ description: 'Null where it stands in `note` alone' }),
    unit: z.enum(DOSE_UNITS).nullable(),
    sets: z.int().min(1).max(20).meta({ description: 'So often over' }),
    eachSide: z.boolean(),
    note: Line(160).nullable(),
  })
  .refine((dose) => (dose.amount === null) === (dose.unit === null), {
    error: 'Send an amount with its unit, or neither.',
    path: ['unit'],
  })
  .refine((dose) => dose.amount !== null || dose.note !== null, { error: 'Send an amount, or a note.', path: ['note'] })
  .meta({
    id: 'Dose',
    description: 'How much of it each does',
    example: { amount: 20, unit: 'seconds', sets: 2, eachSide: true, note: null },
  });
export type Dose = z.output<typeof Dose>;

const Step = z
  .strictObject({
    drillIds: z
      .array(Id)
      .min(1)
      .max(6)
      .meta({ description: 'The drill; several: choose one of them, by `chooseBy`, and choosing is no deviation' }),
    chooseBy: Line(200).nullable().meta({
      description: 'What to choose by, such as “By who lands on their feet”; null for a step of one drill',
      example: null,
    }),
    fromLevelId: Id.nullable().meta({ description: 'From this level up; null is everyone' }),
    dose: Dose,
    weight: z.enum(['core', 'extend', 'if-time']),
  })
  .refine(({ drillIds, chooseBy }) => drillIds.length > 1 === (chooseBy !== null), {
    error: 'Say what to choose by where there are several drills, and only there.',
    path: ['chooseBy'],
  })
  .meta({ id: 'PlanStep' });
export type PlanStep = z.output<typeof Step>;

const station = {
  name: Line(80),
  apparatusId: Id.meta({ description: 'What its drills are done on' }),
  items: amount.meta({ description: 'How many pieces of that apparatus it takes' }),
  setUp: SetUp,
  places: z
    .int()
    .min(1)
    .max(60)
    .nullable()
    .meta({ description: 'How many are under way at once; null is as many as its drills allow' }),
  steps: z.array(Step).max(20).meta({ description: 'In order' }),
};
const block = {
  title: Name,
  activity: z.enum(ACTIVITIES),
  minutes: z.int().min(0).max(240),
  apparatusIds: z.array(Id).max(8).meta({ description: 'The apparatus it uses, one or several' }),
  formation: z.enum(FORMATIONS).meta({ description: 'How the children stand or move' }),
  importance: z
    .int()
    .min(1)
    .max(9)
    .meta({ description: 'What to keep when time runs out: 1 before all else; apart from teaching order' }),
  classRule: Text(500),
  waterFirst: z.boolean().meta({ description: 'Everybody drinks before it begins; that is in its minutes' }),
  stationsRun: z
    .enum(['side-by-side', 'in-turn'])
    .meta({ description: 'Side by side, each runs for the whole block; in turn, they share its minutes evenly' }),
};

/** For whoever writes the same in another form: a plan in a file. */
export const draftFields = {
  standing: z.enum(STANDINGS),
  block,
  station,
  piece: { job: z.enum(JOBS) },
  step: { weight: Step.shape.weight, dose: Dose.shape },
};

const Stations = <T extends z.ZodType>(one: T) => z.array(one).max(12);
const Blocks = <T extends z.ZodType>(one: T) => z.array(one).max(20).meta({ description: 'In teaching order' });

const DraftStation = z.strictObject({ ...station, setUp: DraftSetUp }).meta({ id: 'DraftStation' });
const DraftBlock = z
  .strictObject({ ...block, waterFirst: block.waterFirst.default(false), stations: Stations(DraftStation) })
  .meta({ id: 'DraftBlock' });

/** A draft's whole content. It may be unfinished: the check says what is missing. */
export const DraftContent = z.strictObject({ focus: Focuses, blocks: Blocks(DraftBlock) }).meta({ id: 'DraftContent' });
export type DraftContent = z.output<typeof DraftContent>;
/** As it is sent: a set-up may leave its diagram out, and a block its water. */
export type SentContent = z.input<typeof DraftContent>;

const StationSpotting = z
  .discriminatedUnion('mode', [
    z.strictObject({ mode: z.literal('none') }),
    z.strictObject({
      mode: z.enum(['stand-by', 'hands-on']),
      kindId: Id,
      grade: LowestGrade,
      skills: z.array(z.strictObject({ skillId: Id, level: SignOffLevel })).max(1440),
    }),
  ])
  .meta({
    id: 'StationSpotting',
    description: 'What its drills ask together, those to choose from included: the strictest of each',
  });

const PlanStation = z
  .strictObject({
    id: Id,
    ...station,
    spotting: StationSpotting.nullable().meta({ description: 'Fixed when published; null on a draft' }),
  })
  .meta({ id: 'PlanStation' });
export type PlanStation = z.output<typeof PlanStation>;
const PlanBlock = z.strictObject({ id: Id, ...block, stations: Stations(PlanStation) }).meta({ id: 'PlanBlock' });
export type PlanBlock = z.output<typeof PlanBlock>;

export const planContent = { focus: Focuses, blocks: Blocks(PlanBlock) };
const PlanContent = z.strictObject(planContent);
export type PlanContent = z.output<typeof PlanContent>;
