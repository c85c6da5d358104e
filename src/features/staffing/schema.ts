import { z } from 'zod';
import { FindingOnWire, SettledOnWire, UnitOnWire } from '../../enforcement/wire.ts';
import {
  Day,
  daySpan,
  Fraction,
  GymRef,
  Id,
  Instant,
  Line,
  PageQuery,
  page,
  Reason,
  Sentence,
} from '../../platform/http/wire.ts';

export const BlockRef = GymRef.extend({ blockId: Id });
export const SessionRef = GymRef.extend({ sessionId: Id });
export const AssignmentRef = GymRef.extend({ assignmentId: Id });
export const OverrideRef = GymRef.extend({ overrideId: Id });
export const AbsenceRef = GymRef.extend({ absenceId: Id });

const givingUpOthers = z
  .boolean()
  .default(false)
  .meta({ description: 'Give up whatever else they hold at this gym in that span, in the same change' });

const part = {
  startsAt: Instant.optional().meta({ description: 'From when; the whole block or session when left out' }),
  endsAt: Instant.optional(),
};

export const BlockPlacing = z
  .strictObject({ personId: Id, duty: z.enum(['lead', 'assist', 'shadow']), ...part, givingUpOthers })
  .meta({ id: 'BlockPlacing' });
export const SessionPlacing = z.strictObject({ personId: Id, ...part, givingUpOthers }).meta({ id: 'SessionPlacing' });
export const PremisesPlacing = z
  .strictObject({
    personId: Id,
    duty: z.enum(['lead', 'assist', 'shadow']),
    startsAt: Instant,
    endsAt: Instant,
    givingUpOthers,
  })
  .meta({ id: 'PremisesPlacing' });

export const Assignment = z
  .strictObject({
    id: Id,
    personId: Id,
    unit: UnitOnWire,
    duty: z.enum(['lead', 'assist', 'shadow', 'oversee']),
    day: Day,
    startsAt: Instant,
    endsAt: Instant,
    releasedAt: Instant.nullable(),
    releasedWhy: z
      .string()
      .max(500)
      .nullable()
      .meta({ description: 'Null for those who may not staff the gym: it may be somebody’s own affair' }),
  })
  .meta({ id: 'Assignment' });
export type Assignment = z.output<typeof Assignment>;
export const AssignmentPage = page(Assignment, 'AssignmentPage');
export const AssignmentQuery = z.strictObject({
  ...PageQuery,
  day: Day.optional(),
  blockId: Id.optional(),
  personId: Id.optional(),
});

export const Swap = z
  .strictObject({ personIds: z.tuple([Id, Id]), startsAt: Instant, endsAt: Instant })
  .meta({ id: 'Swap', description: 'Two people exchange their places at this gym within the span' });

export const Because = z.strictObject({ reason: Reason }).meta({ id: 'Because' });

export const NewOverride = z
  .strictObject({
    unit: UnitOnWire,
    startsAt: Instant,
    endsAt: Instant,
    code: FindingOnWire.shape.code,
    ruleId: Id.nullable(),
    subjects: z.array(Line(120)).max(1000).default([]).meta({ description: 'Ids of the finding’s subjects' }),
    short: Fraction.meta({ description: 'The largest shortfall accepted; a larger one is not excused' }),
    reason: Reason,
  })
  .meta({ id: 'NewOverride' });
export type NewOverride = z.output<typeof NewOverride>;
export const Override = z
  .strictObject({
    ...NewOverride.shape,
    subjects: NewOverride.shape.subjects.unwrap(),
    reason: Reason.nullable().meta({ description: 'Null, and no subjects, without the permission staffing.override' }),
    id: Id,
    createdAt: Instant,
    createdBy: Id,
    withdrawnAt: Instant.nullable(),
  })
  .meta({ id: 'Override' });
export type Override = z.output<typeof Override>;
export const OverridePage = page(Override, 'OverridePage');

const Substitution = z.strictObject({ assignmentId: Id, personId: Id });
export const NewAbsence = z
  .strictObject({
    personId: Id,
    startsAt: Instant,
    endsAt: Instant,
    substitutes: z
      .array(Substitution)
      .max(20)
      .default([])
      .meta({ description: 'Who takes which of the places that it releases at this gym, in the same change' }),
  })
  .meta({
    id: 'NewAbsence',
    description: 'At most 92 days; longer is an employment that ends',
    example: {
      personId: '01930d5e-8a4c-7c3a-9f65-3b1f0c6d2a11',
      startsAt: '2026-09-14T15:00:00Z',
      endsAt: '2026-09-14T20:00:00Z',
    },
  });
export const Absence = z
  .strictObject({ id: Id, personId: Id, startsAt: Instant, endsAt: Instant, withdrawnAt: Instant.nullable() })
  .meta({ id: 'Absence' });
export type Absence = z.output<typeof Absence>;
export const AbsencePage = page(Absence, 'AbsencePage');
export const TakenSubstitute = z
  .strictObject({
    ...Substitution.shape,
    assignment: Assignment.nullable().meta({ description: 'Their place; null where they were not taken' }),
    why: Sentence.nullable().meta({ description: 'Why they were not taken' }),
  })
  .meta({ id: 'TakenSubstitute' });
export type TakenSubstitute = z.output<typeof TakenSubstitute>;
export const PlaceLeft = z
  .strictObject({
    assignmentId: Id,
    gymId: Id,
    unit: UnitOnWire,
    name: z.string().max(400),
    duty: Assignment.shape.duty,
    day: Day,
    startsAt: Instant,
    endsAt: Instant,
    substitutes: z
      .array(
        z.strictObject({
          personId: Id,
          name: z.string().max(300),
          isEnough: z.boolean().meta({ description: 'What the place is for is covered then' }),
          isThere: z.boolean().meta({ description: 'In the building that day anyhow' }),
          request: z.strictObject({
            method: z.literal('POST'),
            path: z.string().max(300),
            body: Substitution,
          }),
        }),
      )
      .max(8)
      .meta({ description: 'Free, employed, qualified and of age for it: who is enough first, then who is there' }),
  })
  .meta({ id: 'PlaceLeft', description: 'A place that an absence released' });
export type PlaceLeft = z.output<typeof PlaceLeft>;
export const AbsenceSettled = z
  .strictObject({
    absence: Absence,
    taken: z.array(TakenSubstitute).max(20),
    left: z
      .array(PlaceLeft)
      .max(24)
      .meta({ description: 'The places that nobody has taken yet; of many, the first. Swaps are among the remedies' }),
    settled: SettledOnWire,
  })
  .meta({ id: 'AbsenceSettled' });

export const Replacement = z
  .strictObject({ assignmentId: Id, personId: Id })
  .meta({ id: 'Replacement', description: 'Who takes a place that the absence released' });

export const DaysQuery = z.strictObject({ ...PageQuery, from: daySpan.from.optional(), until: Day.optional() });
