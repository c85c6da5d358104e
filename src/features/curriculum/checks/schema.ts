import { z } from 'zod';
import { Day, Fraction, Id, Name, Revision, WallTime } from '../../../platform/http/wire.ts';
import { ABOUT, CHECKS, LIMITS_FROM, UNITS } from './finding.ts';
import { DEFAULT_LIMITS } from './limits.ts';

const Range = (most: number, description: string) =>
  z
    .strictObject({ from: z.int().min(0).max(most), to: z.int().min(0).max(most) })
    .refine(({ from, to }) => from <= to, { error: 'Expected `to` not below `from`.', path: ['to'] })
    .meta({ description });

const AgeBand = z
  .strictObject({
    fromAge: z.int().min(0).max(99).meta({ description: 'In years; until the next band begins' }),
    blockMinutes: Range(120, 'How long a block on apparatus takes'),
    changeoverMinutes: Range(30, 'From block to block'),
    holdSeconds: Range(600, 'How long a stretch is held'),
  })
  .meta({ id: 'AgeBandLimits' });

const limits = {
  ages: z
    .array(AgeBand)
    .min(1)
    .max(12)
    .refine((bands) => bands.every(({ fromAge }, i) => i === 0 || fromAge > (bands[i - 1]?.fromAge ?? 0)), {
      error: 'Expected each band to begin at a higher age than the one before.',
    })
    .meta({ description: 'By the age of the child in the middle of the class; youngest first' }),
  warmUpMinutesAnHour: Range(60, 'Warm-up and stretches before the first apparatus, of a class of an hour'),
  pulseRaiserMinutes: Range(60, 'Warm-up before the first stretch'),
  mostWaiting: z.int().min(0).max(60).meta({ description: 'How many may wait at a station' }),
  handsOnStationsACoach: z
    .int()
    .min(1)
    .max(4)
    .meta({ description: 'For these warnings alone: cover asks for a coach of its own at every spotted station' }),
  waterEveryMinutes: z.int().min(10).max(240).meta({ description: 'How long a class may go without water' }),
  newPercent: Range(100, 'How many in a hundred of the skills are new'),
  testEveryWeeks: Range(60, 'Weeks from test to test'),
  moveUpDays: Range(60, 'On how many days a skill is shown before moving up'),
};
/** A franchise's limits, as they may be set. */
export const SettableLimits = z.strictObject(limits).meta({ id: 'CurriculumLimits', example: DEFAULT_LIMITS });
export const CurriculumSettings = z.strictObject({ ...limits, revision: Revision }).meta({
  id: 'CurriculumSettings',
  description: 'What plans are measured by. As delivered: common practice, no source',
});
export type CurriculumSettings = z.output<typeof CurriculumSettings>;

const Where = z
  .strictObject({
    pointer: z
      .string()
      .max(400)
      .meta({ description: 'JSON Pointer into the content', example: '/blocks/1/stations/0' }),
    names: z.array(z.string().max(120)).max(40).meta({ description: 'What the block, station and step are called' }),
  })
  .meta({ id: 'WhereInPlan' });

const ClassOfFinding = z
  .strictObject({
    gymId: Id,
    gymName: Name,
    classId: Id,
    className: Name,
    day: Day,
    startsAt: WallTime,
  })
  .meta({ id: 'ClassOfFinding' });

const more = z.int().min(0).max(1_000_000);
const Finding = z
  .strictObject({
    check: z.enum(CHECKS),
    about: z.enum(ABOUT).meta({ description: 'What the number counts' }),
    severity: z.enum(['warn', 'refuse']).meta({ description: 'Only what is unsafe refuses; the rest warns' }),
    where: z.array(Where).max(60),
    number: Fraction,
    limit: z.strictObject({ atLeast: Fraction.nullable(), atMost: Fraction.nullable() }),
    unit: z.enum(UNITS),
    limitFrom: z.enum(LIMITS_FROM),
    source: z.string().max(500).meta({ description: 'Where the limit comes from, in words' }),
    classes: z.array(ClassOfFinding).max(50).meta({ description: 'Whom it is about; none: the plan itself' }),
    moreClasses: more.meta({ description: 'How many more there are than `classes` names' }),
    sentence: z.string().max(4000),
  })
  .meta({ id: 'PlanFinding' });
export type FindingOnWire = z.output<typeof Finding>;

export const findings = {
  findings: z.array(Finding).max(200),
  moreFindings: more.meta({ description: 'How many more there are than `findings` has' }),
};
const unchecked = z
  .array(z.strictObject({ check: z.enum(CHECKS), sentence: z.string().max(4000) }))
  .max(20)
  .meta({ description: 'What could not be checked, and why' });

export const PlanChecks = z
  .strictObject({
    planId: Id,
    number: z.int().min(1),
    ...findings,
    turns: z
      .array(
        z.strictObject({
          where: Where,
          athletes: z.int().min(1),
          places: z.int().min(1),
          secondsATurn: z.int().min(1),
          seconds: z.int().min(0),
          turnsEach: z.int().min(0),
          waiting: z.int().min(0),
          waitingShare: Fraction,
          waitSeconds: Fraction,
        }),
      )
      .max(240)
      .meta({ description: 'Turns and waiting at each station, for the largest group of all the plan’s classes' }),
    unchecked,
  })
  .meta({ id: 'PlanChecks' });
export type PlanChecks = z.output<typeof PlanChecks>;

export const TermChecks = z.strictObject({ termId: Id, ...findings }).meta({ id: 'TermChecks' });
export type TermChecks = z.output<typeof TermChecks>;
