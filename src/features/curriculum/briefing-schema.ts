import { z } from 'zod';
import { Day, flag, Id, Instant, Line, Name, PageQuery, page, Text } from '../../platform/http/wire.ts';
import { PlanDifference } from './difference-schema.ts';
import { VersionNumber } from './plan-schema.ts';

export const QuestionRef = z.strictObject({ questionId: Id });

const differences = {
  differences: z.array(PlanDifference).max(500).meta({ description: 'In the order of the newer one' }),
  more: z.int().min(0).max(1_000_000).meta({ description: 'How many more there are' }),
};
const number = z.int().min(1);
export const PlanDifferences = z
  .strictObject({
    planId: Id,
    from: number.nullable().meta({ description: 'Null: there is no version before it' }),
    to: number,
    ...differences,
  })
  .meta({ id: 'PlanDifferences' });
export type PlanDifferences = z.output<typeof PlanDifferences>;
export const DifferencesQuery = z.strictObject({
  from: VersionNumber.optional().meta({
    type: 'integer',
    description: 'The number of the version it is compared with; left out, the one before',
  }),
});

const ofVersion = { planId: Id, number };
export const Briefing = z
  .strictObject({
    ...ofVersion,
    title: Name,
    weekOf: Day,
    effectiveWeek: Day.nullable(),
    publishedAt: Instant,
    withdrawn: z.boolean(),
    note: Text(1000).meta({ description: 'What the lead tells the coaches about it' }),
    since: z
      .strictObject({
        what: z.enum(['version', 'week']).meta({ description: 'The version before, or the plan of an earlier week' }),
        ...ofVersion,
        title: Name,
        weekOf: Day,
      })
      .nullable()
      .meta({ description: 'What it is compared with; null: there is nothing before it' }),
    ...differences,
    seenAt: Instant.nullable().meta({ description: 'When you first marked it as seen' }),
  })
  .meta({ id: 'Briefing' });
export type Briefing = z.output<typeof Briefing>;

export const Seen = z.strictObject({ ...ofVersion, seenAt: Instant }).meta({ id: 'BriefingSeen' });
export type Seen = z.output<typeof Seen>;

const Somebody = z
  .strictObject({
    accountId: Id,
    personId: Id.nullable(),
    name: z.strictObject({ given: Name, family: Name }).nullable(),
  })
  .meta({ id: 'BriefingReaderName' });
const Reader = z
  .strictObject({
    ...Somebody.shape,
    gymIds: z.array(Id).max(500).meta({ description: 'Where they coach; none: at all gyms' }),
    seenAt: Instant.nullable().meta({ description: 'Null: not yet' }),
  })
  .meta({ id: 'BriefingReader' });
export type Reader = z.output<typeof Reader>;
export const ReaderPage = page(Reader, 'BriefingReaderPage');
export const ReaderQuery = z.strictObject({
  ...PageQuery,
  gymId: Id.optional().meta({ description: 'Only coaches of this gym' }),
  seen: flag.optional().meta({ description: 'Only those who have seen it, or only those who have not' }),
});
export type ReaderQuery = z.output<typeof ReaderQuery>;

export const NewQuestion = z
  .strictObject({ question: Line(500) })
  .meta({ id: 'NewBriefingQuestion', example: { question: 'Is the wedge the long one?' } });
export const NewAnswer = z
  .strictObject({ answer: Line(1000) })
  .meta({ id: 'NewBriefingAnswer', example: { answer: 'The short one; the long one is for the flat lane.' } });
export const Question = z
  .strictObject({
    id: Id,
    ...ofVersion,
    question: Line(500),
    askedBy: Somebody,
    askedAt: Instant,
    answer: Line(1000).nullable(),
    answeredAt: Instant.nullable(),
  })
  .meta({ id: 'BriefingQuestion' });
export type Question = z.output<typeof Question>;
export const QuestionPage = page(Question, 'BriefingQuestionPage');
export const QuestionQuery = z.strictObject({
  ...PageQuery,
  answered: flag.optional().meta({ description: 'Only those with an answer, or only those without' }),
});
