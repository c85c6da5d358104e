import type { Athlete, Block, Floor, Place, Span } from '../../cover/index.ts';
import { withExpected } from '../../enforcement/live-floor.ts';
import type { Recorded } from '../../enforcement/recorded.ts';
import { holds } from '../../enforcement/spans.ts';
import { SHOWN_AHEAD_MINUTES } from './schema.ts';

const MINUTE_MS = 60_000;

/** What of a day the board reads. */
export const windowAt = (moment: number): Span => ({ from: moment, to: moment + SHOWN_AHEAD_MINUTES * MINUTE_MS });

export interface Shown {
  running: Block[];
  /** Starting within the window, the soonest first. */
  next: Block[];
}

/** The blocks that run at a moment, and those that come next. */
export function shownAt({ blocks }: Floor, moment: number): Shown {
  const inOrder = [...blocks].sort((a, b) => a.span.from - b.span.from || (a.id < b.id ? -1 : 1));
  const { to } = windowAt(moment);
  return {
    running: inOrder.filter(({ span }) => holds(span, moment)),
    next: inOrder.filter(({ span }) => span.from > moment && span.from < to),
  };
}

/** A live floor as it stands at a moment, with those who are here, and with everybody expected as well. */
export interface Standing {
  here: Floor;
  expected: Floor;
}

/**
 * Whoever is somewhere at the moment counts as there from the start of it, and whoever has gone, not at all: so nothing is
 * told of it that only the clock changes. Who stands the same on both floors is the same object, so that what is read of
 * one holds for the other.
 */
export function standingAt(live: Floor, recorded: Recorded, moment: number, { running, next }: Shown): Standing {
  const ends = [...running, ...next].map(({ span }) => span.to);
  const starts = running.map(({ span }) => span.from);
  const over = {
    from: starts.length > 0 ? Math.min(...starts) : Math.min(live.over.from, moment),
    to: ends.length > 0 ? Math.max(...ends) : Math.max(live.over.to, moment + 1),
  };
  const startOf = new Map(live.blocks.map(({ id, span }) => [id, span.from]));
  const standing = <P extends Place | Athlete['at'][number]>(place: P): P | null => {
    const { unit, span } = place;
    if (span.to <= moment || span.from >= over.to) return null;
    if (span.from > moment) return place;
    const from = unit.per === 'block' ? (startOf.get(unit.id) ?? span.from) : Math.min(span.from, over.from);
    return from === span.from ? place : { ...place, span: { from, to: span.to } };
  };
  const stands = <P extends Place | Athlete['at'][number]>(places: readonly P[]): P[] => {
    const all: P[] = [];
    for (const place of places) {
      const one = standing(place);
      if (one !== null) all.push(one);
    }
    return all;
  };
  const athletes = new Map(live.athletes.map((one) => [one, { ...one, at: stands(one.at) }]));
  const here = {
    ...live,
    over,
    athletes: [...athletes.values()],
    staff: live.staff.map((one) => ({ ...one, at: stands(one.at) })),
  };
  const coming = withExpected(live, recorded, () => true).athletes;
  return {
    here,
    expected: { ...here, athletes: coming.map((one) => athletes.get(one) ?? { ...one, at: stands(one.at) }) },
  };
}
