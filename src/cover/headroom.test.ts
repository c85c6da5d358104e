import { describe, expect, test } from 'vitest';
import { ANYONE, aBand, aFloor, aRule, aStation, spotted } from '../../tests/support/a-floor.ts';
import { fragility } from './fragility.ts';
import { HEADROOM_BOUND, headroom } from './headroom.ts';
import type { Athlete, Floor, Rule } from './types.ts';

const like = (years = 9): Athlete => aFloor({ athletes: [{ person: 'like', years }] }).athletes[0]!;
const room = (floor: Floor, years = 9) => headroom(floor, 'beam', like(years));

describe('meaning 19: headroom', () => {
  test.each<[string, Floor, { more: number; binding: string | null }]>([
    ['five of eight are there', aFloor({ athletes: 5, coaches: 1 }), { more: 3, binding: 'rule' }],
    ['full', aFloor({ athletes: 8, coaches: 1 }), { more: 0, binding: 'rule' }],
    ['over already', aFloor({ athletes: 9, coaches: 1 }), { more: 0, binding: 'rule' }],
    ['empty, without a coach', aFloor(), { more: 0, binding: 'rule' }],
    [
      'a cap stops before the ratio does',
      aFloor({
        athletes: 5,
        coaches: 2,
        rules: [aRule(), aRule({ id: 'cap', bands: [], counts: [], caps: [{ max: 6, of: 'group', bands: null }] })],
      }),
      { more: 1, binding: 'cap' },
    ],
    ['no rule stops it', aFloor({ rules: [] }), { more: HEADROOM_BOUND, binding: null }],
    ['a spotter is missing', aFloor({ coaches: 1, stations: [aStation('v', spotted())] }), { more: 0, binding: null }],
    [
      'the premises stop it, as if it were confirmed',
      aFloor({
        blocks: [{ confirmed: false }, { id: 'vault' }],
        athletes: [...Array.from({ length: 6 }, () => ({ in: 'vault' }))],
        coaches: [{}],
        rules: [aRule({ per: 'premises', counts: [{ who: ANYONE, share: { n: 1n, d: 1n }, maxOf: null }] })],
      }),
      { more: 2, binding: 'rule' },
    ],
  ])('%s', (_, floor, expected) => {
    expect(room(floor)).toEqual(expected);
  });

  test('a younger one finds less room', () => {
    const rules: Rule[] = [aRule({ bands: [aBand('small', 0, 5, 4), aBand('big', 5, null, 8)] })];
    const floor = aFloor({ athletes: 3, coaches: 1, rules });
    expect([room(floor, 4).more, room(floor, 9).more]).toEqual([1, 5]);
  });

  test('non-monotone: three more would fit where one does not, so none is offered', () => {
    const rules = [
      aRule({ bands: [aBand('small', 0, 5, 3), aBand('big', 5, null, 8)], mixed: { method: 'majority' } }),
    ];
    const floor = aFloor({
      athletes: [...Array.from({ length: 2 }, () => ({ years: 3 })), { years: 9 }],
      coaches: 1,
      rules,
    });
    const more = (n: number) =>
      aFloor({
        athletes: [...Array.from({ length: 2 }, () => ({ years: 3 })), ...Array.from({ length: 1 + n }, () => ({}))],
        coaches: 1,
        rules,
      });
    expect([room(floor).more, room(more(2)).more]).toEqual([0, 3]);
  });

  test('a block that is not on the floor', () => {
    expect(() => headroom(aFloor(), 'moon', like())).toThrow(/Block "moon"/);
  });
});

describe('fragility', () => {
  test('whose absence would uncover what, most first', () => {
    const floor = aFloor({
      blocks: [{}, { id: 'vault', session: 'other' }, { id: 'bars', session: 'third' }],
      athletes: [{ in: 'beam' }, { in: 'vault' }, { in: 'bars' }],
      coaches: [{ in: 'beam' }, { in: 'vault' }, { in: 'bars' }, { in: 'bars' }],
    });
    expect(fragility(floor)).toEqual([
      { person: 'coach-00', uncovers: [{ per: 'block', id: 'beam' }] },
      { person: 'coach-01', uncovers: [{ per: 'block', id: 'vault' }] },
    ]);
  });

  test('what is uncovered already is not news', () => {
    expect(fragility(aFloor({ athletes: 20, coaches: 1 }))).toEqual([]);
  });

  test('sessions and the premises count too', () => {
    const rules = [aRule({ id: 's', per: 'session' }), aRule({ id: 'p', per: 'premises' })];
    const [only] = fragility(aFloor({ athletes: 1, coaches: 1, rules }));
    expect(only?.uncovers.map(({ per }) => per)).toEqual(['session', 'premises']);
  });
});
