import { describe, expect, test } from 'vitest';
import {
  ANYONE,
  aBand,
  aFloor,
  aRule,
  at,
  atBlock,
  counting,
  holding,
  holds,
  overseeing,
} from '../../tests/support/a-floor.ts';
import { formatFraction, fraction, parseFraction } from './fraction.ts';
import { coverOf } from './timeline.ts';
import type { Count, Floor, Rule } from './types.ts';

const lead = counting({ test: 'duty', in: ['lead'] });
const halfAssistant = counting({ test: 'duty', in: ['assist'] }, '1/2');
const atSixteen = aRule({ bands: [aBand('any', null, null, 16)], counts: [lead, halfAssistant] });
const times = <T>(n: number, one: T): T[] => Array.from({ length: n }, () => one);

describe('who counts, and why not', () => {
  const peopleOf = (floor: Floor) =>
    countOf(floor).people.map(({ share, why }) => [
      formatFraction(share),
      why === null || typeof why === 'string' ? why : why.test,
    ]);

  test.each<[string, Floor, unknown[]]>([
    [
      'the first test that somebody passes decides',
      aFloor({ athletes: 1, coaches: [{}, { duty: 'assist' }, { duty: 'shadow' }], rules: [atSixteen] }),
      [
        ['1', null],
        ['1/2', 'duty'],
        ['0', 'duty'],
      ],
    ],
    [
      'too young',
      aFloor({
        athletes: 1,
        coaches: [{ years: 17 }],
        rules: [aRule({ counts: [counting({ test: 'age', atLeastYears: 18 })] })],
      }),
      [['0', 'age']],
    ],
    [
      'not two years older than everybody there',
      aFloor({
        athletes: [{ years: 15 }],
        coaches: [{ years: 16 }, { years: 17 }],
        rules: [aRule({ counts: [counting({ test: 'older-than-athletes', byYears: 2 })] })],
      }),
      [
        ['0', 'older-than-athletes'],
        ['1', null],
      ],
    ],
    [
      'a certificate that ends in the middle of the week before',
      aFloor({
        athletes: 1,
        coaches: [
          { holds: [{ kind: 'coach', grade: 1, from: '2020-01-01', to: '2026-03-12' }] },
          { holds: [{ kind: 'coach', grade: 1, from: '2020-01-01', to: '2026-03-13' }] },
        ],
        rules: [aRule({ counts: [counting(holds('coach'))] })],
      }),
      [
        ['0', 'holds'],
        ['1', null],
      ],
    ],
    [
      'a parent of one of the children there',
      aFloor({
        athletes: [{ person: 'kim' }],
        coaches: [{ ownChildren: ['kim'] }],
        rules: [aRule({ counts: [counting({ test: 'no-own-child-here' })] })],
      }),
      [['0', 'no-own-child-here']],
    ],
    [
      'meaning 14: an assistant is supervised by the lead beside them, and by an overseer',
      aFloor({
        athletes: 1,
        coaches: [{ duty: 'assist' }, { at: overseeing('class'), holds: holding('certified') }],
        rules: [aRule({ counts: [counting({ test: 'supervised', by: holds('certified') })] })],
      }),
      [['1', null]],
    ],
    [
      'meaning 14: nobody in sight supervises',
      aFloor({
        athletes: 1,
        blocks: [{}, { id: 'vault', session: 'other class' }],
        coaches: [{ duty: 'assist' }, { in: 'vault', holds: holding('certified') }],
        rules: [aRule({ counts: [counting({ test: 'supervised', by: holds('certified') })] })],
      }),
      [['0', 'supervised']],
    ],
    [
      'meaning 10: of those bounded by a share of the required, the largest stay',
      aFloor({
        athletes: 16,
        coaches: [{ duty: 'assist' }, { duty: 'assist' }, { duty: 'lead' }],
        rules: [
          aRule({
            counts: [
              lead,
              { who: ANYONE, share: parseFraction('1'), maxOf: { share: fraction(1, 2), base: 'required' } },
            ],
          }),
        ],
      }),
      [
        ['1', null],
        ['0', 'max-of'],
        ['1', null],
      ],
    ],
    [
      'meaning 10: one in five may be under 18: four adults carry one',
      aFloor({
        athletes: 1,
        coaches: [...times(4, {}), { years: 17 }, { years: 17 }],
        rules: [
          aRule({
            counts: [
              counting({ test: 'age', atLeastYears: 18 }),
              { who: ANYONE, share: parseFraction('1'), maxOf: { share: fraction(1, 5), base: 'counted' } },
            ],
          }),
        ],
      }),
      [...times(5, ['1', null]), ['0', 'max-of']],
    ],
    [
      'staff who are children to supervise load the class and count for nobody',
      aFloor({ athletes: 8, coaches: [{}, { years: 13 }], rules: [aRule({ staffBelowYearsAreAthletes: 15 })] }),
      [
        ['1', null],
        ['0', 'age'],
      ],
    ],
  ])('%s', (_, floor, expected) => {
    expect(peopleOf(floor)).toEqual(expected);
  });

  test('a trainee of 13 is the ninth athlete', () => {
    const floor = aFloor({
      athletes: 8,
      coaches: [{}, { years: 13 }],
      rules: [aRule({ staffBelowYearsAreAthletes: 15 })],
    });
    expect(countOf(floor)).toMatchObject({ load: fraction(9, 8), met: false });
  });
});

describe('meaning 18: the rule that binds', () => {
  const binding = (...rules: Rule[]) =>
    coverOf(aFloor({ athletes: 12, coaches: 2, rules }), atBlock('beam'))[0]?.binding;
  const per = (id: string, perCoach: number, more: Partial<Rule> = {}) =>
    aRule({ id, bands: [aBand('any', null, null, perCoach)], ...more });

  test.each<[string, Rule[], string | null]>([
    ['asks for most people', [per('a', 12), per('b', 6)], 'b'],
    ['has least slack', [per('a', 12), per('b', 7), per('c', 6)], 'c'],
    ['is first by id', [per('b', 6), per('a', 6)], 'a'],
    [
      'may be one of posts',
      [
        per('a', 6),
        aRule({
          id: 'b',
          bands: [],
          floors: [{ fromAthletes: 1, toAthletes: null, posts: [{ people: 3, who: ANYONE }] }],
        }),
      ],
      'b',
    ],
    ['is never one that only warns', [per('a', 12), per('b', 2, { strength: 'warn' })], 'a'],
  ])('the rule that binds %s', (_, rules, expected) => {
    expect(binding(...rules)).toBe(expected);
  });
});

test('overseers don’t count at a block; they count once for the session', () => {
  const coaches = [{ at: overseeing('class') }];
  const perBlock = aFloor({ athletes: 1, coaches });
  expect(countOf(perBlock)).toMatchObject({ people: [], met: false });
  const perSession = aFloor({ athletes: 1, coaches, rules: [aRule({ per: 'session' })] });
  expect(countOf(perSession, 'session')).toMatchObject({ met: true });
});

test('a floater counts for the premises only', () => {
  const coaches = [{ at: [at({ per: 'premises', id: 'gym' }, 'assist')] }];
  const rules = [
    aRule({ id: 'block' }),
    aRule({ id: 'session', per: 'session' }),
    aRule({ id: 'premises', per: 'premises' }),
  ];
  const floor = aFloor({ athletes: 1, coaches, rules });
  expect(['block', 'session', 'premises'].map((per) => countOf(floor, per as 'block').met)).toEqual([
    false,
    false,
    true,
  ]);
});

function countOf(floor: Floor, per: 'block' | 'session' | 'premises' = 'block'): Count {
  const id = { block: 'beam', session: 'class', premises: 'gym' }[per];
  return coverOf(floor, { per, id })[0]?.counts[0] as Count;
}
