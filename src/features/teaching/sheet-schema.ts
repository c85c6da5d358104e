import { z } from 'zod';
import { Day, GymRef, Id, Instant, Sentence } from '../../platform/http/wire.ts';
import { HEIGHTS, SPOTTING_MODES } from '../../tables/curriculum.ts';
import { ACTIVITIES, FORMATIONS, JOBS, STANDINGS } from '../../tables/plans.ts';
import { Diagram } from '../curriculum/diagram-schema.ts';

// What stands on a lesson sheet. Texts are as they were written; what is said in words here is for people, never to be parsed.

/** No session has more: a class takes 500 on a day. */
const MOST_ATHLETES = 1000;

/** A drill, and each of twenty steps and twenty pieces. */
const MOST_ADAPTED = 41;

export const SheetRef = GymRef.extend({ sessionId: Id });
export const SheetQuery = z.strictObject({
  personId: Id.optional().meta({
    description: 'Only what this coach teaches; left out, the whole session, and for a coach what is their own',
  }),
});

const said = (most: number) => z.string().max(most);
const name = said(300);
const Person = z.strictObject({ personId: Id, name }).meta({ id: 'SheetPerson' });
const minute = z.int().min(0).max(1440);

const SheetDrill = z
  .strictObject({
    drillId: Id,
    name,
    height: z.enum(HEIGHTS).nullable(),
    sayFirst: said(500),
    ifItGoesWrong: said(500),
    lookFors: z.array(z.strictObject({ phase: said(200), right: said(200), wrong: said(200), say: said(200) })).max(8),
    spotting: z.enum(SPOTTING_MODES),
    insteadOf: z.array(name).max(120).meta({ description: 'What the plan says there; none: this is what it says' }),
  })
  .meta({ id: 'SheetDrill' });

const SheetStep = z
  .strictObject({
    drills: z.array(SheetDrill).min(1).max(6).meta({ description: 'Several: choose one of them' }),
    chooseBy: said(200).nullable(),
    fromLevel: name.nullable().meta({ description: 'From this level up; null is everyone' }),
    dose: said(400).meta({ description: 'How much of it each does, in words' }),
    weight: z.enum(['core', 'extend', 'if-time']),
  })
  .meta({ id: 'SheetStep' });
export type SheetStep = z.output<typeof SheetStep>;

const SheetPiece = z
  .strictObject({
    apparatus: name,
    amount: z.int().min(1).max(99),
    job: z.enum(JOBS),
    forMixedSizes: z.boolean(),
    orInstead: z.array(name).max(4),
    insteadOf: name.nullable().meta({ description: 'Adapted: what the plan says there' }),
  })
  .meta({ id: 'SheetPiece' });

const SheetStation = z
  .strictObject({
    stationId: Id,
    name,
    fromMinute: minute.meta({ description: 'Counted from the start of the block; later ones where they run in turn' }),
    toMinute: minute,
    apparatus: name,
    items: z.int().min(1).max(99),
    setUp: z.strictObject({
      words: said(1000),
      pieces: z.array(SheetPiece).max(20),
      staysUp: z.boolean(),
      diagram: Diagram.nullable().meta({
        description: 'As the plan has the station drawn, else the first drill there that is drawn',
      }),
    }),
    places: z.int().min(1).max(60).nullable(),
    spotting: z.strictObject({ mode: z.enum(SPOTTING_MODES), by: said(400).nullable() }),
    steps: z.array(SheetStep).max(20),
    adapted: z
      .array(z.strictObject({ what: said(900), reason: said(500), by: name.nullable() }))
      .max(MOST_ADAPTED)
      .meta({ description: 'How it is not as the plan says, why, and who said so' }),
  })
  .meta({ id: 'SheetStation' });
export type SheetStation = z.output<typeof SheetStation>;

const SheetTurn = z
  .strictObject({
    blockId: Id,
    groupId: Id,
    group: name,
    startsAt: Instant,
    endsAt: Instant,
    areas: z.array(name).max(50),
    athletes: z.int().min(0).max(MOST_ATHLETES),
    confirmed: z.boolean(),
    staff: z.array(z.strictObject({ ...Person.shape, duty: z.enum(['lead', 'assist', 'shadow', 'oversee']) })).max(100),
    spotters: z.array(z.strictObject({ ...Person.shape, stationId: Id, station: name })).max(200),
    unspotted: z.array(name).max(50).meta({ description: 'Stations for which nobody here may spot' }),
    covered: z.boolean(),
    why: z.array(Sentence).max(20),
    standIns: z
      .array(
        z.strictObject({
          ...Person.shape,
          outcome: z.enum(['still-covered', 'somebody', 'nobody']).meta({
            description: 'If they have to leave: it holds without them, somebody free may step in, or nobody',
          }),
          by: z.array(Person).max(8).meta({ description: 'Who may, the best first' }),
        }),
      )
      .max(100),
    notYetShown: z
      .array(
        z.strictObject({
          skillId: Id,
          skill: name,
          athletes: z.int().min(1).max(MOST_ATHLETES),
          names: z.array(name).max(60).meta({ description: 'For those who may know who is in the group' }),
        }),
      )
      .max(60)
      .meta({ description: 'What leads to what is taught, and who has not yet shown it alone' }),
  })
  .meta({ id: 'SheetTurn', description: 'A group at this part of the plan: when, where, and with whom' });
export type SheetTurn = z.output<typeof SheetTurn>;

const SheetPart = z
  .strictObject({
    planBlockId: Id,
    title: name,
    activity: z.enum(ACTIVITIES),
    minutes: z.int().min(0).max(240),
    formation: z.enum(FORMATIONS),
    importance: z.int().min(1).max(9),
    classRule: said(500),
    waterFirst: z.boolean().meta({ description: 'Everybody drinks before it begins; that is in its minutes' }),
    stationsRun: z.enum(['side-by-side', 'in-turn']),
    turns: z.array(SheetTurn).min(1).max(200),
    stations: z.array(SheetStation).max(12),
  })
  .meta({ id: 'SheetPart' });
export type SheetPart = z.output<typeof SheetPart>;

const SheetFocus = z
  .strictObject({
    apparatus: name,
    skills: z.array(z.strictObject({ skillId: Id, skill: name, standing: z.enum(STANDINGS) })).max(12),
    nextWeek: said(200).nullable(),
  })
  .meta({ id: 'SheetFocus' });
export type SheetFocus = z.output<typeof SheetFocus>;

export const LessonSheet = z
  .strictObject({
    gymId: Id,
    gym: name,
    zone: said(60),
    sessionId: Id,
    className: name,
    programme: name,
    levels: z.array(name).max(50),
    day: Day,
    startsAt: Instant,
    endsAt: Instant,
    printedAt: Instant,
    coach: Person.nullable().meta({ description: 'Null: the sheet of the whole session' }),
    plan: z
      .strictObject({ planId: Id, number: z.int().min(1), title: name, weekOf: Day, withdrawn: z.boolean() })
      .nullable()
      .meta({ description: 'Null: not laid out' }),
    change: said(2000).nullable().meta({ description: 'What the briefing says has changed' }),
    focus: z.array(SheetFocus).max(12),
    parts: z.array(SheetPart).max(200).meta({ description: 'In the order in which they first come' }),
    alerts: z
      .array(z.strictObject({ athleteId: Id, name, group: name, alerts: said(2000) }))
      .max(MOST_ATHLETES)
      .meta({ description: 'Medical alerts, on the day, for those who may read them' }),
  })
  .meta({ id: 'LessonSheet' });
export type LessonSheet = z.output<typeof LessonSheet>;

export const PrintedPage = z
  .string()
  .max(4_000_000)
  .meta({ id: 'PrintedPage', description: 'A page, with its style in it and no script' });
export const PrintedPdf = z
  .string()
  .max(8_000_000)
  .meta({ id: 'PrintedPdf', format: 'binary', description: 'A PDF document' });
