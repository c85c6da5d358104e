import { z } from 'zod';
import { Id, Line, Name, PageQuery, Text } from '../../platform/http/wire.ts';
import { Diagram } from './diagram-schema.ts';
import { fileToImport } from './file-schema.ts';
import { draftFields } from './plan-content-schema.ts';
import { Monday } from './plan-schema.ts';

const { activity, minutes, formation, importance, classRule, waterFirst, stationsRun } = draftFields.block;
const { dose, weight } = draftFields.step;
const amount = z.int().min(1).max(99);
/** Where it is what it stands beside: the apparatus of the focus, or of the station. */
const OnTheSame = Name.nullable().default(null);

const PieceRow = z.strictObject({
  apparatus: Name,
  amount: amount.default(1),
  job: draftFields.piece.job,
  forMixedSizes: z.boolean().default(false),
  orInstead: z
    .array(z.strictObject({ apparatus: Name, amount: amount.default(1) }))
    .max(4)
    .default([]),
});

const StepRow = z.strictObject({
  drills: z
    .array(z.strictObject({ drill: Name, apparatus: OnTheSame }))
    .min(1)
    .max(6),
  chooseBy: Line(200).nullable().default(null),
  from: z
    .strictObject({ programme: Name, level: Line(80) })
    .nullable()
    .default(null),
  dose: z.strictObject({
    amount: dose.amount.default(null),
    unit: dose.unit.default(null),
    sets: dose.sets.default(1),
    eachSide: z.boolean().default(false),
    note: dose.note.default(null),
  }),
  weight: weight.default('core'),
});

const StationRow = z.strictObject({
  name: Line(80),
  apparatus: Name,
  items: amount.default(1),
  setUp: z
    .strictObject({
      words: Text(1000).default(''),
      pieces: z.array(PieceRow).max(20).default([]),
      staysUp: z.boolean().default(false),
      diagram: Diagram.nullable().default(null),
    })
    .default({ words: '', pieces: [], staysUp: false, diagram: null }),
  places: draftFields.station.places.default(null),
  steps: z.array(StepRow).max(20).default([]),
});

/** A plan in a file: it names everything by its name, so that it means the same in another franchise. */
export const PlanRow = z.strictObject({
  title: Name,
  weekOf: Monday,
  programmes: z.array(Name).min(1).max(20),
  focus: z
    .array(
      z.strictObject({
        apparatus: Name,
        nextWeek: Line(200).nullable().default(null),
        skills: z
          .array(z.strictObject({ skill: Name, apparatus: OnTheSame, standing: draftFields.standing }))
          .max(12)
          .default([]),
      }),
    )
    .max(12)
    .default([]),
  blocks: z
    .array(
      z.strictObject({
        title: Name,
        activity: activity.default('apparatus'),
        minutes,
        apparatus: z.array(Name).max(8).default([]),
        formation: formation.default('stations'),
        importance: importance.default(1),
        classRule: classRule.default(''),
        waterFirst: waterFirst.default(false),
        stationsRun: stationsRun.default('side-by-side'),
        stations: z.array(StationRow).max(12).default([]),
      }),
    )
    .max(20)
    .default([]),
});
export type PlanRow = z.output<typeof PlanRow>;

/** So that what an import says is done in one transaction. */
export const MOST_PLANS = 100;

export const PlanImport = z
  .strictObject({
    ...fileToImport,
    text: z
      .string()
      .min(1)
      .max(1_000_000)
      .meta({
        description: `The file’s text: at most ${MOST_PLANS} plans; split a larger one`,
        example: 'plan,week of,programme 1',
      }),
  })
  .meta({
    id: 'PlanImport',
    description: 'A plan is there already where one of that week has its title. To replace it is to write its draft',
  });
export type PlanImport = z.output<typeof PlanImport>;

export const PlanExportQuery = z.strictObject({ cursor: PageQuery.cursor, programmeId: Id.optional() });
