import { z } from 'zod';
import { SettledOnWire } from '../../enforcement/wire.ts';
import {
  Day,
  Id,
  Instant,
  Line,
  Name,
  PageQuery,
  page,
  Reason,
  Revision,
  Text,
  whole,
} from '../../platform/http/wire.ts';
import { ACTIVITIES } from '../../tables/curriculum.ts';
import { SignOffLevel } from '../people/staff-schema.ts';
import { LowestGrade } from './schema.ts';

export const PlanRef = z.strictObject({ planId: Id });
const VersionNumber = whole(1, 100_000);
export const VersionRef = PlanRef.extend({ number: VersionNumber });

const isMonday = (day: string) => new Date(`${day}T00:00:00Z`).getUTCDay() === 1;
const Monday = Day.refine(isMonday, 'Expected the Monday of the week.').meta({
  description: 'The Monday of the week it is written for',
  example: '2026-09-07',
});

const plan = {
  title: Name,
  weekOf: Monday,
  programmeIds: z.array(Id).min(1).max(20).meta({ description: 'The programmes that it teaches' }),
};
export const NewLessonPlan = z.strictObject(plan).meta({ id: 'NewLessonPlan' });
export type NewLessonPlan = z.output<typeof NewLessonPlan>;
export const LessonPlanChanges = z
  .strictObject(plan)
  .partial()
  .meta({ id: 'LessonPlanChanges', example: { title: 'Rolls and landings' } });
export type LessonPlanChanges = z.output<typeof LessonPlanChanges>;

const VersionBrief = z
  .strictObject({ id: Id, number: z.int().min(1), revision: Revision })
  .meta({ id: 'VersionBrief' });

export const LessonPlan = z
  .strictObject({
    id: Id,
    ...plan,
    weekOf: Day,
    draft: VersionBrief.nullable().meta({ description: 'The version being written; shown to those who write plans' }),
    published: VersionBrief.nullable().meta({
      description: 'The newest published version: what new blocks are laid out from',
    }),
    revision: Revision,
  })
  .meta({ id: 'LessonPlan' });
export type LessonPlan = z.output<typeof LessonPlan>;
export const LessonPlanPage = page(LessonPlan, 'LessonPlanPage');
export const LessonPlanQuery = z.strictObject({
  ...PageQuery,
  weekOf: Day.optional().meta({ description: 'Only plans of the week that begins on this Monday' }),
  programmeId: Id.optional(),
});

const Minutes = z.int().min(0).max(240);
const step = {
  drillId: Id,
  fromLevelId: Id.nullable().meta({ description: 'From this level up; null is everyone' }),
  dose: Line(160).meta({ description: 'Laps, lengths, counts, seconds', example: '3 lengths each' }),
  weight: z.enum(['core', 'extend', 'if-time']),
};
const station = {
  name: Line(80),
  setUp: Text(1000).meta({ description: 'The pieces, each with its job' }),
  apparatusId: Id,
  items: z.int().min(1).max(99).meta({ description: 'How many pieces of that apparatus it takes' }),
};
const block = {
  title: Name,
  activity: z.enum(ACTIVITIES),
  minutes: Minutes,
  classRule: Text(500),
  stationsRun: z
    .enum(['side-by-side', 'in-turn'])
    .meta({ description: 'Side by side, each runs for the whole block; in turn, they share its minutes evenly' }),
};

const PlanStep = z.strictObject(step).meta({ id: 'PlanStep' });
const Stations = <T extends z.ZodType>(one: T) => z.array(one).max(12);
const Blocks = <T extends z.ZodType>(one: T) => z.array(one).max(20).meta({ description: 'In teaching order' });

const DraftStation = z.strictObject({ ...station, steps: z.array(PlanStep).max(20) }).meta({ id: 'DraftStation' });
const DraftBlock = z.strictObject({ ...block, stations: Stations(DraftStation) }).meta({ id: 'DraftBlock' });

/** A draft's whole content. It may be unfinished: the check says what is missing. */
export const DraftContent = z.strictObject({ blocks: Blocks(DraftBlock) }).meta({ id: 'DraftContent' });
export type DraftContent = z.output<typeof DraftContent>;

const StationSpotting = z
  .discriminatedUnion('mode', [
    z.strictObject({ mode: z.literal('none') }),
    z.strictObject({
      mode: z.enum(['stand-by', 'hands-on']),
      kindId: Id,
      grade: LowestGrade,
      skills: z.array(z.strictObject({ skillId: Id, level: SignOffLevel })).max(240),
    }),
  ])
  .meta({ id: 'StationSpotting', description: 'What its drills ask together: the strictest of each' });

const PlanStation = z
  .strictObject({
    id: Id,
    ...station,
    spotting: StationSpotting.nullable().meta({ description: 'Fixed when published; null on a draft' }),
    steps: z.array(PlanStep).max(20),
  })
  .meta({ id: 'PlanStation' });
export type PlanStation = z.output<typeof PlanStation>;
const PlanBlock = z.strictObject({ id: Id, ...block, stations: Stations(PlanStation) }).meta({ id: 'PlanBlock' });
export type PlanBlock = z.output<typeof PlanBlock>;

const version = {
  id: Id,
  planId: Id,
  number: z.int().min(1),
  state: z.enum(['draft', 'published', 'withdrawn']),
  publishedAt: Instant.nullable(),
  withdrawnAt: Instant.nullable(),
  withdrawnWhy: Reason.nullable(),
  revision: Revision,
};
export const PlanVersion = z.strictObject(version).meta({ id: 'PlanVersion' });
export type PlanVersion = z.output<typeof PlanVersion>;
export const PlanVersionPage = page(PlanVersion, 'PlanVersionPage');
export const WholePlanVersion = z
  .strictObject({ ...version, blocks: Blocks(PlanBlock) })
  .meta({ id: 'WholePlanVersion' });
export type WholePlanVersion = z.output<typeof WholePlanVersion>;

export const PlanCheck = z
  .strictObject({
    whole: z.boolean().meta({ description: 'Nothing is missing: it can be published' }),
    faults: z
      .array(
        z.strictObject({
          pointer: z
            .string()
            .max(400)
            .meta({ description: 'JSON Pointer into the content', example: '/blocks/1/stations/0' }),
          detail: z.string().max(1000),
        }),
      )
      .max(200),
  })
  .meta({ id: 'PlanCheck' });
export type PlanCheck = z.output<typeof PlanCheck>;

export const PlanWithdrawal = z
  .strictObject({ reason: Reason })
  .meta({ id: 'PlanWithdrawal', example: { reason: 'The beam landing leaves a gap between the mats.' } });
export const WithdrawnPlan = z
  .strictObject({ version: PlanVersion, settled: SettledOnWire })
  .meta({ id: 'WithdrawnPlan' });
