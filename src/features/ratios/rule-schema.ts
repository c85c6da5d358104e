import { z } from 'zod';
import type { Test } from '../../cover/types.ts';
import { TestByName, TestSchema } from '../../enforcement/test-schema.ts';
import { Id, Line, Ratio } from '../../platform/http/wire.ts';
import { ACTIVITIES } from '../../tables/plans.ts';

// The vocabulary of a ratio rule as it travels: the engine's, with exact fractions as text. Written by people, most of it
// may be left out; answered, everything is there.

const Athletes = z.int().min(1).max(1000);
const Word = Line(60);

const Edge = z
  .union([
    z.strictObject({ months: z.int().min(0).max(1200) }),
    z.strictObject({
      firstOn: z.strictObject({ month: z.int().min(1).max(12), day: z.int().min(1).max(31) }),
      afterBirthday: z.int().min(0).max(30),
    }),
  ])
  .meta({
    id: 'Edge',
    description: 'An age in completed months, or the first such date strictly after that birthday',
    example: { months: 60 },
  });

export const RuleScope = z
  .strictObject({
    programme: z.array(Id).min(1).max(50).optional(),
    level: z.array(Id).min(1).max(100).optional(),
    apparatus: z.array(Id).min(1).max(50).optional(),
    activity: z.array(z.enum(ACTIVITIES)).min(1).max(20).optional(),
    area: z.array(Id).min(1).max(100).optional(),
  })
  .meta({ id: 'RuleScope', description: 'Where it holds: one of each that is named; what is left out is any' });
export type RuleScope = z.output<typeof RuleScope>;

export const MixedAges = z
  .union([
    z.strictObject({ method: z.enum(['youngest', 'majority', 'each-band', 'proportional', 'fill']) }),
    z.strictObject({
      method: z.literal('composition'),
      rows: z
        .array(
          z.strictObject({
            ifBand: Word,
            atLeast: z.union([z.strictObject({ count: Athletes }), z.strictObject({ share: Ratio })]),
            use: Word,
          }),
        )
        .min(1)
        .max(30),
    }),
  ])
  .meta({
    id: 'MixedAges',
    description:
      'Ages together: the youngest governs; the largest band does; each band rounds up by itself; fractions are added; whole coaches are filled, youngest first; or what the composition says',
    example: { method: 'youngest' },
  });
export type MixedAges = z.output<typeof MixedAges>;

const Cap = z
  .strictObject({
    max: z.int().min(0).max(1000),
    of: z.enum(['group', 'apparatus', 'equipment-item', 'area']),
    bands: z.array(Word).min(1).max(30).nullable().meta({ description: 'Only athletes of these; null is all' }),
  })
  .meta({ id: 'Cap', description: 'A limit that no number of coaches lifts' });

export const WhileSpotting = z
  .union([z.enum(['counts', 'does-not-count']), z.strictObject({ upTo: z.int().min(0).max(100) })])
  .meta({
    id: 'WhileSpotting',
    description: 'What somebody counts while spotting by hand: whole, not, or up to n athletes',
  });

const RuleSource = z
  .strictObject({
    standard: z.string().max(60),
    edition: z.string().max(200),
    silentOn: z
      .array(z.string().max(500))
      .max(20)
      .meta({ description: 'What the published table does not say, and the choice that was made' }),
  })
  .meta({ id: 'RuleSource' });

/** The parts of a rule that hold tests, for one way of naming kinds of qualification. */
function partsWith(test: z.ZodType<Test, Test>, suffix: string) {
  const limit = {
    upToGroup: Athletes.nullable().meta({ description: 'For groups up to this size; null is any' }),
    athletesPerCoach: Ratio,
    when: test.nullable().meta({ description: 'Only while somebody like this leads or assists there; null is always' }),
  };
  const band = {
    id: Word.meta({ description: 'Its name, unique in the rule', example: 'under 5' }),
    from: Edge.nullable(),
    to: Edge.nullable().meta({ description: 'The first age that is out; null is open' }),
    category: Word.nullable().meta({ description: 'As set by the enrolment' }),
    trait: Word.nullable().meta({ description: 'Only athletes with this trait, such as accompanied' }),
    countBy: z.enum(['athlete', 'family']),
    largestGroup: Athletes.nullable(),
    mixes: z
      .enum(['in', 'rules', 'apart'])
      .meta({ description: 'With others: as the method says; governs as soon as one is there; a load of its own' }),
  };
  const limits = { description: 'The first that fits; none at all asks nothing for them' };
  const post = z.strictObject({ people: z.int().min(1).max(20), who: test }).meta({ id: `Post${suffix}` });
  const floor = z
    .strictObject({
      fromAthletes: Athletes,
      toAthletes: Athletes.nullable().meta({ description: 'The last number that is in' }),
      posts: z.array(post).min(1).max(10),
    })
    .meta({ id: `PostsFloor${suffix}`, description: 'Posts that need a person each, heads and not shares' });
  const counts = z
    .strictObject({
      who: test,
      share: Ratio,
      maxOf: z
        .strictObject({ share: Ratio, base: z.enum(['required', 'counted']) })
        .nullable()
        .meta({ description: 'At most this part of those required, or of those who count, may be such people' }),
    })
    .meta({ id: `Counts${suffix}` });
  const supervision = z
    .strictObject({
      supervisor: test,
      anyOf: z
        .array(
          z
            .array(z.strictObject({ who: test, max: Athletes }))
            .min(1)
            .max(6),
        )
        .min(1)
        .max(6),
    })
    .meta({
      id: `Supervision${suffix}`,
      description: 'Whom one supervisor may look after at once: one of these mixes',
    });

  const NewLimit = z
    .strictObject({ ...limit, upToGroup: limit.upToGroup.default(null), when: limit.when.default(null) })
    .meta({ id: `NewLimit${suffix}` });
  const NewBand = z
    .strictObject({
      ...band,
      from: band.from.default(null),
      to: band.to.default(null),
      category: band.category.default(null),
      trait: band.trait.default(null),
      countBy: band.countBy.default('athlete'),
      limits: z.array(NewLimit).max(12).meta(limits),
      largestGroup: band.largestGroup.default(null),
      mixes: band.mixes.default('in'),
    })
    .meta({ id: `NewBand${suffix}` });
  const Limit = z.strictObject(limit).meta({ id: `Limit${suffix}` });
  const Band = z.strictObject({ ...band, limits: z.array(Limit).max(12).meta(limits) }).meta({ id: `Band${suffix}` });
  return { NewBand, Band, floor, counts, supervision };
}

type Parts = ReturnType<typeof partsWith>;

const plain = {
  strength: z.enum(['refuse', 'warn']).meta({ description: 'A warning blocks nothing' }),
  overridable: z.boolean().meta({ description: 'Whether its findings may be accepted by name' }),
  scope: RuleScope,
  except: RuleScope.nullable().meta({ description: 'Where it does not hold; null is nowhere' }),
  per: z.enum(['block', 'session', 'premises']),
  agesOf: z.enum(['present', 'enrolled']).meta({ description: 'Whose ages choose the band that governs' }),
  mixed: MixedAges,
  plus: z.int().min(0).max(10).meta({ description: 'So many more, where anybody is needed at all' }),
  whileSpotting: WhileSpotting,
  staffBelowYearsAreAthletes: z
    .int()
    .min(1)
    .max(25)
    .nullable()
    .meta({ description: 'Staff younger than this are heads to be looked after' }),
};
const caps = z.array(Cap).max(20);

const writtenWith = ({ NewBand, floor, counts, supervision }: Parts, id: string) =>
  z
    .strictObject({
      source: RuleSource.nullable()
        .default(null)
        .meta({ description: 'As it is answered; not kept: a rule that is written restates no published table' }),
      strength: plain.strength.default('refuse'),
      overridable: plain.overridable.default(true),
      scope: RuleScope.default({}),
      except: plain.except.default(null),
      per: plain.per.default('block'),
      agesOf: plain.agesOf.default('present'),
      bands: z.array(NewBand).max(30).default([]).meta({ description: 'Youngest first; none: no ratio' }),
      mixed: MixedAges.default({ method: 'youngest' }),
      plus: plain.plus.default(0),
      floors: z.array(floor).max(20).default([]),
      caps: caps.default([]),
      counts: z
        .array(counts)
        .max(20)
        .default([])
        .meta({ description: 'Who counts for how much: the first that fits, else nothing' }),
      whileSpotting: WhileSpotting.default('counts'),
      supervision: z.array(supervision).max(10).default([]),
      staffBelowYearsAreAthletes: plain.staffBelowYearsAreAthletes.default(null),
    })
    .meta({ id, example: EXAMPLE });

const EXAMPLE = {
  bands: [
    { id: 'under 5', to: { months: 60 }, limits: [{ athletesPerCoach: '6' }] },
    { id: '5 and over', from: { months: 60 }, limits: [{ athletesPerCoach: '8' }] },
  ],
  counts: [
    {
      who: {
        test: 'all',
        of: [
          { test: 'age', atLeastYears: 18 },
          { test: 'duty', in: ['lead', 'assist'] },
        ],
      },
      share: '1',
      maxOf: null,
    },
  ],
};

const byName = partsWith(TestByName, 'ByName');

/** A rule as a franchise writes it: kinds of qualification by id. */
export const WrittenRule = writtenWith(partsWith(TestSchema, ''), 'WrittenRule');
export type WrittenRule = z.output<typeof WrittenRule>;

/** A rule as a trial takes it: kinds of qualification may be called anything. */
export const TrialRule = writtenWith(byName, 'TrialRule');

/** A whole rule, as it is answered. */
export const RuleOnWire = z
  .strictObject({
    source: RuleSource.nullable().meta({ description: 'The published table that it restates; null: written here' }),
    ...plain,
    bands: z.array(byName.Band).max(30).meta({ description: 'Youngest first; none: no ratio' }),
    floors: z.array(byName.floor).max(20),
    caps,
    counts: z.array(byName.counts).max(20),
    supervision: z.array(byName.supervision).max(10),
  })
  .meta({ id: 'Rule' });
export type RuleOnWire = z.output<typeof RuleOnWire>;
