import fc from 'fast-check';
import { expect, test } from 'vitest';
import { coverTimeline, narrowed } from '../src/cover/index.ts';
import type { Cover, Floor, Unit } from '../src/cover/types.ts';
import { liveFloor, withExpected } from '../src/enforcement/live-floor.ts';
import type { Attended, Recorded, StaffStay } from '../src/enforcement/recorded.ts';
import { shownAt, standingAt } from '../src/features/live/board-floor.ts';
import { arbitraryFloor, MINUTE } from './support/arbitrary-floor.ts';
import { judgeAlone } from './support/judge.ts';
import { within, written } from './support/judge-facts.ts';

const seed = Number(process.env.FC_SEED || 20260914);
const runs = { seed, numRuns: Number(process.env.FC_RUNS || 150) };

interface Scene {
  planned: Floor;
  recorded: Recorded;
  moment: number;
}

/** What might have been recorded on a floor by a moment, and after it. */
const scene: fc.Arbitrary<Scene> = arbitraryFloor.chain((planned) => {
  const { from, to } = planned.over;
  const minute = fc.integer({ min: 0, max: Math.max(1, (to - from) / MINUTE - 1) }).map((n) => from + n * MINUTE);
  const stretch = fc
    .tuple(minute, minute, fc.boolean())
    .map(([a, b, open]) => ({ from: Math.min(a, b), to: open ? null : Math.max(a, b) + MINUTE }));
  const atSessions = planned.athletes.flatMap(({ person, enrolled }) => {
    const blocks = planned.blocks.filter(({ id }) => enrolled.some(({ block }) => block === id));
    const bySession = new Map(blocks.map((block) => [block.session, block]));
    return [...bySession.values()].map(({ session, group }) =>
      fc.option(stretch).map((stay): Attended[] =>
        stay === null
          ? []
          : [
              {
                athleteId: person,
                sessionId: session,
                groupId: group,
                state: stay.to === null ? 'present' : 'left',
                since: stay.to ?? stay.from,
                startsAt: from,
                endsAt: to,
                stays: [stay],
              },
            ],
      ),
    );
  });
  const ofStaff = planned.staff.map(({ person }) =>
    fc.option(fc.tuple(stretch, fc.option(stretch))).map((marks): StaffStay[] => {
      if (marks === null) return [];
      const [work, rest] = marks;
      return [
        { personId: person, kind: 'work', ...work },
        ...(rest === null ? [] : [{ personId: person, kind: 'break' as const, ...rest }]),
      ];
    }),
  );
  return fc.tuple(fc.tuple(...atSessions), fc.tuple(...ofStaff), minute).map(([attended, staff, moment]) => ({
    planned,
    recorded: { attended: attended.flat(), outings: [], staff: staff.flat() },
    moment,
  }));
});

const unitsOf = ({ gym, blocks }: Floor): Unit[] => [
  ...blocks.map(({ id }): Unit => ({ per: 'block', id })),
  ...[...new Set(blocks.map(({ session }) => session))].map((id): Unit => ({ per: 'session', id })),
  { per: 'premises', id: gym },
];
const inWords = ({
  covered,
  findings,
}: Pick<Cover, 'covered'> & {
  findings: { code: string; rule: string | null; short: Cover['findings'][0]['short'] }[];
}) => `${covered} ${findings.map(({ code, rule, short }) => `${code} ${rule} ${written(short)}`).sort()}`;
const then = (covers: readonly Cover[], unit: Unit, moment: number) =>
  covers.filter((one) => one.unit.per === unit.per && one.unit.id === unit.id && within(moment, one.span)).map(inWords);

test('the live cover of a moment is what the slow judge says of the live floor', () => {
  fc.assert(
    fc.property(scene, ({ planned, recorded, moment }) => {
      const live = liveFloor(planned, recorded, moment);
      const covers = coverTimeline(live);
      for (const unit of unitsOf(live)) {
        const [found] = then(covers, unit, moment);
        if (found !== undefined) expect(found).toBe(inWords(judgeAlone(live, unit, moment)));
      }
    }),
    runs,
  );
});

test('the floor as it stands is covered at its moment as the live floor is', () => {
  fc.assert(
    fc.property(scene, ({ planned, recorded, moment }) => {
      const live = liveFloor(planned, recorded, moment);
      const { here, expected } = standingAt(live, recorded, moment, shownAt(live, moment));
      const all = withExpected(live, recorded, () => true);
      for (const [floor, stands] of [
        [live, here],
        [all, expected],
      ] as const) {
        const [one, other] = [floor, stands].map((each) => coverTimeline(narrowed(each, stands.over)));
        for (const unit of unitsOf(live))
          expect(then(other ?? [], unit, moment)).toEqual(then(one ?? [], unit, moment));
      }
    }),
    runs,
  );
});

const startOf = ({ stays: [stay] }: Attended) => stay?.from ?? 0;

/** Worked out apart: where somebody enrolled is at a moment, by looking at that moment alone. */
function whereIs({ planned, recorded, moment }: Scene, athleteId: string): string[] {
  const inside = recorded.attended.filter(
    (one) =>
      one.athleteId === athleteId &&
      one.stays.some(({ from, to }) => (from ?? 0) <= moment && (to === null || moment < to)),
  );
  const latest = [...inside].sort((a, b) => startOf(b) - startOf(a) || (a.sessionId < b.sessionId ? -1 : 1));
  for (const { sessionId, groupId } of latest) {
    const block = planned.blocks.find(
      (one) => within(moment, one.span) && one.session === sessionId && one.group === groupId,
    );
    if (block) return [block.id];
  }
  return inside.length > 0 ? ['the premises'] : [];
}

test('everybody enrolled is where they were checked in, or on the premises, or nowhere', () => {
  fc.assert(
    fc.property(scene, (one) => {
      const live = liveFloor(one.planned, one.recorded, one.moment);
      for (const { person, at } of live.athletes) {
        const there = at.filter(({ span }) => within(one.moment, span));
        const told = there.map(({ unit }) => (unit.per === 'premises' ? 'the premises' : unit.id)).sort();
        expect(told).toEqual(whereIs(one, person));
      }
    }),
    runs,
  );
});
