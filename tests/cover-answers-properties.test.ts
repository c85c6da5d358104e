import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  applyChange,
  coverTimeline,
  firstSteps,
  fragility,
  headroomIn,
  headroomReader,
  localDay,
  readFloor,
  reasoned,
  remedies,
  substitutes,
  type UncoveredBlock,
  uncoveredBlocks,
} from '../src/cover/index.ts';
import type { Athlete, Block, Finding, Floor, Id, Place, Unit } from '../src/cover/types.ts';
import { arbitraryFloor, MINUTE } from './support/arbitrary-floor.ts';
import { judgeAlone, judgeAt } from './support/judge.ts';
import { less, whole, within } from './support/judge-facts.ts';

// What cover answers beside yes and no, each held against the slow judge by doing what it says: trying, removing, applying.

/** The same floors on every run; more of them, or others, with FC_RUNS and FC_SEED. */
const seed = Number(process.env.FC_SEED || 20260914);
const runs = (most: number) => ({ seed, numRuns: Number(process.env.FC_RUNS || most) });

const unitsOf = (floor: Floor): Unit[] => [
  ...floor.blocks.map((block): Unit => ({ per: 'block', id: block.id })),
  ...[...new Set(floor.blocks.map((block) => block.session))].map((id): Unit => ({ per: 'session', id })),
  { per: 'premises', id: floor.gym },
];
const keyOf = ({ per, id }: Unit) => `${per} ${id}`;

const minutesOf = ({ from, to }: { from: number; to: number }) =>
  Array.from({ length: Math.ceil((to - from) / MINUTE) }, (_, i) => from + i * MINUTE);

/** When a unit is there at all: a block for its span, a session from its first block to its last, the premises always. */
function minutesThere(floor: Floor, unit: Unit): number[] {
  const blocks = floor.blocks.filter(({ id, session }) => (unit.per === 'block' ? id : session) === unit.id);
  if (unit.per === 'premises') return minutesOf(floor.over);
  const span = {
    from: Math.min(...blocks.map((one) => one.span.from)),
    to: Math.max(...blocks.map((one) => one.span.to)),
  };
  return minutesOf(span);
}

/** Unit and minute, wherever a unit is covered by its own account. */
function coveredMinutes(floor: Floor, units = unitsOf(floor)): Set<string> {
  const covered = new Set<string>();
  for (const unit of units) {
    for (const moment of minutesThere(floor, unit)) {
      if (judgeAlone(floor, unit, moment).covered) covered.add(`${keyOf(unit)} ${moment}`);
    }
  }
  return covered;
}

/** The units that lose cover at some minute from one floor to the other. */
function lost(before: Floor, after: Floor): string[] {
  const still = new Set(unitsOf(after).map(keyOf));
  const units = unitsOf(before).filter((unit) => still.has(keyOf(unit)));
  const had = coveredMinutes(before, units);
  const has = coveredMinutes(after, units);
  const gone = [...had].filter((key) => !has.has(key)).map((key) => key.split(' ').slice(0, 2).join(' '));
  return [...new Set(gone)].sort();
}

/** A floor with something small about it changed: who is there, where, from when, or what is in view. */
const CHANGES: ((floor: Floor, at: number) => Floor)[] = [
  (floor, at) => ({ ...floor, staff: floor.staff.filter((_, i) => i !== at % floor.staff.length) }),
  (floor, at) => ({ ...floor, athletes: floor.athletes.filter((_, i) => i !== at % floor.athletes.length) }),
  (floor, at) => ({ ...floor, blocks: floor.blocks.filter((_, i) => i !== at % floor.blocks.length) }),
  (floor, at) => ({ ...floor, rules: floor.rules.filter((_, i) => i !== at % floor.rules.length) }),
  (floor, at) => ({ ...floor, overrides: floor.overrides.filter((_, i) => i !== at % floor.overrides.length) }),
  (floor, at) => ({
    ...floor,
    blocks: floor.blocks.map((one, i) =>
      i === at % floor.blocks.length ? { ...one, confirmed: !one.confirmed } : one,
    ),
  }),
  (floor, at) => ({
    ...floor,
    staff: floor.staff.map((one, i) =>
      i === at % floor.staff.length
        ? { ...one, at: one.at.map((place) => ({ ...place, span: { ...place.span, to: place.span.to - 5 * MINUTE } })) }
        : one,
    ),
  }),
  (floor, at) => ({
    ...floor,
    athletes: floor.athletes.map((one, i) =>
      i === at % floor.athletes.length
        ? { ...one, at: one.at.map((place) => ({ ...place, span: { ...place.span, from: place.span.from + MINUTE } })) }
        : one,
    ),
  }),
  (floor, at) => ({ ...floor, over: { ...floor.over, from: momentIn(floor, at) } }),
  (floor, at) => ({ ...floor, over: { ...floor.over, to: momentIn(floor, at) } }),
];

/** A moment in one of the blocks that are in view; else half-way. */
function momentIn({ blocks, over }: Floor, at: number): number {
  const moments = blocks
    .flatMap(({ span }) => [span.from + 7 * MINUTE, span.to - 3 * MINUTE])
    .filter((moment) => over.from < moment && moment < over.to);
  return moments[at % Math.max(1, moments.length)] ?? (over.from + over.to) / 2;
}

describe('the timeline', () => {
  test('read again after a change is as it is read anew, and leaves what was read before alone', () => {
    const changes = fc.array(fc.tuple(fc.nat(CHANGES.length - 1), fc.nat(50)), { minLength: 1, maxLength: 5 });
    fc.assert(
      fc.property(arbitraryFloor, changes, (start, wanted) => {
        let floor = start;
        let reading = readFloor(floor);
        for (const [which, at] of wanted) {
          const [before, was] = [reading.covers, structuredClone(reading.covers)];
          floor = CHANGES[which]?.(floor, at) ?? floor;
          reading = reading.again(floor);
          expect(reading.covers).toEqual(coverTimeline(floor));
          expect(before).toEqual(was);
        }
      }),
      runs(250),
    );
  });

  test('never changes without a reason, and one stretch ends for what the next begins for', () => {
    fc.assert(
      fc.property(arbitraryFloor, (floor) => {
        const stretches = reasoned(floor, coverTimeline(floor));
        for (const [i, one] of stretches.entries()) {
          const next = stretches[i + 1];
          if (!next || keyOf(next.cover.unit) !== keyOf(one.cover.unit)) continue;
          expect(next.cover.span.from).toBe(one.cover.span.to);
          expect(next.because.map(({ code }) => code)).not.toEqual([]);
          expect(next.because).toEqual(one.until);
        }
      }),
      runs(250),
    );
  });
});

describe('headroom of a group', () => {
  test('is what trying one more, and one more, in all of its blocks comes to', () => {
    const most = 4;
    fc.assert(
      fc.property(arbitraryFloor.map(roomier), fc.nat(), fc.nat(), (floor, i, j) => {
        const first = floor.blocks[i % floor.blocks.length];
        const like = floor.athletes[j % Math.max(1, floor.athletes.length)];
        fc.pre(first !== undefined && like !== undefined);
        const blocks = floor.blocks.filter((one) => one.session === first.session);
        const apart = blocks.filter((one, at) => blocks.every((other, k) => k >= at || !meet(one, other)));
        const ids = apart.map(({ id }) => id);
        const { more, stopped } = headroomIn(floor, ids, like, most);
        expect(more).toBe(tried(floor, apart, like, most));
        const uncovered = more < most ? uncoveredBlocks(fuller(floor, apart, like, more + 1)) : [];
        const [wanted] = uncovered.filter(({ block }) => ids.includes(block));
        expect([stopped?.block, codesOf(stopped)]).toEqual([wanted?.block, codesOf(wanted)]);
      }),
      runs(80),
    );
  });
});

describe('headroom from a moment on', () => {
  test('is that of what is left of the blocks, whatever was read of the floor before', () => {
    fc.assert(
      fc.property(arbitraryFloor.map(roomier), fc.nat(), fc.nat(), fc.nat(), (floor, i, j, k) => {
        const block = floor.blocks[i % floor.blocks.length];
        const like = floor.athletes[j % Math.max(1, floor.athletes.length)];
        fc.pre(block !== undefined && like !== undefined);
        const from = block.span.from + (k % (block.span.to - block.span.from));
        fc.pre(localDay(floor.zone, block.span.from) === localDay(floor.zone, from));
        const left = {
          ...floor,
          blocks: floor.blocks.map((one) =>
            one.span.from < from && from < one.span.to ? { ...one, span: { from, to: one.span.to } } : one,
          ),
        };
        const { more, stop } = headroomReader(floor, { from })([block.id], like, 3);
        const anew = headroomIn(left, [block.id], like, 3);
        const [first = null] = anew.stopped?.findings ?? [];
        expect([more, stop?.code, stop?.rule]).toEqual([anew.more, first?.code, first?.rule]);
        const reading = readFloor(floor);
        expect(reading.covers).toEqual(coverTimeline(floor));
        expect(headroomReader(floor, { from, reading })([block.id], like, 3)).toMatchObject({ more, stop });
        expect(reading.covers).toEqual(coverTimeline(floor));
      }),
      runs(80),
    );
  });
});

const meet = (a: Block, b: Block) => a.span.from < b.span.to && b.span.from < a.span.to;

const codesOf = (stopped: UncoveredBlock | null | undefined) => stopped?.findings.map(({ code, rule }) => [code, rule]);

function tried(floor: Floor, blocks: Block[], like: Athlete, most: number): number {
  for (let more = 1; more <= most; more += 1) {
    const after = fuller(floor, blocks, like, more);
    const isShort = blocks.some(({ id, span }) =>
      minutesOf(span).some((moment) => !judgeAt(after, { per: 'block', id }, moment).covered),
    );
    if (isShort) return more - 1;
  }
  return most;
}

/** The floor with so many more at some blocks, which are then as if confirmed. */
function fuller(floor: Floor, blocks: Block[], like: Athlete, more: number): Floor {
  const ids = blocks.map(({ id }) => id);
  const category = (block: Id) => like.enrolled.find((one) => one.block === block)?.category ?? null;
  const newcomers = Array.from(
    { length: more },
    (_, n): Athlete => ({
      ...like,
      person: `newcomer-${n}`,
      family: null,
      at: blocks.map(({ id, span }) => ({ unit: { per: 'block', id }, span, category: category(id) })),
      enrolled: ids.map((block) => ({ block, category: category(block) })),
    }),
  );
  return {
    ...floor,
    blocks: floor.blocks.map((one) => (ids.includes(one.id) ? { ...one, confirmed: true } : one)),
    athletes: [...floor.athletes, ...newcomers],
  };
}

/** The same floor without what fails whatever the ratio, so that there is room to look for. */
function roomier(floor: Floor): Floor {
  return {
    ...floor,
    blocks: floor.blocks.map((block) => ({ ...block, planWithdrawn: false, stations: [] })),
    athletes: floor.athletes.slice(0, 3).map((one) => ({ ...one, support: null, born: one.born ?? '2017-05-05' })),
    rules: floor.rules.map((rule) => ({
      ...rule,
      bands: rule.bands.map((band, i) => ({ ...band, from: i === 0 ? null : band.from })),
      counts: [{ who: { test: 'all', of: [] }, share: whole(2), maxOf: null }],
    })),
  };
}

describe('fragility', () => {
  test('is what removing each of the staff comes to', () => {
    fc.assert(
      fc.property(arbitraryFloor, (floor) => {
        const found = fragility(floor).map(({ person, uncovers }) => [person, uncovers.map(keyOf).sort()]);
        const removed = floor.staff
          .filter(({ at }) => at.length > 0)
          .map((one) => [one.person, lost(floor, { ...floor, staff: floor.staff.filter((other) => other !== one) })])
          .filter(([, units]) => units?.length);
        expect(Object.fromEntries(found)).toEqual(Object.fromEntries(removed));
      }),
      runs(60),
    );
  });
});

const isUncovering = ({ strength, override }: Finding) => strength === 'refuse' && override === null;

/** Whether, by the judge, a unit still has a finding of a kind at a minute of a span. */
function isLeft(floor: Floor, { unit, code, rule, span }: Finding): boolean {
  return minutesOf(span).some((moment) =>
    judgeAlone(floor, unit, moment).findings.some((one) => one.code === code && one.rule === rule),
  );
}

describe('remedies', () => {
  test('applied, each clears its finding and takes cover from no unit', () => {
    fc.assert(
      fc.property(arbitraryFloor, fc.nat(), (floor, i) => {
        const findings = coverTimeline(floor).flatMap((one) => one.findings.filter(isUncovering));
        const finding = findings[i % Math.max(1, findings.length)];
        fc.pre(finding !== undefined);
        for (const change of remedies(floor, finding)) {
          const after = applyChange(floor, change);
          expect([change, isLeft(after, finding)]).toEqual([change, false]);
          expect([change, lost(floor, after)]).toEqual([change, []]);
        }
      }),
      runs(150),
    );
  });

  test('a first step makes it less, and takes cover from no unit', () => {
    fc.assert(
      fc.property(arbitraryFloor, fc.nat(), (floor, i) => {
        const findings = coverTimeline(floor).flatMap((one) => one.findings.filter(isUncovering));
        const finding = findings[i % Math.max(1, findings.length)];
        fc.pre(finding !== undefined);
        for (const { change, still } of firstSteps(floor, finding)) {
          expect(less(still.short, finding.short) || !isWorst(floor, finding)).toBe(true);
          expect([change, lost(floor, applyChange(floor, change))]).toEqual([change, []]);
        }
      }),
      runs(100),
    );
  });
});

/** Whether no finding of its kind in the unit falls shorter. */
const isWorst = (floor: Floor, finding: Finding) =>
  minutesOf(floor.over)
    .flatMap((moment) => judgeAlone(floor, finding.unit, moment).findings)
    .every((one) => one.code !== finding.code || one.rule !== finding.rule || !less(finding.short, one.short));

describe('substitutes', () => {
  test('are enough exactly where the judge finds the block covered with them', () => {
    fc.assert(
      fc.property(arbitraryFloor, fc.nat(), (floor, i) => {
        const posts = floor.staff.flatMap((one) =>
          one.at.filter(({ unit }) => unit.per === 'block').map((place) => ({ person: one.person, place })),
        );
        const left = posts[i % Math.max(1, posts.length)];
        fc.pre(left !== undefined && floor.blocks.some(({ id }) => id === left.place.unit.id));
        const without = vacated(floor, left.person, left.place);
        for (const { person, isEnough } of substitutes(without, left.place)) {
          const { id } = left.place.unit;
          const after = {
            ...without,
            blocks: without.blocks.map((one) => (one.id === id ? { ...one, confirmed: true } : one)),
            staff: without.staff.map((one) => (one.person === person ? { ...one, at: [...one.at, left.place] } : one)),
          };
          const block = floor.blocks.find((one) => one.id === id);
          const covered = minutesOf(block?.span ?? left.place.span)
            .filter((moment) => within(moment, floor.over))
            .every((moment) => judgeAt(after, { per: 'block', id }, moment).covered);
          expect([person, isEnough]).toEqual([person, covered]);
        }
      }),
      runs(150),
    );
  });
});

const vacated = (floor: Floor, person: Id, place: Place): Floor => ({
  ...floor,
  staff: floor.staff.map((one) =>
    one.person === person ? { ...one, at: one.at.filter((other) => other !== place) } : one,
  ),
});
