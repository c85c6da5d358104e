import { z } from 'zod';
import { CoverOnWire } from '../../enforcement/wire.ts';
import { CountsAs, Day, Fraction, Grade, Id, Line } from '../../platform/http/wire.ts';
import { SignOffLevel } from '../people/staff-schema.ts';
import { MixedAges, TrialRule, WhileSpotting } from './rule-schema.ts';
import { StandardId } from './schema.ts';

export const MOST_ATHLETES = 200;
export const MOST_STAFF = 60;
export const MOST_RULES = 20;

const Word = Line(60);
const Label = Line(40).meta({ description: 'What to call them in the answer', example: 'Ada' });
const AgeMonths = z.int().min(0).max(1200).meta({ description: 'Completed months on the day', example: 62 });
const Kind = z
  .string()
  .min(1)
  .max(80)
  .meta({ description: 'A kind of qualification: its id, a published table’s slot, or any name that a rule uses' });
const grade = Grade.default(1);

const TriedRule = z
  .union([
    z.strictObject({
      standard: StandardId,
      parts: z.array(Word).min(1).max(10).optional().meta({ description: 'Only these parts of it' }),
      mixed: MixedAges.optional().meta({ description: 'Another way with mixed ages' }),
      whileSpotting: WhileSpotting.optional(),
    }),
    z.strictObject({ ruleId: Id.meta({ description: 'A stored rule, as it stands on the day' }) }),
    z.strictObject({ name: Line(120), rule: TrialRule }),
  ])
  .meta({ id: 'TriedRule', description: 'By a published table’s name, by a stored rule’s id, or written out' });
export type TriedRule = z.output<typeof TriedRule>;

const who = {
  ageMonths: AgeMonths.optional(),
  born: Day.nullable().optional().meta({ description: 'Instead of an age; null is unknown' }),
  traits: z.array(Word).max(10).default([]).meta({ description: 'Such as accompanied' }),
  category: Word.nullable().default(null),
};
const oneAge = (one: { ageMonths?: number | undefined; born?: string | null | undefined }) =>
  (one.ageMonths === undefined) !== (one.born === undefined);
const ONE_AGE = 'Say either "ageMonths" or "born" (null where it is unknown).';

const TriedAthlete = z
  .strictObject({
    id: Label.optional(),
    count: z.int().min(1).max(MOST_ATHLETES).default(1).meta({ description: 'So many like this' }),
    ...who,
    family: Word.nullable().default(null),
    countsAs: CountsAs.default('1').meta({ description: 'How many heads’ load' }),
    helpers: z
      .array(Label)
      .max(10)
      .nullable()
      .default(null)
      .meta({ description: 'One-to-one: the staff who may be their helper; null needs none' }),
  })
  .refine(oneAge, ONE_AGE)
  .meta({ id: 'TriedAthlete' });

const TriedStaff = z
  .strictObject({
    id: Label.optional(),
    count: z.int().min(1).max(MOST_STAFF).default(1),
    ageYears: z.int().min(10).max(100).optional(),
    born: Day.optional().meta({ description: 'Instead of an age' }),
    duty: z
      .enum(['lead', 'assist', 'shadow', 'oversee'])
      .default('lead')
      .meta({ description: 'The one who oversees stands over the session, counted by its rules' }),
    floats: z.boolean().default(false).meta({ description: 'On the premises, at no block' }),
    qualifications: z
      .array(z.strictObject({ kind: Kind, grade }))
      .max(20)
      .default([]),
    signedOff: z
      .array(z.strictObject({ skill: Word, level: SignOffLevel }))
      .max(40)
      .default([]),
    takesPart: z.boolean().default(false).meta({ description: 'Trains with the athletes meanwhile' }),
    ownChildren: z.array(Label).max(10).default([]).meta({ description: 'Athletes here who are theirs' }),
  })
  .refine((one) => (one.ageYears === undefined) !== (one.born === undefined), 'Say either "ageYears" or "born".')
  .meta({ id: 'TriedStaff' });

const TriedStation = z
  .strictObject({
    id: Label.optional(),
    apparatus: Word.default('floor'),
    items: z.int().min(1).max(99).default(1),
    spotting: z
      .discriminatedUnion('mode', [
        z.strictObject({ mode: z.literal('none') }),
        z.strictObject({
          mode: z.enum(['stand-by', 'hands-on']),
          kind: Kind,
          grade,
          skills: z
            .array(z.strictObject({ skill: Word, level: SignOffLevel }))
            .max(20)
            .default([]),
        }),
      ])
      .default({ mode: 'none' }),
  })
  .meta({ id: 'TriedStation' });

export const CoverTrial = z
  .strictObject({
    day: Day.optional().meta({ description: 'Ages are as on this day; left out: today' }),
    leapDay: z.enum(['03-01', '02-28']).default('03-01').meta({ description: 'When those born on 29 February turn' }),
    rules: z.array(TriedRule).min(1).max(MOST_RULES),
    athletes: z.array(TriedAthlete).max(MOST_ATHLETES),
    staff: z.array(TriedStaff).max(MOST_STAFF).default([]),
    stations: z.array(TriedStation).max(20).default([]).meta({ description: 'All open at once' }),
    oneMore: z
      .strictObject(who)
      .refine(oneAge, ONE_AGE)
      .optional()
      .meta({ description: 'Whom the headroom is asked for; left out: one like the youngest there' }),
  })
  .meta({
    id: 'CoverTrial',
    description: 'Rules, and a made-up floor: one block, in which they all stand. At most 200 athletes and 60 staff.',
    example: {
      day: '2026-09-14',
      rules: [{ standard: 'nspcc-cpsu', mixed: { method: 'proportional' } }],
      athletes: [{ ageMonths: 40 }, { ageMonths: 75, count: 7 }, { ageMonths: 110, count: 8 }],
      staff: [
        { id: 'Bo', ageYears: 31, duty: 'lead', qualifications: [{ kind: 'vault spotting' }] },
        { id: 'Cy', ageYears: 17, duty: 'assist' },
      ],
      stations: [{ id: 'Vault', apparatus: 'vault', spotting: { mode: 'hands-on', kind: 'vault spotting', grade: 1 } }],
      oneMore: { ageMonths: 75 },
    },
  });
export type CoverTrial = z.output<typeof CoverTrial>;

const EngineId = z.string().max(120);
export const TriedCover = z
  .strictObject({
    day: Day,
    covered: z.boolean().meta({ description: 'The block, its session and the premises are all covered' }),
    needed: z
      .int()
      .min(0)
      .max(2_147_483_647)
      .meta({ description: 'What the rule that asks for most asks for, rounded up' }),
    counted: Fraction.meta({ description: 'What those there count for under that rule, exact' }),
    bindingRuleId: EngineId.nullable().meta({ description: 'That rule' }),
    covers: z
      .array(CoverOnWire)
      .max(10)
      .meta({ description: 'Of the block, the session and the premises: each rule is judged where it holds' }),
    headroom: z
      .strictObject({
        more: z.int().min(0).meta({ description: 'How many more such athletes fit; none while it is not covered' }),
        bindingRuleId: EngineId.nullable().meta({ description: 'The rule that stops the next one' }),
        ageMonths: z.int().nullable(),
      })
      .nullable()
      .meta({ description: 'Null where there is nobody to ask for, and where a large trial leaves no time to look' }),
  })
  .meta({ id: 'TriedCover' });
export type TriedCover = z.output<typeof TriedCover>;
