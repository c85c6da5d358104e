import fc from 'fast-check';
import { expect, test } from 'vitest';
import { type Cover, coverTimeline } from '../src/cover/index.ts';
import type { Floor } from '../src/cover/types.ts';
import { changedSpan } from '../src/enforcement/changed-span.ts';
import { arbitraryFloor, MINUTE } from './support/arbitrary-floor.ts';

// A choice is judged within the stretch in which it changes the floor: outside it, no unit's cover may be another.

/** The same floors on every run; more of them, or others, with FC_RUNS and FC_SEED. */
const seed = Number(process.env.FC_SEED || 20260914);
const numRuns = Number(process.env.FC_RUNS || 600);

const changed = <T>(list: readonly T[], at: number, change: (one: T) => T[]): T[] =>
  list.flatMap((one, index) => (index === at % list.length ? change(one) : [one]));

/** What choices do: somebody comes or goes, a block is confirmed, taught otherwise or taken out, a finding is accepted. */
const CHANGES: Record<string, (floor: Floor, at: number) => Floor> = {
  'a coach less': (floor, at) => ({ ...floor, staff: changed(floor.staff, at, () => []) }),
  'a coach gives up a place': (floor, at) => ({
    ...floor,
    staff: changed(floor.staff, at, (one) => [{ ...one, at: one.at.slice(1) }]),
  }),
  'an athlete less': (floor, at) => ({ ...floor, athletes: changed(floor.athletes, at, () => []) }),
  'a block confirmed, or no longer': (floor, at) => ({
    ...floor,
    blocks: changed(floor.blocks, at, (one) => [{ ...one, confirmed: !one.confirmed }]),
  }),
  'a block for others': (floor, at) => ({
    ...floor,
    blocks: changed(floor.blocks, at, (one) => [{ ...one, programmes: ['p2'], levels: [], activity: 'party' }]),
  }),
  'a station less': (floor, at) => ({
    ...floor,
    blocks: changed(floor.blocks, at, (one) => [{ ...one, stations: one.stations.slice(1) }]),
  }),
  'an override less': (floor, at) => ({ ...floor, overrides: changed(floor.overrides, at, () => []) }),
};

/** The cover of every unit, minute by minute; whatever else a stretch says. */
function minuteByMinute(floor: Floor): Map<string, Omit<Cover, 'span'>> {
  const found = new Map<string, Omit<Cover, 'span'>>();
  for (const { span, findings, ...cover } of coverTimeline(floor)) {
    for (let at = span.from; at < span.to; at += MINUTE) {
      const timeless = findings.map((one) => ({ ...one, span: { from: 0, to: 0 } }));
      found.set(`${cover.unit.per} ${cover.unit.id} ${at}`, { ...cover, findings: timeless });
    }
  }
  return found;
}

test.each(Object.entries(CHANGES))(
  '%s: outside the stretch that is judged again, cover is what it was',
  (_, change) => {
    fc.assert(
      fc.property(arbitraryFloor, fc.nat(50), (before, at) => {
        const after = change(before, at);
        const span = changedSpan(before, after);
        const [was, is] = [minuteByMinute(before), minuteByMinute(after)];
        for (const [key, cover] of is) {
          const minute = Number(key.split(' ').at(-1));
          if (span !== null && span.from <= minute && minute < span.to) continue;
          if (was.has(key)) expect([key, cover]).toEqual([key, was.get(key)]);
        }
      }),
      { seed, numRuns },
    );
  },
);
