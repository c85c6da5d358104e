import { z } from 'zod';
import { Id, Line, Name, PageQuery, page, Revision } from '../../platform/http/wire.ts';
import { TERM_STANDINGS } from '../../tables/terms.ts';
import { Monday } from './plan-schema.ts';

export const TermRef = z.strictObject({ termId: Id });

/** The longest term: a year and some weeks. */
export const MOST_WEEKS = 60;

const Week = z
  .strictObject({
    planId: Id.nullable().meta({ description: 'The lesson plan that hangs from it' }),
    note: Line(200).nullable(),
    skills: z
      .array(z.strictObject({ skillId: Id, standing: z.enum(TERM_STANDINGS) }))
      .max(60)
      .meta({ description: 'What it takes up, continues, revises and tests' }),
  })
  .meta({ id: 'TermWeek' });
export type Week = z.output<typeof Week>;
const weeks = z.array(Week).min(1).max(MOST_WEEKS).meta({ description: 'In order: the first is week 1' });

const term = {
  title: Name,
  startsOn: Monday.meta({ description: 'The Monday of its first week' }),
  weeks,
};
export const NewTerm = z.strictObject({ programmeId: Id, ...term }).meta({ id: 'NewTerm' });
export type NewTerm = z.output<typeof NewTerm>;
export const TermContent = z.strictObject(term).meta({ id: 'TermContent' });
export type TermContent = z.output<typeof TermContent>;
export const Term = z.strictObject({ id: Id, programmeId: Id, ...term, revision: Revision }).meta({ id: 'Term' });
export type Term = z.output<typeof Term>;

const TermBrief = z
  .strictObject({
    id: Id,
    programmeId: Id,
    title: term.title,
    startsOn: term.startsOn,
    weekCount: z.int().min(1).max(MOST_WEEKS),
    revision: Revision,
  })
  .meta({ id: 'TermBrief' });
export type TermBrief = z.output<typeof TermBrief>;
export const TermPage = page(TermBrief, 'TermPage');
export const TermQuery = z.strictObject({ ...PageQuery, programmeId: Id.optional() });

export const TermCopy = z
  .strictObject({
    title: term.title,
    startsOn: term.startsOn,
    withPlans: z.boolean().meta({ description: 'Whether the same lesson plans hang from it' }),
  })
  .meta({ id: 'TermCopy', example: { title: 'Spring', startsOn: '2027-01-11', withPlans: false } });
export type TermCopy = z.output<typeof TermCopy>;

export const TermShift = z
  .strictObject({
    fromWeek: z.int().min(1).max(MOST_WEEKS).meta({ description: 'The first week that moves' }),
    by: z
      .int()
      .min(-MOST_WEEKS)
      .max(MOST_WEEKS)
      .refine((by) => by !== 0, 'Expected at least one week, later or earlier.')
      .meta({ description: 'So many weeks later; earlier where negative, over weeks with nothing in them' }),
  })
  .meta({ id: 'TermShift', example: { fromWeek: 4, by: 1 } });
export type TermShift = z.output<typeof TermShift>;
