import { z } from 'zod';
import {
  type Cover,
  type Finding,
  formatFraction,
  type Names,
  sentence,
  testPhrase,
  type Why,
} from '../cover/index.ts';
import { Fraction, Id, Instant } from '../platform/http/wire.ts';

// What the engine says, as it travels: fractions as text, moments as RFC 3339, and beside every finding its sentence.

/** An id of the engine's: a UUID, or for a station "block/station". In a cover trial, whatever the caller named it. */
const EngineId = z.string().max(120);
const Sentence = z.string().max(2000).meta({ description: 'Plain English; for people, never to be parsed' });

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
    findings: cover.findings.map((finding) => findingOnWire(finding, names)),
  };
}

const WHY_NOT: Record<Extract<Why, string>, string> = {
  spotting: 'spots by hand meanwhile',
  'max-of': 'the rule lets only a part of those needed be of this kind',
  helper: 'helps one athlete and counts for nobody else',
  'no-supervisor-free': 'nobody who may supervise has room for them',
};

const whyNot = (why: Why, names: Names): string =>
  typeof why === 'string' ? WHY_NOT[why] : `counts only somebody who ${testPhrase(why, names)}`;

export const RemedyOnWire = z
  .strictObject({
    sentence: Sentence,
    clears: z.boolean().meta({ description: 'Enough by itself; if not, a first step' }),
    request: z
      .strictObject({
        method: z.literal('POST'),
        path: z.string().max(300),
        body: z.record(z.string().max(60), z.unknown()),
      })
      .nullable()
      .meta({ description: 'Ready to send as it is; null where it is done elsewhere' }),
  })
  .meta({ id: 'Remedy' });
export type RemedyOnWire = z.output<typeof RemedyOnWire>;

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
      .max(5000)
      .meta({ description: 'Places given up, since nothing can excuse them any more' }),
    unconfirmed: z
      .array(
        z.strictObject({
          gymId: Id,
          blockId: Id,
          name: z.string().max(400),
          findings: z.array(FindingOnWire).max(500),
          remedies: z.array(RemedyOnWire).max(50),
        }),
      )
      .max(5000)
      .meta({
        description:
          'Blocks that lost their confirmation, and what would mend each; of more than ten, the cover of a later one has its remedies',
      }),
    atOtherGyms: z
      .int()
      .min(0)
      .max(1_000_000)
      .meta({ description: 'How many of both are at gyms that you do not belong to; their people hear of it there' }),
  })
  .meta({ id: 'Settled', description: 'What the fact led to, in the same transaction' });
export type SettledOnWire = z.output<typeof SettledOnWire>;
