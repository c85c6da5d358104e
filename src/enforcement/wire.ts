import { z } from 'zod';
import {
  type Cover,
  type Finding,
  type Floor,
  formatFraction,
  type Names,
  refusalSentence,
  remedies,
  sentence,
  testPhrase,
  type Why,
} from '../cover/index.ts';
import { belongsToGym } from '../platform/auth/permissions.ts';
import type { Context } from '../platform/context.ts';
import { Fraction, Id, Instant } from '../platform/http/wire.ts';
import type { Misplaced } from './floors.ts';
import type { GymFloor } from './load-floor.ts';
import { loadNames } from './names.ts';
import { requestFor } from './remedy-request.ts';
import type { Settled } from './settle.ts';

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
    needed: z.int().min(0).max(100_000).meta({ description: 'The load rounded up, with the rule’s extra' }),
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

/** A floor's names, read once however often they are asked for. */
function namesOnce(ctx: Context): (at: GymFloor) => Promise<Names> {
  const known = new Map<Floor, Promise<Names>>();
  return (at) => {
    const names = known.get(at.floor) ?? loadNames(ctx, at);
    known.set(at.floor, names);
    return names;
  };
}

/** Findings with their sentences, and the changes that would clear them: each once, best first. */
export async function describeFindings(
  ctx: Context,
  at: GymFloor,
  findings: readonly Finding[],
  {
    named = namesOnce(ctx),
    notOffered = new Set(),
    mend = true,
  }: { named?: (at: GymFloor) => Promise<Names>; notOffered?: ReadonlySet<string>; mend?: boolean } = {},
): Promise<{ findings: FindingOnWire[]; remedies: RemedyOnWire[] }> {
  const names = await named(at);
  const uncovering = findings.filter(({ strength, override }) => strength === 'refuse' && override === null);
  const changes = uncovering.slice(0, mend ? MOST_MENDED : 0).flatMap((finding) => remedies(at.floor, finding));
  const offered = changes.filter((change) => !('move' in change && notOffered.has(change.move)));
  const distinct = new Map(offered.map((change) => [JSON.stringify(change), change]));
  return {
    findings: findings.map((finding) => findingOnWire(finding, names)),
    remedies: [...distinct.values()].slice(0, MOST_REMEDIES).map((change) => requestFor(change, at, names)),
  };
}
/** Remedies are tried one by one against the whole floor: for the first few findings only. */
const MOST_MENDED = 4;
const MOST_REMEDIES = 12;
/** A fact can take the confirmation from a whole week: for its later blocks, their own cover has the remedies. */
const MOST_BLOCKS_MENDED = 10;

/** Refusals with their sentences. */
export function describeRefusals(
  names: Names,
  { personId, refusals }: Pick<Misplaced, 'personId' | 'refusals'>,
): RefusalOnWire[] {
  return refusals.map((refusal) => ({
    why: refusal.why,
    personId,
    sentence: refusalSentence(refusal, names, personId),
    startsAt: new Date(refusal.span.from).toISOString(),
    endsAt: new Date(refusal.span.to).toISOString(),
  }));
}

/** What a fact led to, in words, with remedies for each block that lost its confirmation. */
export async function settledOnWire(ctx: Context, { released, unconfirmed }: Settled): Promise<SettledOnWire> {
  const named = namesOnce(ctx);
  const isShown = ({ at }: { at: GymFloor }) => belongsToGym(ctx.roles, at.gymId);
  const shown = [...released, ...unconfirmed].filter(isShown).length;
  const answer: SettledOnWire = {
    released: [],
    unconfirmed: [],
    atOtherGyms: released.length + unconfirmed.length - shown,
  };
  for (const { assignmentId, at, personId, place, refusals } of released.filter(isShown)) {
    answer.released.push({
      assignmentId,
      gymId: at.gymId,
      personId,
      unit: place.unit,
      startsAt: new Date(place.span.from).toISOString(),
      endsAt: new Date(place.span.to).toISOString(),
      refusals: describeRefusals(await named(at), { personId, refusals }),
    });
  }
  for (const [index, { blockId, at, findings }] of unconfirmed.filter(isShown).entries()) {
    const names = await named(at);
    const described = await describeFindings(ctx, at, findings, { named, mend: index < MOST_BLOCKS_MENDED });
    answer.unconfirmed.push({
      gymId: at.gymId,
      blockId,
      name: names.unit({ per: 'block', id: blockId }),
      ...described,
    });
  }
  return answer;
}
