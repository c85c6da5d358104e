import { z } from 'zod';
import { Day, Fraction, GymRef, CountsAs as Heads, Id, Line, page, Revision, Text } from '../../platform/http/wire.ts';
import { Contacts, names, openDays, personChanges, SearchQuery, span, WhichPerson, withSettled } from './schema.ts';

export const AthleteRef = GymRef.extend({ athleteId: Id });
export type AthleteRef = z.output<typeof AthleteRef>;
export const TraitRef = AthleteRef.extend({ traitId: Id });
export type TraitRef = z.output<typeof TraitRef>;
export const SupportRef = AthleteRef.extend({ supportId: Id });
export type SupportRef = z.output<typeof SupportRef>;
export const HelperRef = AthleteRef.extend({ athleteHelperId: Id });
export type HelperRef = z.output<typeof HelperRef>;
export const GuardianRef = AthleteRef.extend({ guardianId: Id });
export type GuardianRef = z.output<typeof GuardianRef>;

const TraitName = Line(60).meta({ description: 'What a rule’s band may name: “accompanied”', example: 'accompanied' });
export const NewTrait = z.strictObject({ trait: TraitName, ...openDays }).meta({ id: 'NewTrait' });
export type NewTrait = z.input<typeof NewTrait>;
export const Trait = z.strictObject({ id: Id, trait: TraitName, ...span }).meta({ id: 'Trait' });
export type Trait = z.output<typeof Trait>;
export const ChangedTrait = withSettled(Trait, 'ChangedTrait');

export const NewSupport = z.strictObject(openDays).meta({ id: 'NewSupport' });
export type NewSupport = z.input<typeof NewSupport>;
export const Support = z.strictObject({ id: Id, ...span }).meta({ id: 'Support' });
export type Support = z.output<typeof Support>;
export const ChangedSupport = withSettled(Support, 'ChangedSupport');

export const NewHelper = z.strictObject({ helperId: Id, ...openDays }).meta({ id: 'NewHelper' });
export type NewHelper = z.input<typeof NewHelper>;
export const Helper = z.strictObject({ id: Id, helperId: Id, ...span }).meta({ id: 'Helper' });
export type Helper = z.output<typeof Helper>;
export const ChangedHelper = withSettled(Helper, 'ChangedHelper');

const Relation = Line(60).meta({ example: 'mother' });
export const NewGuardian = z
  .strictObject({ person: WhichPerson, relation: Relation, mayCollect: z.boolean().default(true) })
  .meta({ id: 'NewGuardian' });
export type NewGuardian = z.input<typeof NewGuardian>;
export const GuardianChanges = z
  .strictObject({ ...personChanges, relation: Relation, mayCollect: z.boolean() })
  .partial()
  .meta({ id: 'GuardianChanges' });
export type GuardianChanges = z.output<typeof GuardianChanges>;
export const Guardian = z
  .strictObject({
    guardianId: Id,
    ...names,
    relation: Relation,
    mayCollect: z.boolean(),
    contacts: Contacts.nullable().meta({ description: 'Null without the permission contacts.read' }),
  })
  .meta({ id: 'Guardian' });
export type Guardian = z.output<typeof Guardian>;
export const ChangedGuardian = withSettled(Guardian, 'ChangedGuardian');
const athleteRevision = Revision.meta({ description: 'The athlete’s, whose writes it counts' });
export const CorrectedGuardian = Guardian.extend({ revision: athleteRevision }).meta({ id: 'CorrectedGuardian' });
export type CorrectedGuardian = z.output<typeof CorrectedGuardian>;
export const UnlinkedGuardian = withSettled(z.strictObject({ guardianId: Id }), 'UnlinkedGuardian');

/** Less than a head would be less supervision than the rules ask for: an exact fraction's two parts fit a number. */
const isAtLeastOne = (share: string) => {
  const [heads, parts = '1'] = share.split('/');
  return !(Number(heads) < Number(parts));
};
const CountsAs = Heads.refine(isAtLeastOne, 'Expected "1" or more, such as "3/2".').meta({
  description: 'Their load, where it is more than one head’s; at least 1',
});
const familyOf = Id.nullable().meta({ description: 'In one family with this athlete; null is a family of their own' });

export const NewAthlete = z
  .strictObject({
    person: WhichPerson,
    born: Day.nullable().meta({ description: 'Null is unknown: rules with age bands then have a finding' }),
    familyOf: familyOf.default(null),
    countsAs: CountsAs.default('1'),
    traits: z.array(NewTrait).max(20).default([]),
  })
  .meta({ id: 'NewAthlete' });
export type NewAthlete = z.input<typeof NewAthlete>;
export const AthleteChanges = z
  .strictObject({
    ...personChanges,
    born: Day.nullable(),
    familyOf,
    countsAs: CountsAs,
    gymId: Id.meta({ description: 'Moves to this gym; their enrolments here have to be over' }),
    left: z.boolean().meta({ description: 'No longer comes; their enrolments have to be over' }),
  })
  .partial()
  .meta({ id: 'AthleteChanges' });
export type AthleteChanges = z.output<typeof AthleteChanges>;

const summary = {
  athleteId: Id,
  ...names,
  alerts: Text(2000).nullable().meta({ description: 'Medical alerts; null is none, or none that you may read' }),
};
export const AthleteSummary = z.strictObject(summary).meta({ id: 'AthleteSummary' });
export type AthleteSummary = z.output<typeof AthleteSummary>;
export const AthleteQuery = SearchQuery.extend({
  left: z
    .enum(['true', 'false'])
    .default('false')
    .meta({ description: '"true" lists those who no longer come instead' }),
});
export type AthleteQuery = z.output<typeof AthleteQuery>;
export const AthletePage = page(AthleteSummary, 'AthletePage');

export const AthleteRecord = z
  .strictObject({
    born: Day.nullable(),
    countsAs: Fraction,
    hasLeft: z.boolean(),
    family: z.array(Id).max(100).meta({ description: 'The other athletes of their family' }),
    traits: z.array(Trait).max(500),
    supports: z.array(Support).max(500).meta({ description: 'When they need a one-to-one helper' }),
    helpers: z.array(Helper).max(500).meta({ description: 'Who may be that helper' }),
    guardians: z.array(Guardian).max(50),
    contacts: Contacts.nullable().meta({ description: 'Null without the permission contacts.read' }),
  })
  .meta({ id: 'AthleteRecord' });
export type AthleteRecord = z.output<typeof AthleteRecord>;
export const Athlete = z
  .strictObject({
    ...summary,
    gymId: Id,
    record: AthleteRecord.nullable().meta({ description: 'Null for a coach, who sees names and alerts only' }),
    revision: Revision,
  })
  .meta({ id: 'Athlete' });
export type Athlete = z.output<typeof Athlete>;
export const ChangedAthlete = withSettled(Athlete, 'ChangedAthlete');
export type ChangedAthlete = z.output<typeof ChangedAthlete>;

const alerts = Text(2000).nullable().meta({ description: 'What a coach has to know; null takes the alerts away' });
export const Stature = z
  .strictObject({
    stature: z
      .strictObject({ cm: z.int().min(50).max(250), on: Day.meta({ description: 'The day on which it was taken' }) })
      .nullable()
      .meta({ description: 'The last that was taken; null: none' }),
  })
  .meta({ id: 'Stature', example: { stature: { cm: 128, on: '2026-09-01' } } });
export type Stature = z.output<typeof Stature>;
export const HealthBody = z.strictObject({ alerts }).meta({ id: 'HealthBody' });
export const Health = z.strictObject({ alerts, revision: athleteRevision }).meta({ id: 'Health' });
export type Health = z.output<typeof Health>;
