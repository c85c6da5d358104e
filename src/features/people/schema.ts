import { z } from 'zod';
import { TestSchema } from '../../enforcement/test-schema.ts';
import { SettledOnWire } from '../../enforcement/wire.ts';
import { Day, daySpan, Email, Id, Line, Name, PageQuery, page, Revision } from '../../platform/http/wire.ts';
import { COUNTS_FOR } from '../../tables/people.ts';

// What staff, athletes and guardians have in common, and what the franchise sets for all gyms.

export const Phone = z
  .string()
  .max(32)
  .regex(/^\+?[0-9][0-9 ().-]{3,30}$/, 'Expected a telephone number such as "+353 1 555 0100".')
  .meta({ id: 'Phone', example: '+353 1 555 0100' });

const contacts = { email: Email.nullable(), phone: Phone.nullable() };
export const Contacts = z.strictObject(contacts).meta({ id: 'Contacts' });
export type Contacts = z.output<typeof Contacts>;
export const personChanges = { given: Name, family: Name, ...contacts };

/** Somebody whom the franchise does not know yet. */
export const NewPerson = z
  .strictObject({
    given: Name,
    family: Name,
    email: Email.nullable().default(null),
    phone: Phone.nullable().default(null),
  })
  .meta({ id: 'NewPerson' });
export type NewPerson = z.input<typeof NewPerson>;
/** Somebody new, or somebody whom the gym knows already: staff, athlete and guardian may be one and the same. */
export const WhichPerson = z.union([NewPerson, z.strictObject({ id: Id })]).meta({
  id: 'WhichPerson',
  description: 'Somebody new; or, by id, somebody whom this gym knows already as staff, athlete or guardian',
});
export type WhichPerson = z.input<typeof WhichPerson>;

/** Names are null once they have been erased. */
export const names = { given: Name.nullable(), family: Name.nullable() };

/** From a day on, for good or until a day: the first that is out. */
export const openDays = {
  from: Day,
  until: Day.nullable().default(null).meta({ description: 'The first day that is out; null is open' }),
};
export const EndOn = z
  .strictObject({ until: Day.meta({ description: 'The first day that is out' }) })
  .meta({ id: 'EndOn' });
export const span = daySpan;

export const SearchQuery = z.strictObject({
  ...PageQuery,
  name: Line(80).optional().meta({ description: 'Only those whose name has this in it' }),
});
export type SearchQuery = z.output<typeof SearchQuery>;

/** An answer about a fact: the thing, and what followed from it. */
export const withSettled = <T extends z.ZodRawShape>(of: z.ZodObject<T>, id: string) =>
  of.extend({ settled: SettledOnWire }).meta({ id });

const grades = z
  .array(Line(80))
  .min(1)
  .max(20)
  .meta({ description: 'The names of its grades, lowest first; grade 1 is the first' });
const kind = {
  name: Name,
  countsFor: z.array(z.enum(COUNTS_FOR)).max(COUNTS_FOR.length).meta({ description: 'What it is good for' }),
  grades,
  until: Day.nullable().meta({
    description: 'From this day on it counts for nothing, whoever holds it; null: it goes on',
  }),
};
export const QualificationKindRef = z.strictObject({ kindId: Id });
export const NewQualificationKind = z
  .strictObject({ ...kind, until: kind.until.default(null) })
  .meta({ id: 'NewQualificationKind' });
export type NewQualificationKind = z.input<typeof NewQualificationKind>;
export const QualificationKindChanges = z.strictObject(kind).partial().meta({ id: 'QualificationKindChanges' });
export type QualificationKindChanges = z.output<typeof QualificationKindChanges>;
export const QualificationKind = z
  .strictObject({ id: Id, ...kind, revision: Revision })
  .meta({ id: 'QualificationKind' });
export type QualificationKind = z.output<typeof QualificationKind>;
export const ChangedQualificationKind = withSettled(QualificationKind, 'ChangedQualificationKind');
export const QualificationKindPage = page(QualificationKind, 'QualificationKindPage');

export const Duty = z.enum(['lead', 'assist', 'shadow', 'oversee']).meta({ id: 'Duty' });
export type Duty = z.output<typeof Duty>;
export const DutyRef = z.strictObject({ duty: Duty });
export const DutyRuleBody = z.strictObject({ who: TestSchema }).meta({ id: 'DutyRuleBody' });
export const DutyRule = z.strictObject({ duty: Duty, who: TestSchema, revision: Revision }).meta({ id: 'DutyRule' });
export type DutyRule = z.output<typeof DutyRule>;
export const DutyRulePage = page(DutyRule, 'DutyRulePage');
export const ChangedDutyRule = withSettled(DutyRule, 'ChangedDutyRule');
