import { describe, expect, test } from 'vitest';
import {
  ANYONE,
  aBand,
  aFloor,
  aRule,
  aStation,
  at,
  atBlock,
  counting,
  holding,
  holds,
  span,
  spotted,
} from '../../tests/support/a-floor.ts';
import { admissible } from './admissible/index.ts';
import { type Names, refusalSentence, sentence, testPhrase } from './sentences.ts';
import { coverTimeline } from './timeline.ts';
import type { Floor, Refusal, Rule, Test } from './types.ts';

const called: Record<string, string> = { beam: 'Beam', class: 'Thursday class', gym: 'Northside', rule: 'Club rule' };
const name = (id: string) => called[id] ?? id;
const names: Names = {
  zone: 'Europe/London',
  unit: ({ id }) => name(id),
  rule: name,
  band: (_, band) => band,
  person: name,
  station: name,
  area: name,
  kind: (kind, grade) => (grade > 1 ? `${kind} grade ${grade}` : kind),
};
const told = (floor: Floor) =>
  coverTimeline(floor).flatMap(({ findings }) => findings.map((finding) => sentence(finding, names)));
const children = (n: number, years: number) => Array.from({ length: n }, () => ({ years }));
const underFive = aRule({ bands: [aBand('under 5', 0, 5, 8), aBand('older', 5, null, 10)] });
const posts = (people: number, who: Test): Rule =>
  aRule({ bands: [], floors: [{ fromAthletes: 1, toAthletes: null, posts: [{ people, who }] }] });

describe('findings in plain English', () => {
  test.each<[string, Floor, string]>([
    [
      'too few coaches',
      aFloor({ athletes: [...children(1, 4), ...children(8, 9)], coaches: 1, rules: [underFive] }),
      'Beam, 16:00 to 16:20: 9 athletes with the youngest aged 4 need 2 coaches (Club rule, under 5 at most 8); 1 counts.',
    ],
    [
      'nobody counts, and the youngest is a baby',
      aFloor({ athletes: [{ months: 9 }], rules: [underFive] }),
      'Beam, 16:00 to 16:20: 1 athlete with the youngest aged 9 months needs 1 coach (Club rule, under 5 at most 8); nobody counts.',
    ],
    [
      'each band has its own say, and an age is unknown',
      aFloor({
        athletes: [{ born: null }, ...children(8, 9)],
        coaches: [{ duty: 'assist' }],
        rules: [aRule({ mixed: { method: 'proportional' }, counts: [counting(ANYONE, '1/2')] })],
      }),
      'Beam, 16:00 to 16:20: 9 athletes need 2 coaches (Club rule); 1/2 count.',
    ],
    [
      'short by less than rounding shows',
      aFloor({
        athletes: 25,
        coaches: [{}, { duty: 'assist' }],
        rules: [
          aRule({
            bands: [aBand('any age', null, null, 16)],
            counts: [counting({ test: 'duty', in: ['lead'] }), counting(ANYONE, '1/2')],
          }),
        ],
      }),
      'Beam, 16:00 to 16:20: 25 athletes with the youngest aged 9 need 2 coaches (Club rule, any age at most 16); 1 1/2 count, and the exact load is 1 9/16.',
    ],
    [
      'a post is open',
      aFloor({ athletes: 3, coaches: 1, rules: [posts(1, holds('first aid'))] }),
      'Beam, 16:00 to 16:20: 3 athletes need 1 person at named posts (Club rule); 0 can be filled, and the open one takes somebody who holds first aid, valid for the whole block.',
    ],
    [
      'too many in a group',
      aFloor({ athletes: 9, coaches: 2, rules: [aRule({ caps: [{ max: 8, of: 'group', bands: null }] })] }),
      'Beam, 16:00 to 16:20: 9 athletes where at most 8 may be (Club rule).',
    ],
    [
      'too many on apparatus',
      aFloor({
        athletes: 9,
        coaches: 2,
        stations: [aStation('Low bar')],
        rules: [aRule({ caps: [{ max: 8, of: 'apparatus', bands: null }] })],
      }),
      'Beam, 16:00 to 16:20: 9 athletes where at most 8 may be (Club rule) at Low bar.',
    ],
    [
      'of no band',
      aFloor({
        athletes: [{ person: 'Kim', years: 9 }, { person: 'Lou', years: 8 }, ...children(1, 4)],
        coaches: 1,
        rules: [aRule({ bands: [aBand('small', 0, 5, 8)] })],
      }),
      'Beam, 16:00 to 16:20: Kim and Lou are of no age or kind that the rule allows (Club rule).',
    ],
    [
      'nobody can spot',
      aFloor({ athletes: 1, coaches: 1, stations: [aStation('Vault', spotted())] }),
      'Beam, 16:00 to 16:20: Vault needs a qualified spotter; nobody there is qualified.',
    ],
    [
      'one spotter for two stations',
      aFloor({
        athletes: 1,
        coaches: [{ person: 'Ana', holds: holding('spotter') }, {}],
        stations: [aStation('Vault', spotted()), aStation('High bar', spotted())],
      }),
      'Beam, 16:00 to 16:20: High bar and Vault need different qualified spotters; only Ana is qualified (2 needed).',
    ],
    [
      'a trainee on their own',
      aFloor({
        athletes: 1,
        coaches: [{ person: 'Ben', holds: holding('trainee') }],
        rules: [
          aRule({
            bands: [],
            supervision: [{ supervisor: holds('certified'), anyOf: [[{ who: holds('trainee'), max: 2 }]] }],
          }),
        ],
      }),
      'Beam, 16:00 to 16:20: Ben has no supervisor in sight with room for them (Club rule); a supervisor holds certified, valid for the whole block.',
    ],
    [
      'a child without their helper',
      aFloor({ athletes: [{ person: 'Kim', support: { anyOf: [] } }], coaches: 1 }),
      'Beam, 16:00 to 16:20: Kim has no one-to-one helper there.',
    ],
    [
      'a withdrawn plan',
      aFloor({ planWithdrawn: true }),
      'Beam, 16:00 to 16:20: its lesson plan was withdrawn for safety; take the newer plan.',
    ],
  ])('%s', (_, floor, expected) => {
    expect(told(floor)).toEqual([expected]);
  });

  test('times are told in the zone of the gym', () => {
    const floor = aFloor({ planWithdrawn: true });
    const [finding] = coverTimeline(floor).flatMap(({ findings }) => findings);
    expect(sentence(finding!, { ...names, zone: 'Asia/Tokyo' })).toMatch(/^Beam, 01:00 to 01:20:/);
  });
});

describe('refusals in plain English', () => {
  const refused = (spec: object, more: Partial<Floor> = {}): Refusal =>
    admissible(
      aFloor({ coaches: [{ person: 'Ana', at: [], ...spec }], ...more }),
      'Ana',
      at(atBlock('beam'), 'lead'),
    )[0] as Refusal;
  const duties: Floor['duties'] = [
    { duty: 'lead', who: { test: 'all', of: [{ test: 'age', atLeastYears: 18 }, holds('vault', 2)] } },
  ];

  test.each<[Refusal, string]>([
    [refused({ elsewhere: [span('15:00-16:05')] }), 'Ana is already in another place from 16:00 to 16:05.'],
    [refused({ absent: [span('15:00-17:00')] }), 'Ana is recorded as away from 16:00 to 16:20.'],
    [refused({ employed: [] }), 'Ana is not employed here on that day (16:00 to 16:20).'],
    [
      refused({ years: 15, holds: holding('vault', 2) }, { duties }),
      'Ana is too young for that duty: the duty asks for somebody who is at least 18.',
    ],
    [
      refused({}, { duties }),
      'Ana is not qualified for that duty from 16:00 to 16:20: the duty asks for somebody who holds vault grade 2, valid for the whole block.',
    ],
  ])('%#: %s', (refusal, expected) => {
    expect(refusalSentence(refusal, names, 'Ana')).toBe(expected);
  });

  test('without a name', () => {
    expect(refusalSentence(refused({ employed: [] }), names)).toMatch(/^This person is not employed/);
  });
});

test.each<[Test, string]>([
  [ANYONE, 'is there'],
  [{ test: 'any', of: [] }, 'can never be found'],
  [{ test: 'older-than-athletes', byYears: 2 }, 'is at least 2 years older than every athlete there'],
  [{ test: 'duty', in: ['lead', 'assist'] }, 'leads or assists there'],
  [{ test: 'not-taking-part' }, 'is not taking part'],
  [{ test: 'no-own-child-here' }, 'has no child of their own there'],
  [{ test: 'supervised', by: { test: 'duty', in: ['lead'] } }, 'is in sight of somebody who leads there'],
])('a test to follow "somebody who": %#', (asked, expected) => {
  expect(testPhrase(asked, names)).toBe(expected);
});
