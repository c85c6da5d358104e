import { Temporal } from 'temporal-polyfill';
import { type Athlete, type Block, localDay, ONE } from '../../cover/index.ts';
import { liveFloor, loadOnRecord } from '../../enforcement/live-floor.ts';
import { loadNames } from '../../enforcement/names.ts';
import type { Context } from '../../platform/context.ts';
import { instantOf } from '../../platform/http/wire.ts';
import { refuse } from '../../platform/problem.ts';
import { zoneOf } from '../gyms/repo.ts';
import { roomReader } from './board-block.ts';
import { shownAt, standingAt, windowAt } from './board-floor.ts';
import type { BoardRoom } from './schema.ts';

/**
 * "One more five-year-old at 16:30?": how many more of an age fit into each block that runs then or comes next, and which
 * rule stops the one after. Asked for the youngest of that age.
 *
 * @throws Problem `invalid-request` for a moment that is over, or not of today.
 */
export async function readRoom(
  ctx: Context,
  gymId: string,
  { ageYears, at }: { ageYears: number; at?: string | undefined },
): Promise<BoardRoom> {
  const now = ctx.now.getTime();
  const moment = at === undefined ? now : Date.parse(at);
  const zone = await zoneOf(ctx, gymId);
  const day = localDay(zone, now);
  if (moment < now - FAST_CLOCK_MS || localDay(zone, moment) !== day) {
    const detail = 'Expected a time today that has not passed.';
    throw refuse('invalid-request', detail, { errors: [{ parameter: 'at', detail }] });
  }
  const { planned, recorded } = await loadOnRecord(ctx, { gymId, day }, { from: now, to: windowAt(moment).to });
  const shown = shownAt(planned, moment);
  const { here, expected } = standingAt(liveFloor(planned, recorded, now), recorded, moment, shown);
  const names = await loadNames(ctx, { gymId, day, floor: { ...planned, athletes: [], staff: [] } });
  const like = somebodyAged(ageYears, day);
  const roomNow = roomReader(here, names, { from: moment });
  const roomLater = roomReader(expected, names, { from: moment });
  const line = (block: Block, state: 'running' | 'next') => ({
    blockId: block.id,
    sessionId: block.session,
    name: names.unit({ per: 'block', id: block.id }),
    startsAt: instantOf(new Date(block.span.from)),
    endsAt: instantOf(new Date(block.span.to)),
    state,
    here: state === 'running' && block.span.from <= now ? roomNow(block, like) : null,
    whenAllCome: roomLater(block, like),
  });
  return {
    at: instantOf(new Date(moment)),
    ageYears,
    blocks: [
      ...shown.running.map((block) => line(block, 'running')),
      ...shown.next.map((block) => line(block, 'next')),
    ].slice(0, MOST_BLOCKS),
  };
}

const FAST_CLOCK_MS = 120_000;
const MOST_BLOCKS = 500;

/** Somebody whose birthday it is. */
const somebodyAged = (years: number, day: string): Athlete => ({
  person: 'one more',
  born: Temporal.PlainDate.from(day).subtract({ years }).toString(),
  family: null,
  traits: [],
  countsAs: ONE,
  support: null,
  at: [],
  enrolled: [],
});
