import { describe, expect, test } from 'vitest';
import reference from '../../tests/reference/qualification-rules.json' with { type: 'json' };
import { aFloor, aRule, at, atBlock, bornBefore, counting, holds, span } from '../../tests/support/a-floor.ts';
import { admissible } from './admissible/index.ts';
import { coverTimeline } from './timeline.ts';
import type { Day, Staff } from './types.ts';

// A qualification is kept with its own first day and the first day on which it is no longer held: the bodies do not agree
// on how the latter follows from the former. A certificate that "expires on 31 December" is held on that day.

const { validity, sources } = reference;
type Row = (typeof validity)[number];
type Certificate = { from: Day; to: Day | null };

const KIND = 'certificate';

/** Does the engine take it for held on that day? Asked both ways: may they lead, and do they count? */
function heldOn(day: Day, ...certificates: Certificate[]): boolean {
  const block = { span: span('16:00-16:20', day) };
  const places = [at(atBlock('beam'), 'lead', '16:00-16:20')].map((place) => ({ ...place, span: block.span }));
  const own: Staff['holds'] = certificates.map((one) => ({ kind: KIND, grade: 1, ...one }));
  const floor = aFloor({
    blocks: [block],
    athletes: [{ born: bornBefore(9 * 12, day) }],
    coaches: [{ born: bornBefore(30 * 12, day), holds: own, at: places }],
    duties: [{ duty: 'lead', who: holds(KIND) }],
    rules: [aRule({ counts: [counting(holds(KIND))] })],
  });
  const may = places.flatMap((place) => admissible(floor, 'coach-00', place)).length === 0;
  const counts = coverTimeline(floor).every(({ covered }) => covered);
  expect(counts).toBe(may);
  return may;
}

const dayAfter = (day: Day, days = 1): Day => {
  const [year, month, date] = day.split('-').map(Number) as [number, number, number];
  return new Date(Date.UTC(year, month - 1, date + days)).toISOString().slice(0, 10);
};
const dayBefore = (day: Day): Day => dayAfter(day, -1);
/** The same date so many whole years on. */
function yearsOn(day: Day, months: number): Day {
  expect(months % 12).toBe(0);
  return `${Number(day.slice(0, 4)) + months / 12}${day.slice(4)}`;
}

/** Held from its first day to the day before `to`; neither before nor after. */
function expectHeld({ from, to }: { from: Day; to: Day }) {
  const on = (day: Day) => heldOn(day, { from, to });
  expect([on(dayBefore(from)), on(from), on(dayAfter(from))]).toEqual([false, true, true]);
  expect([on(dayBefore(to)), on(to), on(dayAfter(to))]).toEqual([true, false, false]);
}

const cited = ({ certificate, body, source, edition, provenance }: Row) => {
  const title = sources.find(({ id }) => id === source)?.title;
  return `${certificate}, ${body} (${title}, ${edition}${provenance === 'memory' ? ', from memory' : ''})`;
};
const named = (part: string): Row => {
  const row = validity.find(({ certificate }) => certificate.startsWith(part));
  if (!row) throw new Error(`the reference has no ${part}`);
  return row;
};

const ISSUED = '2025-03-10';
const ofLength = validity.flatMap((row) => (typeof row.months === 'number' ? [{ row, months: row.months }] : []));
const ofExamples = validity.filter((row) => row.examples !== undefined);
const endless = validity.filter((row) => row.rules?.includes('never expires'));
const window = named('first aid at work renewal window');

test('every row of the reference is asked here', () => {
  const asked = [...ofLength.map(({ row }) => row), ...ofExamples, ...endless, window];
  expect(asked.map(cited).sort()).toEqual(validity.map(cited).sort());
  expect(validity).toHaveLength(12);
});

describe('a certificate of a certain length is held from its first day to the day before its last', () => {
  test.each(ofLength.map(({ row, months }) => [months, cited(row)] as const))('%i months: %s', (months) => {
    expectHeld({ from: ISSUED, to: yearsOn(ISSUED, months) });
    expectHeld({ from: '2024-12-31', to: yearsOn('2024-12-31', months) });
  });
});

describe('a certificate that ends on a day of the calendar is held on that day, and not on the next', () => {
  const examples = ofExamples.flatMap((row) =>
    (row.examples ?? []).map(({ completed, expires }) => [completed, expires, cited(row)] as const),
  );
  test.each(examples)('done on %s, expires on %s: %s', (completed, expires) => {
    expectHeld({ from: completed, to: dayAfter(expires) });
  });
  test('there are three', () => expect(examples).toHaveLength(3));
});

test.each(endless.map(cited))('without an end it is held for ever: %s', () => {
  const on = (day: Day) => heldOn(day, { from: ISSUED, to: null });
  expect([on(dayBefore(ISSUED)), on(ISSUED), on('2075-03-10')]).toEqual([false, true, true]);
});

describe('renewed', () => {
  const safety = named('safety / risk management');
  test(`early, it runs on from the old end without a gap: ${cited(safety)}`, () => {
    expect(safety.rules).toContain(
      'renewable up to 12 months early; the four years run from the OLD expiry, not the new course date',
    );
    const old = { from: '2022-10-01', to: '2026-10-01' }; // The last day of a month is the last on which it is held.
    const renewed = { from: '2025-10-01', to: yearsOn(old.to, safety.months ?? 0) };
    const on = (day: Day) => heldOn(day, old, renewed);
    expect(['2025-09-30', '2025-10-01', '2026-09-30', '2026-10-01', '2030-09-30'].map(on)).toEqual([
      true,
      true,
      true,
      true,
      true,
    ]);
    expect(on('2030-10-01')).toBe(false);
  });

  test(`after it lapsed, though within the window, it is not held in between: ${cited(window)}`, () => {
    expect(window.rules).toEqual(['short requalification allowed until 28 days after expiry']);
    const old = { from: ISSUED, to: yearsOn(ISSUED, 36) };
    const requalified = dayAfter(old.to, 27);
    const on = (day: Day) => heldOn(day, old, { from: requalified, to: yearsOn(requalified, 36) });
    expect([on(dayBefore(old.to)), on(old.to), on(dayBefore(requalified))]).toEqual([true, false, false]);
    expect([on(requalified), on(dayAfter(requalified))]).toEqual([true, true]);
  });
});

const [cpr, firstAid] = [named('CPR unit'), named('first aid unit')];
test(`two clocks are two certificates, and the shorter lapses alone: ${cited(firstAid)}`, () => {
  const both = (['resuscitation', 'first aid'] as const).map((kind, at) => ({
    kind,
    grade: 1,
    from: ISSUED,
    to: yearsOn(ISSUED, [cpr, firstAid][at]?.months ?? 0),
  }));
  const lapsed = (day: Day) => {
    const block = { span: span('16:00-16:20', day) };
    const who = { test: 'all', of: both.map(({ kind }) => holds(kind)) } as const;
    const floor = aFloor({ blocks: [block], coaches: [{ at: [], holds: both }], duties: [{ duty: 'lead', who }] });
    return admissible(floor, 'coach-00', { unit: atBlock('beam'), duty: 'lead', span: block.span }).map(
      ({ failed }) => failed,
    );
  };
  expect(lapsed('2026-03-09')).toEqual([]);
  expect(lapsed('2026-03-10')).toEqual([holds('resuscitation')]);
  expect(lapsed('2028-03-09')).toEqual([holds('resuscitation')]);
  expect(lapsed('2028-03-10')).toEqual([holds('resuscitation'), holds('first aid')]);
});
