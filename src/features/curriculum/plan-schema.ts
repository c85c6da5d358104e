import { z } from 'zod';
import { SettledOnWire } from '../../enforcement/wire.ts';
import { Day, Id, Instant, Name, PageQuery, page, Reason, Revision, Text, whole } from '../../platform/http/wire.ts';
import { findings } from './checks/schema.ts';
import { PlanDifference } from './difference-schema.ts';
import { planContent } from './plan-content-schema.ts';

export const PlanRef = z.strictObject({ planId: Id });
export const VersionNumber = whole(1, 100_000);
export const VersionRef = PlanRef.extend({ number: VersionNumber });
export const StationRef = VersionRef.extend({ stationId: Id });

const isMonday = (day: string) => new Date(`${day}T00:00:00Z`).getUTCDay() === 1;
export const Monday = Day.refine(isMonday, 'Expected the Monday of the week.').meta({
  description: 'The Monday of the week',
  example: '2026-09-07',
});

const plan = {
  title: Name,
  weekOf: Monday.meta({ description: 'The Monday of the week it is written for' }),
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
      description: 'The newest published version; it may take effect in a later week',
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

const version = {
  id: Id,
  planId: Id,
  number: z.int().min(1),
  state: z.enum(['draft', 'published', 'withdrawn']),
  publishedAt: Instant.nullable(),
  effectiveWeek: Day.nullable().meta({
    description: 'The Monday from which classes are laid out from it, unless it is named; null is at once',
  }),
  note: Text(1000).meta({ description: 'What the lead tells the coaches about it' }),
  withdrawnAt: Instant.nullable(),
  withdrawnWhy: Reason.nullable(),
  revision: Revision,
};
export const PlanVersion = z.strictObject(version).meta({ id: 'PlanVersion' });
export type PlanVersion = z.output<typeof PlanVersion>;
export const PlanVersionPage = page(PlanVersion, 'PlanVersionPage');
export const WholePlanVersion = z.strictObject({ ...version, ...planContent }).meta({ id: 'WholePlanVersion' });
export type WholePlanVersion = z.output<typeof WholePlanVersion>;
export const PublishedPlan = z
  .strictObject({
    ...version,
    ...planContent,
    ...findings,
    spottingChanges: z.array(PlanDifference).max(240).meta({
      description:
        'The stations that ask something else of their spotter than in the version before; it says which ask less',
    }),
  })
  .meta({ id: 'PublishedPlan' });

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

export const Publication = z
  .strictObject({
    effectiveWeek: Monday.nullable().default(null).meta({
      description: 'The Monday from which classes are laid out from it, unless it is named; left out, at once',
    }),
    note: Text(1000).default('').meta({ description: 'What the coaches should know; it heads the briefing' }),
  })
  .meta({ id: 'Publication', example: { effectiveWeek: '2026-09-14', note: 'The vault is lower this week.' } });
export type Publication = z.input<typeof Publication>;

export const PlanWithdrawal = z
  .strictObject({ reason: Reason })
  .meta({ id: 'PlanWithdrawal', example: { reason: 'The beam landing leaves a gap between the mats.' } });
const count = z.int().min(0).max(1_000_000);
const AffectedSession = z
  .strictObject({
    gymId: Id,
    sessionId: Id,
    className: Name,
    day: Day,
    startsAt: Instant,
    blockIds: z.array(Id).max(200),
    confirmedCount: count.meta({ description: 'How many of them were confirmed' }),
  })
  .meta({ id: 'AffectedSession' });
export type AffectedSession = z.output<typeof AffectedSession>;
const AffectedByWithdrawal = z
  .strictObject({
    gyms: z
      .array(z.strictObject({ gymId: Id, sessionCount: count, blockCount: count, confirmedCount: count }))
      .max(500)
      .meta({ description: 'Each gym that has blocks from it which have not ended' }),
    sessions: z.array(AffectedSession).max(200).meta({ description: 'The first of them, by their start' }),
    moreSessions: count.meta({ description: 'How many more there are than `sessions` names' }),
  })
  .meta({ id: 'AffectedByWithdrawal', description: 'What was still to be taught from it, at all gyms' });
export type AffectedByWithdrawal = z.output<typeof AffectedByWithdrawal>;
export const WithdrawnPlan = z
  .strictObject({ version: PlanVersion, affected: AffectedByWithdrawal, settled: SettledOnWire })
  .meta({ id: 'WithdrawnPlan' });
