import { z } from 'zod';
import {
  coverOf,
  coverTimeline,
  edgeSentence,
  type Names,
  type Reasoned,
  reasoned,
  type Unit,
} from '../../cover/index.ts';
import { type GymFloor, loadFloor } from '../../enforcement/load-floor.ts';
import { loadNames } from '../../enforcement/names.ts';
import { CoverOnWire, coverOnWire, UnitOnWire } from '../../enforcement/wire.ts';
import type { Context } from '../../platform/context.ts';
import { type Paging, pageOf, readCursor } from '../../platform/http/paging.ts';
import { Day, flag, Id, Instant, PageQuery, page, Sentence } from '../../platform/http/wire.ts';
import * as repo from './repo.ts';

const EDGE_CODES = [
  'day-begins',
  'block-starts',
  'block-ends',
  'station-starts',
  'station-ends',
  'staff-come',
  'staff-go',
  'break-starts',
  'break-ends',
  'takes-part-from',
  'takes-part-until',
  'athlete-comes',
  'athlete-goes',
  'trait-starts',
  'trait-ends',
  'override-starts',
  'override-ends',
] as const;
const MOST_REASONS = 50;

export const EdgeOnWire = z
  .strictObject({
    code: z.enum(EDGE_CODES),
    sentence: Sentence,
    what: z.enum(['athlete', 'staff', 'station', 'block', 'override', 'day']),
    id: z.string().max(120),
  })
  .meta({
    id: 'CoverEdge',
    description: 'Something that begins or ends, and may change the cover',
    example: {
      code: 'staff-come',
      sentence: 'Ana Byrne takes their place.',
      what: 'staff',
      id: '01930d5e-8a4c-7c3a-9f65-3b1f0c6d2a11',
    },
  });

const edges = z.array(EdgeOnWire).max(MOST_REASONS);
export const SegmentOnWire = z
  .strictObject({
    ...CoverOnWire.shape,
    because: edges.meta({ description: 'Why it begins there; the first fifty' }),
    until: edges.meta({ description: 'Why it ends there; the first fifty' }),
  })
  .meta({ id: 'CoverSegment', description: 'A stretch in which nothing changes' });

export const UnitTimeline = z
  .strictObject({
    unit: UnitOnWire,
    name: z.string().max(400),
    covered: z.boolean().meta({ description: 'Its own, all through; a block needs its session and the premises too' }),
    startsAt: Instant,
    endsAt: Instant,
    segments: z.array(SegmentOnWire).max(5000),
  })
  .meta({ id: 'UnitTimeline', description: 'One unit of cover (a block, a session, the premises) over time' });
export type UnitTimeline = z.output<typeof UnitTimeline>;
export const UnitTimelinePage = page(UnitTimeline, 'UnitTimelinePage');

export const SessionTimeline = z
  .strictObject({ sessionId: Id, day: Day, units: z.array(UnitTimeline).max(201) })
  .meta({ id: 'SessionTimeline', description: 'The session under its own rules, and each of its blocks' });

export const TimelineQuery = z.strictObject({
  ...PageQuery,
  per: UnitOnWire.shape.per.optional().meta({ description: 'Only units of this kind' }),
  uncovered: flag.optional().meta({ description: 'Only what is not covered' }),
});

/** The timeline of one unit from its stretches. */
export function timelineOnWire(stretches: readonly Reasoned[], names: Names): UnitTimeline {
  const [first, last] = [stretches.at(0), stretches.at(-1)];
  if (!first || !last) throw new RangeError('a unit has at least one stretch');
  return {
    unit: first.cover.unit,
    name: names.unit(first.cover.unit),
    covered: stretches.every(({ cover }) => cover.covered),
    startsAt: new Date(first.cover.span.from).toISOString(),
    endsAt: new Date(last.cover.span.to).toISOString(),
    segments: stretches.map(({ cover, because, until }) => ({
      ...coverOnWire(cover, names),
      because: edgesOnWire(because, names),
      until: edgesOnWire(until, names),
    })),
  };
}

const edgesOnWire = (found: Reasoned['because'], names: Names) =>
  found.slice(0, MOST_REASONS).map((edge) => ({
    code: edge.code,
    sentence: edgeSentence(edge, names),
    what: edge.subject.what,
    id: edge.subject.id,
  }));

/** The stretches of a floor's units, unit by unit: the premises, then sessions and blocks in the order of time. */
function byUnit({ floor }: GymFloor) {
  const units = new Map<string, ReturnType<typeof coverTimeline>>();
  for (const cover of coverTimeline(floor)) {
    const key = `${cover.unit.per} ${cover.unit.id}`;
    const known = units.get(key);
    if (known) known.push(cover);
    else units.set(key, [cover]);
  }
  return [...units.values()]
    .map((covers) => ({ covers, key: keyOf(covers) }))
    .sort((a, b) => (a.key.join(' ') < b.key.join(' ') ? -1 : 1));
}

const ORDER = { premises: '0', session: '1', block: '2' };
function keyOf([first]: ReturnType<typeof coverTimeline>): [string, string, string] {
  if (!first) throw new RangeError('a unit has at least one stretch');
  return [new Date(first.span.from).toISOString(), ORDER[first.unit.per], first.unit.id];
}

type Wanted = Paging & { per?: Unit['per'] | undefined; uncovered?: boolean | undefined };

/** A gym's day over time, a unit an item. */
export const readDayTimeline = async (ctx: Context, gymId: string, day: string, query: Wanted) =>
  dayTimeline(ctx, await loadFloor(ctx, { gymId, day }), query);

/** The units of a floor over time, paged. */
export async function dayTimeline(ctx: Context, here: GymFloor, { limit, cursor, per, uncovered }: Wanted) {
  const after = readCursor(cursor, 3)?.join(' ') ?? '';
  const wanted = byUnit(here)
    .filter(({ covers, key }) => key.join(' ') > after && (per === undefined || covers[0]?.unit.per === per))
    .filter(({ covers }) => !uncovered || covers.some(({ covered }) => !covered))
    .slice(0, limit + 1);
  const names = await loadNames(ctx, here);
  const shown = ({ covers }: (typeof wanted)[number]) => timelineOnWire(reasoned(here.floor, covers), names);
  return pageOf(wanted, limit, shown, ({ key }) => key);
}

/** One session over time: under its own rules, then each of its blocks in the order of time. */
export async function readSessionTimeline(ctx: Context, gymId: string, sessionId: string) {
  const { at } = await repo.getSessionUnit(ctx, gymId, sessionId);
  return sessionTimeline(ctx, await loadFloor(ctx, at), sessionId);
}

export async function sessionTimeline(ctx: Context, here: GymFloor, sessionId: string) {
  const { floor } = here;
  const names = await loadNames(ctx, here);
  const blocks = floor.blocks.filter(({ session }) => session === sessionId);
  const units: Unit[] = [{ per: 'session', id: sessionId }, ...blocks.map(({ id }): Unit => ({ per: 'block', id }))];
  return {
    sessionId,
    day: here.day,
    units: units
      .map((unit) => reasoned(floor, coverOf(floor, unit)))
      .filter((stretches) => stretches.length > 0)
      .map((stretches) => timelineOnWire(stretches, names)),
  };
}
