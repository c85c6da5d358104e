import { describe, expect, test } from 'vitest';
import { aFloor, atBlock, clock, at as placeAt, span } from '../../tests/support/a-floor.ts';
import type { Floor, Span, Unit } from '../cover/index.ts';
import { liveFloor, withExpected } from './live-floor.ts';
import { type Recorded, staffStates, stateAt } from './recorded.ts';

// Two blocks of one class, beam 16:00 to 16:20 and bars 16:30 to 16:50; one athlete enrolled, one coach at both.
const planned = aFloor({
  blocks: [{ confirmed: false }, { id: 'bars', span: span('16:30-16:50') }],
  athletes: [
    {
      person: 'child',
      enrolled: [
        { block: 'beam', category: 'kindergarten' },
        { block: 'bars', category: null },
      ],
    },
  ],
  coaches: [
    { person: 'coach', at: [placeAt(atBlock('beam'), 'lead'), placeAt(atBlock('bars'), 'lead', '16:30-16:50')] },
  ],
  over: span('00:00-23:59'),
});

type Stays = Recorded['attended'][number]['stays'];
const stays = (text: string): Stays =>
  text.split(' ').map((one) => {
    const [from = '', to = ''] = one.split('-');
    return { from: from === '' ? null : clock(from), to: to === '' ? null : clock(to) };
  });
const atClass = (athleteId: string, text: string | null, state: Recorded['attended'][number]['state'] = 'present') => ({
  athleteId,
  sessionId: 'class',
  groupId: 'group',
  state,
  since: clock('16:00'),
  startsAt: clock('16:00'),
  endsAt: clock('16:50'),
  stays: text === null ? [] : stays(text),
});
const nothing: Recorded = { attended: [], outings: [], staff: [] };

const time = (moment: number) => (moment === Infinity ? '' : new Date(moment).toISOString().slice(11, 16));
const told = (places: readonly { unit: Unit; span: Span }[] = []) =>
  [...places]
    .sort((a, b) => a.span.from - b.span.from)
    .map(({ unit, span: { from, to } }) => `${unit.per === 'block' ? unit.id : unit.per} ${time(from)}-${time(to)}`)
    .join(', ');
const placesOf = (floor: Floor, person: string) =>
  told([...floor.athletes, ...floor.staff].find((one) => one.person === person)?.at);

describe('an athlete', () => {
  test.each([
    ['nobody has come', '16:05', null, ''],
    [
      'comes before the start, and waits',
      '15:50',
      '15:45-',
      'premises 15:45-16:00, beam 16:00-16:20, premises 16:20-16:30, bars 16:30-16:50',
    ],
    ['comes late', '16:10', '16:08-', 'beam 16:08-16:20, premises 16:20-16:30, bars 16:30-16:50'],
    ['leaves early', '16:35', '16:00-16:10', 'beam 16:00-16:10'],
    [
      'is not collected',
      '17:00',
      '16:00-',
      'beam 16:00-16:20, premises 16:20-16:30, bars 16:30-16:50, premises 16:50-',
    ],
    [
      'was collected late',
      '18:00',
      '16:00-17:10',
      'beam 16:00-16:20, premises 16:20-16:30, bars 16:30-16:50, premises 16:50-17:10',
    ],
    ['went and came back', '16:35', '16:00-16:05 16:31-', 'beam 16:00-16:05, bars 16:31-16:50'],
    ['went, and nobody said when they came', '16:35', '-16:10', 'beam 16:00-16:10'],
  ])('who %s', (_, at, text, places) => {
    const recorded = { ...nothing, attended: text === null ? [] : [atClass('child', text)] };
    expect(placesOf(liveFloor(planned, recorded, clock(at)), 'child')).toBe(places);
  });

  test('keeps the category of each block, and has none on the premises', () => {
    const [child] = liveFloor(planned, { ...nothing, attended: [atClass('child', '16:00-')] }, clock('16:05')).athletes;
    expect(child?.at.map(({ category }) => category)).toEqual(['kindergarten', null, null]);
  });

  test('out of the hall is on the premises until back; a forgotten outing ends with the session', () => {
    const attended = [atClass('child', '16:00-')];
    const out = (from: string, to: string | null) => ({
      athleteId: 'child',
      sessionId: 'class',
      withPersonId: 'coach',
      from: clock(from),
      to: to === null ? null : clock(to),
      endsAt: clock('16:50'),
    });
    const back = liveFloor(planned, { ...nothing, attended, outings: [out('16:05', '16:10')] }, clock('16:15'));
    expect(placesOf(back, 'child')).toBe(
      'beam 16:00-16:05, premises 16:05-16:10, beam 16:10-16:20, premises 16:20-16:30, bars 16:30-16:50',
    );
    expect(placesOf(back, 'coach')).toBe('beam 16:00-16:05, premises 16:05-16:10, beam 16:10-16:20, bars 16:30-16:50');
    const forgotten = liveFloor(planned, { ...nothing, attended, outings: [out('16:05', null)] }, clock('16:15'));
    expect(placesOf(forgotten, 'child')).toBe('beam 16:00-16:05, premises 16:05-16:50');
    expect(placesOf(forgotten, 'coach')).toBe('beam 16:00-16:05, premises 16:05-16:20, premises 16:30-16:50');
  });

  test('who stays for a second class is in it, and not left over from the first', () => {
    const later = {
      ...planned,
      blocks: [
        ...planned.blocks,
        { ...planned.blocks[0]!, id: 'vault', session: 'second', group: 'vaulters', span: span('17:00-17:20') },
      ],
    };
    const second = {
      ...atClass('child', '16:55-'),
      sessionId: 'second',
      groupId: 'vaulters',
      startsAt: clock('17:00'),
      endsAt: clock('17:20'),
    };
    const floor = liveFloor(later, { ...nothing, attended: [atClass('child', '16:00-'), second] }, clock('17:05'));
    expect(placesOf(floor, 'child')).toBe(
      'beam 16:00-16:20, premises 16:20-16:30, bars 16:30-16:50, premises 16:50-17:00, vault 17:00-17:20, premises 17:20-',
    );
  });

  test.each([
    ['unmarked', null, 'beam 16:00-16:20, bars 16:30-16:50'],
    ['expected', 'expected', 'beam 16:00-16:20, bars 16:30-16:50'],
    ['absent', 'absent', ''],
    ['on hold', 'on-hold', ''],
  ] as const)('%s is where they are expected', (_, state, places) => {
    const attended = state === null ? [] : [atClass('child', null, state)];
    const recorded = { ...nothing, attended };
    const live = liveFloor(planned, recorded, clock('16:05'));
    expect(placesOf(live, 'child')).toBe('');
    expect(
      placesOf(
        withExpected(live, recorded, (session) => session === 'class'),
        'child',
      ),
    ).toBe(places);
    expect(
      placesOf(
        withExpected(live, recorded, () => false),
        'child',
      ),
    ).toBe('');
  });
});

describe('a coach', () => {
  const work = (from: string | null, to: string | null, kind: 'work' | 'break' = 'work', personId = 'coach') => ({
    personId,
    kind,
    from: from === null ? null : clock(from),
    to: to === null ? null : clock(to),
  });
  test.each([
    ['of whom nothing is known', '16:05', [], 'beam 16:00-16:20, bars 16:30-16:50'],
    [
      'at work from before',
      '16:05',
      [work('15:50', null)],
      'premises 15:50-16:00, beam 16:00-16:20, premises 16:20-16:30, bars 16:30-16:50',
    ],
    ['who came late', '16:12', [work('16:10', null)], 'beam 16:10-16:20, premises 16:20-16:30, bars 16:30-16:50'],
    ['who left', '16:35', [work('16:00', '16:10')], 'beam 16:00-16:10'],
    ['on a break', '16:35', [work('16:00', null), work('16:05', null, 'break')], 'beam 16:00-16:05'],
    [
      'back from a break',
      '16:35',
      [work('16:00', '16:50'), work('16:05', '16:10', 'break')],
      'beam 16:00-16:05, beam 16:10-16:20, premises 16:20-16:30, bars 16:30-16:50',
    ],
    [
      'still here after their places',
      '17:00',
      [work('16:00', null)],
      'beam 16:00-16:20, premises 16:20-16:30, bars 16:30-16:50, premises 16:50-',
    ],
    ['who went and never came', '16:35', [work(null, '16:10')], ''],
  ])('%s', (_, at, staff, places) => {
    expect(placesOf(liveFloor(planned, { ...nothing, staff }, clock(at)), 'coach')).toBe(places);
  });

  test('who is not in, where a colleague is, holds the places that have not begun', () => {
    const other = { ...planned.staff[0]!, person: 'other' };
    const two = { ...planned, staff: [...planned.staff, other] };
    const staff = [work('15:50', null, 'work', 'other')];
    const at = (moment: string) => placesOf(liveFloor(two, { ...nothing, staff }, clock(moment)), 'coach');
    expect(at('15:40')).toBe('beam 16:00-16:20, bars 16:30-16:50');
    expect(at('15:59')).toBe('beam 16:00-16:20, bars 16:30-16:50');
    expect(at('16:00')).toBe('bars 16:30-16:50');
    // A colleague without a place that day says nothing of the others.
    const desk = { ...two, staff: two.staff.map((one) => (one.person === 'other' ? { ...one, at: [] } : one)) };
    expect(placesOf(liveFloor(desk, { ...nothing, staff }, clock('16:05')), 'coach')).toBe(
      'beam 16:00-16:20, bars 16:30-16:50',
    );
    expect(placesOf(liveFloor(desk, { ...nothing, staff }, clock('16:05')), 'other')).toBe('');
  });

  test.each([
    ['15:55', 'not-in'],
    ['16:00', 'in'],
    ['16:05', 'on-break'],
    ['16:10', 'in'],
    ['16:20', 'left'],
  ])('at %s is %s', (moment, state) => {
    const staff = [work('16:00', '16:20'), work('16:05', '16:10', 'break')];
    expect(staffStates({ ...nothing, staff }, clock(moment))('coach')).toBe(state);
  });
});

test('every block is held, confirmed or not', () => {
  expect(liveFloor(planned, nothing, clock('16:05')).blocks.map(({ confirmed }) => confirmed)).toEqual([true, true]);
});

test.each([
  ['15:59', 'expected'],
  ['16:00', 'present'],
  ['16:10', 'left'],
  ['16:30', 'present'],
])('at %s they are %s', (moment, state) => {
  expect(stateAt(atClass('child', '16:00-16:10 16:30-'), clock(moment))).toBe(state);
});

test.each([
  ['15:59', 'expected'],
  ['16:05', 'present'],
  ['16:20', 'left'],
  ['16:30', 'on-hold'],
])('held at the door after they had been in: at %s they are %s', (moment, state) => {
  const held = { ...atClass('child', '16:00-16:10', 'on-hold'), since: clock('16:30') };
  expect(stateAt(held, clock(moment))).toBe(state);
});
