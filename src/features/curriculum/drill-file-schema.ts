import { z } from 'zod';
import { Line, Name, Text } from '../../platform/http/wire.ts';
import { BODY_MEASURES, PROGRESSION_KINDS, SPOTTING_MODES } from '../../tables/curriculum.ts';
import { SignOffLevel } from '../people/staff-schema.ts';
import { Diagram } from './diagram-schema.ts';
import { fileToImport, ImportReport, MOST_ROWS, RowFault } from './file-schema.ts';
import { Drill, MOST_STEPS_TO } from './schema.ts';

const { lookFors, places, placesAre, height, demonstration, secondsATurn } = Drill.shape;
const Centimetres = z.int().min(0).max(200).nullable().default(null);

/** A drill in a file: it names everything by its name, so that it means the same in another franchise. */
export const DrillRow = z.strictObject({
  apparatus: Name,
  name: Name,
  sayFirst: Text(500),
  ifItGoesWrong: Text(500).default(''),
  height: height.default(null),
  /** Null: the row says nothing of it, which is no answer for a new drill. */
  spotting: z.enum(SPOTTING_MODES).nullable().default(null),
  spottingKind: Name.nullable().default(null),
  spottingGrade: z.int().min(1).max(20).nullable().default(null),
  secondsATurn: secondsATurn.nullable().default(null),
  places: places.default(1),
  placesAre: placesAre.default('side-by-side'),
  demonstration: demonstration.default(null),
  lookFors: lookFors.default([]),
  levels: z
    .array(z.strictObject({ programme: Name, from: Line(80), to: Line(80) }))
    .max(6)
    .default([]),
  skills: z
    .array(z.strictObject({ apparatus: Name, skill: Name, signOff: SignOffLevel.nullable().default(null) }))
    .max(12)
    .default([]),
  equipment: z
    .array(
      z.strictObject({
        apparatus: Name,
        amount: z.int().min(1).max(99).default(1),
        fits: z.enum(BODY_MEASURES).nullable().default(null),
        lowerByCm: Centimetres,
        higherByCm: Centimetres,
        raise: Name.nullable().default(null),
        raiseUnder: z.enum(['piece', 'child']).nullable().default(null),
      }),
    )
    .max(8)
    .default([]),
  leadsFrom: z
    .array(z.strictObject({ apparatus: Name, drill: Name, kind: z.enum(PROGRESSION_KINDS).default('skill') }))
    .max(MOST_STEPS_TO)
    .default([]),
  diagram: Diagram.nullable().default(null),
});
export type DrillRow = z.output<typeof DrillRow>;

export const DrillImport = z
  .strictObject({
    ...fileToImport,
    text: z.string().min(1).max(1_000_000).meta({
      description: 'The file’s text: at most 1,000 drills; split a larger one',
      example: 'apparatus,name,say first',
    }),
  })
  .meta({
    id: 'DrillImport',
    description:
      'A drill is there already where its apparatus and its name are. Replaced, it keeps what the file has no column or field for, and is in use again where it was retired. How a new drill is spotted has to be said',
  });
export type DrillImport = z.output<typeof DrillImport>;

export const DrillImportReport = z
  .strictObject({
    ...ImportReport.shape,
    restored: ImportReport.shape.changed.meta({
      description: 'How many of the changed ones were retired, and are in use again',
    }),
    lessSpotting: z.array(RowFault).max(MOST_ROWS).meta({
      description: 'Rows that go in and ask less of a spotter than the drill did, or another qualification',
    }),
  })
  .meta({ id: 'DrillImportReport' });
export type DrillImportReport = z.output<typeof DrillImportReport>;
