import { z } from 'zod';
import {
  type Cover,
  compare,
  coverTimeline,
  formatFraction,
  localDay,
  type Names,
  narrowed,
  textsIn,
  ZERO,
} from '../../cover/index.ts';
import { liveFloor } from '../../enforcement/live-floor.ts';
import { type GymFloor, loadFloor } from '../../enforcement/load-floor.ts';
import type { GymDay } from '../../enforcement/lock.ts';
import { loadNames } from '../../enforcement/names.ts';
import { loadRecorded, type Recorded } from '../../enforcement/recorded.ts';
import { CoverOnWire, coverOnWire, UnitOnWire } from '../../enforcement/wire.ts';
import type { Context } from '../../platform/context.ts';
import { Day, Fraction, flag, Id, Instant, PageQuery, Sentence } from '../../platform/http/wire.ts';
import { refuse } from '../../platform/problem.ts';
import { getSessionUnit } from '../staffing/repo.ts';
import { dayTimeline, SessionTimeline, sessionTimeline, UnitTimelinePage } from '../staffing/timeline.ts';
import { loadRecordedThen } from './recorded-then.ts';

const knownAt = Instant.optional().meta({
  description:
    'As it was known at this moment: what was recorded or corrected later is left out. Left out: as known now',
});
export const PastSessionQuery = z.strictObject({ knownAt });
export const PastDayQuery = z.strictObject({
  ...PageQuery,
  knownAt,
  per: UnitOnWire.shape.per.optional().meta({ description: 'Only units of this kind' }),
  uncovered: flag.optional().meta({ description: 'Only what was not covered' }),
});
export const MomentQuery = z.strictObject({
  at: Instant.optional().meta({ description: 'The moment asked about; left out, `knownAt`, or now' }),
  knownAt,
});
export const PastSession = SessionTimeline;
export const PastDay = UnitTimelinePage;

export const PastMoment = z
  .strictObject({
    at: Instant,
    knownAt: Instant.nullable(),
    day: Day,
    units: z
      .array(
        z.strictObject({
          summary: Sentence,
          athletes: z.int().min(0).max(10_000),
          needed: z.int().min(0).max(2_147_483_647),
          counted: Fraction,
          rule: z
            .strictObject({ ruleId: z.string().max(120), version: z.int().min(1), name: z.string().max(200) })
            .nullable()
            .meta({ description: 'That bound then, in the version in force that day' }),
          staff: z
            .array(
              z.strictObject({
                personId: Id,
                name: z.string().max(300),
                duty: z.enum(['lead', 'assist', 'shadow', 'oversee']),
                held: z.array(z.string().max(400)).max(100).meta({ description: 'What they held that day' }),
              }),
            )
            .max(200),
          cover: CoverOnWire,
        }),
      )
      .max(1000)
      .meta({ description: 'The premises, and the sessions and blocks that ran then' }),
  })
  .meta({
    id: 'CoverAtMoment',
    example: {
      at: '2026-09-14T15:32:00Z',
      knownAt: null,
      day: '2026-09-14',
      units: [],
    },
  });

const invalidParameter = (parameter: string, detail: string) =>
  refuse('invalid-request', detail, { errors: [{ parameter, detail }] });

/** The day from the facts: attendance, staff, places, qualifications and rules, as they are on record, or were at a moment. */
async function factsOf(ctx: Context, day: GymDay, known: string | undefined): Promise<GymFloor> {
  const then = known === undefined ? null : new Date(known);
  if (then !== null && then > ctx.now) throw invalidParameter('knownAt', 'Expected a moment that is not ahead.');
  const recorded: Recorded = then === null ? await loadRecorded(ctx, day) : await loadRecordedThen(ctx, day, then);
  const athletes = recorded.attended.map(({ athleteId }) => athleteId);
  const { floor } = await loadFloor(ctx, day, [], { athletes, past: { knownAt: then } });
  return { ...day, floor: liveFloor(floor, recorded, (then ?? ctx.now).getTime()) };
}

/** A session over time as it was, from the facts. */
export async function readPastSession(
  ctx: Context,
  gymId: string,
  sessionId: string,
  { knownAt: known }: z.output<typeof PastSessionQuery>,
) {
  const { session } = await getSessionUnit(ctx, gymId, sessionId);
  return sessionTimeline(ctx, await factsOf(ctx, { gymId, day: session.day }, known), sessionId);
}

/** A gym's day over time as it was, a unit an item. */
export const readPastDay = async (
  ctx: Context,
  gymId: string,
  day: string,
  { knownAt: known, ...query }: z.output<typeof PastDayQuery>,
) => dayTimeline(ctx, await factsOf(ctx, { gymId, day }, known), query);

/** One moment of a gym's day: who was where, what counted, which rule bound, and who held what. */
export async function readMoment(
  ctx: Context,
  gymId: string,
  day: string,
  { at, knownAt: known }: z.output<typeof MomentQuery>,
): Promise<z.input<typeof PastMoment>> {
  const here = await factsOf(ctx, { gymId, day }, known);
  const moment = Date.parse(at ?? known ?? ctx.now.toISOString());
  const { from, to } = here.floor.over;
  const names = await loadNames(ctx, here);
  const isOnDay = moment >= from && moment < to;
  if (!isOnDay && at !== undefined) throw invalidParameter('at', `Expected a moment on ${day} in the gym’s zone.`);
  const covers = isOnDay ? coverTimeline(narrowed(here.floor, { from: moment, to: moment + 1 })) : [];
  return {
    at: new Date(moment).toISOString(),
    knownAt: known ?? null,
    day,
    units: covers.map((cover) => unitAt(here, cover, moment, names)),
  };
}

function unitAt({ floor }: GymFloor, cover: Cover, moment: number, names: Names) {
  const session = (block: string) => floor.blocks.find(({ id }) => id === block)?.session;
  const isHere = ({ unit, span }: { unit: Cover['unit']; span: Cover['span'] }) => {
    if (span.from > moment || span.to <= moment) return false;
    if (cover.unit.per === 'premises') return true;
    if (cover.unit.per === 'session' && unit.per === 'block') return session(unit.id) === cover.unit.id;
    return unit.id === cover.unit.id;
  };
  const athletes = floor.athletes.filter(({ at }) => at.some(isHere)).length;
  const staff = floor.staff.flatMap(({ person, at, holds }) => {
    const place = at.find(isHere);
    if (place === undefined) return [];
    const held = holds.filter((one) => one.from <= dayOf(floor) && (one.to === null || one.to > dayOf(floor)));
    return [
      {
        personId: person,
        name: names.person(person),
        duty: place.duty,
        held: held.slice(0, 100).map(({ kind, grade }) => names.kind(kind, grade)),
      },
    ];
  });
  const [binding] = cover.counts
    .filter(({ rule }) => rule === cover.binding)
    .sort((a, b) => b.needed - a.needed || compare(a.counted, b.counted));
  const rule = binding ? { ruleId: binding.rule, version: binding.version, name: names.rule(binding.rule) } : null;
  const counted = binding?.counted ?? ZERO;
  const needed = binding?.needed ?? 0;
  const bound = rule === null ? null : { rule: rule.name, version: rule.version, needed };
  return {
    summary: textsIn(names.language).atMoment({ unit: names.unit(cover.unit), athletes, counted, bound }),
    athletes,
    needed,
    counted: formatFraction(counted),
    rule,
    staff,
    cover: coverOnWire(cover, names),
  };
}

const dayOf = ({ over, zone }: GymFloor['floor']): string => localDay(zone, over.from);
