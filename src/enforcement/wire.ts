import { z } from 'zod';
import {
  type Cover,
  type Finding,
  formatFraction,
  type Names,
  sentence,
  testPhrase,
  textsIn,
  type Why,
} from '../cover/index.ts';
import { Fraction, Id, Instant, Sentence } from '../platform/http/wire.ts';

// What the engine says, as it travels: fractions as text, moments as RFC 3339, and beside every finding its sentence.

/** An id of the engine's: a UUID, or for a station "block/station". In a cover trial, whatever the caller named it. */
const EngineId = z.string().max(120);

export const UnitOnWire = z
  .strictObject({ per: z.enum(['block', 'session', 'premises']), id: EngineId })
  .meta({ id: 'Unit' });

export const FindingOnWire = z
  .strictObject({
    code: z.enum(['short', 'floor', 'cap', 'no-band', 'spotting', 'supervision', 'support', 'plan-withdrawn']),
    sentence: Sentence,
    unit: UnitOnWire,
    startsAt: Instant,
    endsAt: Instant,
    ruleId: EngineId.nullable(),
    strength: z.enum(['refuse', 'warn']),
    short: Fraction.meta({ description: 'By how much it fails' }),
    numbers: z.record(z.string().max(20), Fraction),
    subjects: z
      .array(z.strictObject({ what: z.enum(['athlete', 'staff', 'station', 'block', 'area']), id: EngineId }))
      .max(1000),
    overrideId: EngineId.nullable().meta({ description: 'Accepted by name: it no longer uncovers' }),
  })
  .meta({ id: 'Finding' });
export type FindingOnWire = z.output<typeof FindingOnWire>;

export function findingOnWire(finding: Finding, names: Names): FindingOnWire {
  const numbers = Object.entries(finding.numbers).map(([name, value]) => [name, formatFraction(value)]);
  return {
    code: finding.code,
    sentence: sentence(finding, names),
    unit: finding.unit,
    startsAt: new Date(finding.span.from).toISOString(),
    endsAt: new Date(finding.span.to).toISOString(),
    ruleId: finding.rule,
    strength: finding.strength,
    short: formatFraction(finding.short),
    numbers: Object.fromEntries(numbers),
    subjects: finding.subjects,
    overrideId: finding.override,
  };
}

export const CountOnWire = z
  .strictObject({
    ruleId: EngineId,
    rule: z.string().max(200),
    load: Fraction.meta({ description: 'Coaches’ worth of athletes, exact' }),
    needed: z.int().min(0).max(2_147_483_647).meta({ description: 'The load rounded up, with the rule’s extra' }),
    counted: Fraction.meta({ description: 'What those there count for, exact' }),
    met: z.boolean(),
    band: z.string().max(120).nullable().meta({ description: 'The ages that govern' }),
    people: z
      .array(
        z.strictObject({
          personId: EngineId,
          name: z.string().max(300),
          share: Fraction,
          why: z.string().max(1000).nullable().meta({ description: 'Why not the whole share' }),
        }),
      )
      .max(500),
  })
  .meta({ id: 'Count' });

export const CoverOnWire = z
  .strictObject({
    unit: UnitOnWire,
    name: z.string().max(400),
    startsAt: Instant,
    endsAt: Instant,
    covered: z.boolean(),
    bindingRuleId: EngineId.nullable().meta({ description: 'The rule that asks for most' }),
    counts: z.array(CountOnWire).max(200),
    spotters: z.array(z.strictObject({ stationId: EngineId, personId: EngineId })).max(200),
    supervised: z
      .array(z.strictObject({ ruleId: EngineId, traineeId: EngineId, supervisorId: EngineId.nullable() }))
      .max(1000)
      .meta({ description: 'Who supervises each trainee under each rule that asks; null: nobody has room for them' }),
    youngStaff: z
      .array(z.strictObject({ ruleId: EngineId, personId: EngineId }))
      .max(1000)
      .meta({ description: 'On the staff, and looked after as an athlete under that rule: too young to count' }),
    findings: z.array(FindingOnWire).max(500),
  })
  .meta({ id: 'Cover' });
export type CoverOnWire = z.output<typeof CoverOnWire>;

export function coverOnWire(cover: Cover, names: Names): CoverOnWire {
  return {
    unit: cover.unit,
    name: names.unit(cover.unit),
    startsAt: new Date(cover.span.from).toISOString(),
    endsAt: new Date(cover.span.to).toISOString(),
    covered: cover.covered,
    bindingRuleId: cover.binding,
    counts: cover.counts.map((count) => ({
      ruleId: count.rule,
      rule: names.rule(count.rule),
      load: formatFraction(count.load),
      needed: count.needed,
      counted: formatFraction(count.counted),
      met: count.met,
      band: count.band === null ? null : names.band(count.rule, count.band),
      people: count.people.map(({ person, share, why }) => ({
        personId: person,
        name: names.person(person),
        share: formatFraction(share),
        why: why === null ? null : whyNot(why, names),
      })),
    })),
    spotters: cover.spotters.map(({ station, person }) => ({ stationId: station, personId: person })),
    supervised: cover.supervised.map(({ rule, trainee, supervisor }) => ({
      ruleId: rule,
      traineeId: trainee,
      supervisorId: supervisor,
    })),
    youngStaff: cover.youngStaff.map(({ rule, person }) => ({ ruleId: rule, personId: person })),
    findings: cover.findings.map((finding) => findingOnWire(finding, names)),
  };
}

function whyNot(why: Why, names: Names): string {
  const texts = textsIn(names.language);
  return typeof why === 'string' ? texts.whyNot[why] : texts.countsOnlyWho({ asked: testPhrase(why, names) });
}

export const RemedyOnWire = z
  .strictObject({
    sentence: Sentence,
    kind: z.enum(['move', 'swap', 'step-down', 'merge', 'admit-fewer']),
    clears: z.boolean().meta({ description: 'Enough by itself; if not, a first step' }),
    request: z
      .strictObject({
        method: z.literal('POST'),
        path: z.string().max(300),
        body: z.record(z.string().max(60), z.unknown()),
      })
      .nullable()
      .meta({ description: 'Ready to send as it is; null where it has to be decided by hand' }),
    byHand: Sentence.nullable().meta({ description: 'What has to be decided by hand, and where' }),
  })
  .meta({
    id: 'Remedy',
    description: 'A change that was applied and judged under the locks of this request, and would help',
    example: {
      sentence: 'Ben Murphy could assist at Beam (Tumblers, Group 1), 16:20 to 16:40.',
      kind: 'move',
      clears: true,
      request: {
        method: 'POST',
        path: '/v1/gyms/01930d5e-8a4c-7c3a-9f65-3b1f0c6d2a11/blocks/01930d5e-8a4c-7c3a-9f65-3b1f0c6d2a12/assignments',
        body: { personId: '01930d5e-8a4c-7c3a-9f65-3b1f0c6d2a13', duty: 'assist' },
      },
      byHand: null,
    },
  });
export type RemedyOnWire = z.output<typeof RemedyOnWire>;

export const NearestOnWire = z
  .strictObject({
    code: FindingOnWire.shape.code,
    sentence: Sentence,
    unit: UnitOnWire,
    blockIds: z.array(EngineId).max(300).meta({ description: 'The blocks that stay uncovered for it' }),
    startsAt: Instant,
    endsAt: Instant,
    short: Fraction.meta({ description: 'How much is missing: "1" is one short' }),
    asks: z.string().max(1000).nullable().meta({ description: 'What somebody has to be who would do' }),
    qualification: z
      .strictObject({ kindId: EngineId, grade: z.int().min(1).max(20) })
      .nullable()
      .meta({ description: 'The qualification that is missing, where it is one' }),
    people: z
      .array(z.strictObject({ personId: EngineId, name: z.string().max(300), short: Fraction }))
      .max(10)
      .meta({ description: 'Who comes nearest, and what would still be missing with each' }),
  })
  .meta({ id: 'Nearest', description: 'The smallest account of a finding that no change on offer clears' });
export type NearestOnWire = z.output<typeof NearestOnWire>;
const nearest = z
  .array(NearestOnWire)
  .max(20)
  .meta({ description: 'Where no remedy clears a finding: what is missing' });
export const Mending = { remedies: z.array(RemedyOnWire).max(50), nearest };

export const RefusalOnWire = z
  .strictObject({
    why: z.enum(['two-places', 'absent', 'not-employed', 'not-qualified', 'under-age']),
    personId: EngineId,
    sentence: Sentence,
    startsAt: Instant,
    endsAt: Instant,
  })
  .meta({ id: 'Refusal' });
export type RefusalOnWire = z.output<typeof RefusalOnWire>;

/** Of each list: a fact can reach thousands of blocks. */
export const MOST_SETTLED = 500;

export const SettledOnWire = z
  .strictObject({
    released: z
      .array(
        z.strictObject({
          assignmentId: Id,
          gymId: Id,
          personId: Id,
          unit: UnitOnWire,
          startsAt: Instant,
          endsAt: Instant,
          refusals: z.array(RefusalOnWire).max(50),
        }),
      )
      .max(MOST_SETTLED)
      .meta({ description: 'Places given up, since nothing can excuse them any more' }),
    unconfirmed: z
      .array(
        z.strictObject({
          gymId: Id,
          blockId: Id,
          name: z.string().max(400),
          findings: z.array(FindingOnWire).max(500),
          ...Mending,
        }),
      )
      .max(MOST_SETTLED)
      .meta({
        description:
          'Blocks that lost their confirmation, and what would mend each; of more than ten, the cover of a later one has its remedies',
      }),
    atOtherGyms: z
      .int()
      .min(0)
      .max(1_000_000)
      .meta({ description: 'How many of both are at gyms that you do not belong to; their people hear of it there' }),
    notListed: z
      .int()
      .min(0)
      .max(1_000_000)
      .meta({ description: 'How many more of both there are than are listed; each has its event' }),
  })
  .meta({ id: 'Settled', description: 'What the fact led to, in the same transaction' });
export type SettledOnWire = z.output<typeof SettledOnWire>;
