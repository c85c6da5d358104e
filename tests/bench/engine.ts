import { coverOf, coverTimeline } from '../../src/cover/index.ts';
import type { Floor, Unit } from '../../src/cover/types.ts';
import { aFloor, aStation, atBlock, clock, holding, spotted } from '../support/a-floor.ts';
import { judgeAt } from '../support/judge.ts';
import type { Result } from './result.ts';
import { median } from './statistics.ts';

const MINUTE = 60_000;
/** The compiler takes its time until it has seen enough of what runs often. */
const WARM_UP_MS = 1000;

/** One block with sixteen athletes, two coaches and a spotted station. */
const oneBlock = (): Floor =>
  aFloor({ athletes: 16, coaches: [{ holds: holding('spotter') }, {}], stations: [aStation('beam', spotted())] });

const SESSIONS = 60;
const BLOCKS = 5;
const AT_ONCE = 6;

/** A gym's day: sixty sessions of an hour and five blocks, six at once, each of sixteen athletes and two coaches. */
function wholeDay(): Floor {
  const sessions = Array.from({ length: SESSIONS }, (_, index) => {
    const startsAt = clock('08:00') + Math.floor(index / AT_ONCE) * 60 * MINUTE;
    const blocks = Array.from({ length: BLOCKS }, (_, turn) => ({
      id: `block-${index}-${turn}`,
      session: `session-${index}`,
      group: `group-${index}`,
      areas: [`area-${index % AT_ONCE}`],
      span: { from: startsAt + turn * 12 * MINUTE, to: startsAt + (turn + 1) * 12 * MINUTE },
    }));
    return { index, blocks };
  });
  const placesIn = (blocks: (typeof sessions)[number]['blocks']) =>
    blocks.map(({ id, span }) => ({ unit: atBlock(id), span }));
  return aFloor({
    blocks: sessions.flatMap(({ blocks }) => blocks),
    athletes: sessions.flatMap(({ blocks }) =>
      Array.from({ length: 16 }, () => ({
        at: placesIn(blocks),
        enrolled: blocks.map(({ id }) => ({ block: id, category: null })),
      })),
    ),
    coaches: Array.from({ length: AT_ONCE * 2 }, (_, coach) => ({
      at: sessions
        .filter(({ index }) => index % AT_ONCE === Math.floor(coach / 2))
        .flatMap(({ blocks }) => placesIn(blocks).map((place) => ({ ...place, duty: 'lead' as const }))),
    })),
  });
}

/**
 * Milliseconds of the processor's time that one run takes: the median of samples, each long enough for the clock, after
 * a warm-up. Unlike the time of day it does not count what others do on the machine meanwhile.
 */
function timed(work: () => unknown, samples: number, atLeastMs: number): number {
  const spentSince = (before: NodeJS.CpuUsage) => {
    const { user, system } = process.cpuUsage(before);
    return (user + system) / 1000;
  };
  const sample = (atLeast = atLeastMs) => {
    let runs = 0;
    const before = process.cpuUsage();
    // Twice as many each time: asking for the time can take longer than the work.
    for (let batch = 1; spentSince(before) < atLeast; batch *= 2) {
      for (let run = 0; run < batch; run += 1) work();
      runs += batch;
    }
    return spentSince(before) / runs;
  };
  sample(WARM_UP_MS);
  return median(Array.from({ length: samples }, () => sample()));
}

export async function measureEngine(quick: boolean): Promise<Result> {
  const samples = quick ? 5 : 21;
  const one = oneBlock();
  const unit: Unit = { per: 'block', id: 'beam' };
  const ofBlock = timed(() => coverOf(one, unit), samples, 50);
  const judgedBlock = timed(() => judgeAt(one, unit, one.over.from), samples, 50);

  const day = wholeDay();
  const covers = coverTimeline(day);
  if (covers.some(({ covered }) => !covered)) throw new Error('the day is meant to be covered');
  const ofDay = timed(() => coverTimeline(day), samples, 200);
  // Of the judge, one moment of one block, times as many as the timeline tells of: all of it would take minutes.
  const asked = day.blocks.filter((_, index) => index % 30 === 0);
  const judgedFew = timed(() => asked.map(({ id, span }) => judgeAt(day, { per: 'block', id }, span.from)), 3, 1);
  const judgedDay = (judgedFew / asked.length) * day.blocks.length;
  return {
    name: 'Engine, beside the slow judge of the tests',
    how: `nothing but computing, in the processor’s own time; the median of ${samples} samples. The judge answers for one moment of each block, the engine for every stretch of every unit; for the day the judge is asked of ${asked.length} of ${day.blocks.length} blocks and the rest is reckoned`,
    figures: [
      {
        what: 'cover of a block of 16 athletes',
        value: ofBlock * 1000,
        unit: 'µs',
        target: { at: 'below', value: 20 },
      },
      { what: 'the judge, of the same', value: judgedBlock * 1000, unit: 'µs', target: null },
      { what: 'the judge’s time in ours', value: judgedBlock / ofBlock, unit: 'times', target: null },
      {
        what: `timeline of a day of ${SESSIONS} sessions of ${BLOCKS} blocks`,
        value: ofDay,
        unit: 'ms',
        target: { at: 'below', value: 50 },
      },
      { what: 'the judge, of the same', value: judgedDay, unit: 'ms', target: null },
      { what: 'the judge’s time in ours', value: judgedDay / ofDay, unit: 'times', target: null },
    ],
  };
}
