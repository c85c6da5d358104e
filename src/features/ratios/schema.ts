import { z } from 'zod';
import { SettledOnWire } from '../../enforcement/wire.ts';
import { Day, Id, Instant, Line, Name, PageQuery, page, Revision } from '../../platform/http/wire.ts';
import { MixedAges, RuleOnWire, RuleScope, WhileSpotting, WrittenRule } from './rule-schema.ts';

const Word = Line(60);
const SLOTS = [
  'lead-coach',
  'assistant-coach',
  'certified-coach',
  'level-6',
  'apprentice',
  'screened',
  'teacher',
] as const;
const Slot = z.enum(SLOTS);

export const StandardId = z
  .string()
  .max(60)
  .meta({ description: 'A published table by its id, as `GET /v1/ratio-standards` lists them', example: 'nspcc-cpsu' });
export const StandardRef = z.strictObject({ standardId: z.string().max(60) });

const standard = {
  id: z.string().max(60),
  name: z.string().max(200),
  publisher: z.string().max(200),
  title: z.string().max(400),
  edition: z.string().max(200),
  url: z.string().max(500).nullable(),
  kind: z.string().max(100).meta({ description: 'Guidance, accreditation, statute' }),
  setting: z.string().max(200),
  provenance: z
    .enum(['seen', 'memory'])
    .meta({ description: 'Whether its numbers were read in a public text, or recalled' }),
  superseded: z.string().max(300).nullable().meta({ description: 'Why it is no longer in force' }),
  silentOn: z
    .array(z.string().max(500))
    .max(20)
    .meta({ description: 'What it does not say, and the choice made here: the stricter reading' }),
  slots: z
    .array(z.strictObject({ slot: Slot, required: z.boolean(), means: z.string().max(300) }))
    .max(7)
    .meta({ description: 'Kinds of qualification that it speaks of: name yours for each when adopting it' }),
  parts: z
    .array(z.strictObject({ part: z.string().max(60), rule: RuleOnWire }))
    .max(10)
    .meta({ description: 'One rule each; kinds of qualification are named by their slot' }),
};
export const RatioStandard = z.strictObject(standard).meta({ id: 'RatioStandard' });
export type RatioStandard = z.output<typeof RatioStandard>;
export const RatioStandardList = z
  .strictObject({ items: z.array(RatioStandard).max(100) })
  .meta({ id: 'RatioStandardList' });

const Bound = z.strictObject({ kindId: Id, grade: z.int().min(1).max(20).default(1) });

export const StandardAdoption = z
  .strictObject({
    standard: StandardId,
    parts: z.array(Word).min(1).max(10).optional().meta({ description: 'Only these parts; left out: all' }),
    kinds: z
      .strictObject({
        'lead-coach': Bound.optional(),
        'assistant-coach': Bound.optional(),
        'certified-coach': Bound.optional(),
        'level-6': Bound.optional(),
        apprentice: Bound.optional(),
        screened: Bound.optional(),
        teacher: Bound.optional(),
      })
      .default({})
      .meta({ description: 'Your kind of qualification, and its lowest grade, for each slot' }),
    scope: RuleScope.default({}).meta({
      description: 'A table for one programme has to be scoped to it, or everybody else is of no age that it allows',
    }),
    scopes: z.record(Word, RuleScope).optional().meta({ description: 'A scope of its own for a part' }),
    except: RuleScope.nullable().default(null),
    traits: z.strictObject({ accompanied: Word.optional(), 'special-needs': Word.optional() }).default({}),
    categories: z
      .strictObject({
        'before-kindergarten': Word.optional(),
        kindergarten: Word.optional(),
        'school-age': Word.optional(),
      })
      .default({}),
    mixed: MixedAges.optional().meta({ description: 'Another way with mixed ages than the choice made here' }),
    whileSpotting: WhileSpotting.default('counts'),
    overridable: z.boolean().default(true),
    from: Day.meta({ description: 'The first day on which it is in force' }),
  })
  .meta({
    id: 'StandardAdoption',
    example: { standard: 'nspcc-cpsu', scope: { activity: ['apparatus'] }, from: '2026-09-01' },
  });
export type StandardAdoption = z.output<typeof StandardAdoption>;

const written = {
  name: Name,
  rule: WrittenRule,
  from: Day.meta({ description: 'The first day on which it is in force' }),
  until: Day.nullable().default(null).meta({ description: 'The first day on which it no longer is' }),
};
export const NewRatioRule = z.strictObject(written).meta({ id: 'NewRatioRule' });
export type NewRatioRule = z.output<typeof NewRatioRule>;

/** A published table by name, or a rule written out. */
export const NewRules = z.union([NewRatioRule, StandardAdoption]).meta({ id: 'NewRules' });

export const RuleRetirement = z
  .strictObject({ from: Day.meta({ description: 'The first day on which there is no such rule' }) })
  .meta({ id: 'RuleRetirement' });

const version = {
  version: z.int().min(1),
  name: z.string().max(300),
  from: Day,
  until: Day.nullable().meta({ description: 'The first day on which another version, or none, is in force' }),
  retired: z.boolean().meta({ description: 'From its first day on there is no such rule' }),
  createdAt: Instant,
  rule: RuleOnWire,
};
const rule = {
  id: Id,
  gymId: Id.nullable().meta({ description: 'Null: the franchise’s' }),
  ...version,
  revision: Revision.meta({ description: 'The rule’s newest version' }),
};
export const RatioRule = z.strictObject(rule).meta({ id: 'RatioRule' });
export type RatioRule = z.output<typeof RatioRule>;
export const RatioRulePage = page(RatioRule, 'RatioRulePage');

const RatioRuleVersion = z.strictObject(version).meta({ id: 'RatioRuleVersion' });
export const WholeRatioRule = z
  .strictObject({ ...rule, versions: z.array(RatioRuleVersion).max(500).meta({ description: 'Newest first' }) })
  .meta({ id: 'WholeRatioRule' });
export type WholeRatioRule = z.output<typeof WholeRatioRule>;

export const SettledRatioRule = z.strictObject({ ...rule, settled: SettledOnWire }).meta({ id: 'SettledRatioRule' });
export const SettledRatioRules = z
  .strictObject({ rules: z.array(RatioRule).max(10), settled: SettledOnWire })
  .meta({ id: 'SettledRatioRules' });

export const RuleRef = z.strictObject({ ruleId: Id });
export const GymRuleRef = z.strictObject({ gymId: Id, ruleId: Id });
export const RuleQuery = z.strictObject({
  ...PageQuery,
  gymId: Id.optional().meta({
    description: 'The franchise’s and this gym’s; left out: those of all gyms that the caller belongs to',
  }),
  on: Day.optional().meta({ description: 'The version in force on this day; left out: the newest of each' }),
});
