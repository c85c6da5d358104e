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
  language: 'en',
  zone: 'Europe/London',
  unit: ({ id }) => name(id),
  rule: name,
  band: (_, band) => band,
  person: name,
  station: name,
  area: name,
  kind: (kind, grade) => (grade > 1 ? `${kind} grade ${grade}` : kind),
};
const inGerman: Names = { ...names, language: 'de' };
const told = (floor: Floor, by: Names) =>
  coverTimeline(floor).flatMap(({ findings }) => findings.map((finding) => sentence(finding, by)));
const children = (n: number, years: number) => Array.from({ length: n }, () => ({ years }));
const underFive = aRule({ bands: [aBand('under 5', 0, 5, 8), aBand('older', 5, null, 10)] });
const posts = (people: number, who: Test): Rule =>
  aRule({ bands: [], floors: [{ fromAthletes: 1, toAthletes: null, posts: [{ people, who }] }] });

describe('findings in plain words', () => {
  test.each<[string, Floor, string, string]>([
    [
      'too few coaches',
      aFloor({ athletes: [...children(1, 4), ...children(8, 9)], coaches: 1, rules: [underFive] }),
      'Beam, 16:00 to 16:20: 9 athletes with the youngest aged 4 need 2 coaches (Club rule, under 5 at most 8); 1 counts.',
      'Beam, 16:00 bis 16:20 Uhr: 9 Turnende (jüngstes Alter: 4 Jahre) brauchen 2 Betreuungskräfte (Club rule, under 5 höchstens 8); angerechnet: 1.',
    ],
    [
      'nobody counts, and the youngest is a baby',
      aFloor({ athletes: [{ months: 9 }], rules: [underFive] }),
      'Beam, 16:00 to 16:20: 1 athlete with the youngest aged 9 months needs 1 coach (Club rule, under 5 at most 8); nobody counts.',
      'Beam, 16:00 bis 16:20 Uhr: 1 turnende Person (jüngstes Alter: 9 Monate) braucht 1 Betreuungskraft (Club rule, under 5 höchstens 8); angerechnet wird niemand.',
    ],
    [
      'each band has its own say, and an age is unknown',
      aFloor({
        athletes: [{ born: null }, ...children(8, 9)],
        coaches: [{ duty: 'assist' }],
        rules: [aRule({ mixed: { method: 'proportional' }, counts: [counting(ANYONE, '1/2')] })],
      }),
      'Beam, 16:00 to 16:20: 9 athletes need 2 coaches (Club rule); 1/2 count.',
      'Beam, 16:00 bis 16:20 Uhr: 9 Turnende brauchen 2 Betreuungskräfte (Club rule); angerechnet: 1/2.',
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
      'Beam, 16:00 bis 16:20 Uhr: 25 Turnende (jüngstes Alter: 9 Jahre) brauchen 2 Betreuungskräfte (Club rule, any age höchstens 16); angerechnet: 1 1/2, genau gerechnet nötig: 1 9/16.',
    ],
    [
      'a post is open',
      aFloor({ athletes: 3, coaches: 1, rules: [posts(1, holds('first aid'))] }),
      'Beam, 16:00 to 16:20: 3 athletes need 1 person at named posts (Club rule); 0 can be filled, and the open one takes somebody who holds first aid, valid for the whole block.',
      'Beam, 16:00 bis 16:20 Uhr: 3 Turnende brauchen 1 Person auf festgelegten Posten (Club rule); besetzbar: 0, und für den offenen Posten fehlt jemand, der first aid hat, gültig für den ganzen Block.',
    ],
    [
      'too many in a group',
      aFloor({ athletes: 9, coaches: 2, rules: [aRule({ caps: [{ max: 8, of: 'group', bands: null }] })] }),
      'Beam, 16:00 to 16:20: 9 athletes where at most 8 may be (Club rule).',
      'Beam, 16:00 bis 16:20 Uhr: 9 Turnende, erlaubt: höchstens 8 (Club rule).',
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
      'Beam, 16:00 bis 16:20 Uhr: 9 Turnende, erlaubt: höchstens 8 (Club rule), betrifft: Low bar.',
    ],
    [
      'of no band',
      aFloor({
        athletes: [{ person: 'Kim', years: 9 }, { person: 'Lou', years: 8 }, ...children(1, 4)],
        coaches: 1,
        rules: [aRule({ bands: [aBand('small', 0, 5, 8)] })],
      }),
      'Beam, 16:00 to 16:20: Kim and Lou are of no age or kind that the rule allows (Club rule).',
      'Beam, 16:00 bis 16:20 Uhr: Kim und Lou sind nach Alter oder Einstufung von der Regel nicht zugelassen (Club rule).',
    ],
    [
      'nobody can spot',
      aFloor({ athletes: 1, coaches: 1, stations: [aStation('Vault', spotted())] }),
      'Beam, 16:00 to 16:20: Vault needs a qualified spotter; nobody there is qualified.',
      'Beam, 16:00 bis 16:20 Uhr: Vault braucht eine qualifizierte Hilfestellung; dort ist niemand dafür qualifiziert.',
    ],
    [
      'one spotter for two stations',
      aFloor({
        athletes: 1,
        coaches: [{ person: 'Ana', holds: holding('spotter') }, {}],
        stations: [aStation('Vault', spotted()), aStation('High bar', spotted())],
      }),
      'Beam, 16:00 to 16:20: High bar and Vault need different qualified spotters; only Ana is qualified (2 needed).',
      'Beam, 16:00 bis 16:20 Uhr: High bar und Vault brauchen je eine eigene qualifizierte Hilfestellung; dafür qualifiziert ist nur Ana (nötig: 2).',
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
      'Beam, 16:00 bis 16:20 Uhr: Ben hat keine Aufsicht in Sichtweite, die noch jemanden übernehmen kann (Club rule); Aufsicht führen kann, wer certified hat, gültig für den ganzen Block.',
    ],
    [
      'a child without their helper',
      aFloor({ athletes: [{ person: 'Kim', support: { anyOf: [] } }], coaches: 1 }),
      'Beam, 16:00 to 16:20: Kim has no one-to-one helper there.',
      'Beam, 16:00 bis 16:20 Uhr: Kim hat dort keine Einzelbetreuung.',
    ],
    [
      'a withdrawn plan',
      aFloor({ planWithdrawn: true }),
      'Beam, 16:00 to 16:20: its lesson plan was withdrawn for safety; take the newer plan.',
      'Beam, 16:00 bis 16:20 Uhr: der Unterrichtsplan wurde aus Sicherheitsgründen zurückgezogen; bitte den neueren Plan nehmen.',
    ],
  ])('%s', (_, floor, english, german) => {
    expect(told(floor, names)).toEqual([english]);
    expect(told(floor, inGerman)).toEqual([german]);
  });

  test('times are told in the zone of the gym', () => {
    const floor = aFloor({ planWithdrawn: true });
    const [finding] = coverTimeline(floor).flatMap(({ findings }) => findings);
    expect(sentence(finding!, { ...names, zone: 'Asia/Tokyo' })).toMatch(/^Beam, 01:00 to 01:20:/);
  });
});

describe('refusals in plain words', () => {
  const refused = (spec: object, more: Partial<Floor> = {}): Refusal =>
    admissible(
      aFloor({ coaches: [{ person: 'Ana', at: [], ...spec }], ...more }),
      'Ana',
      at(atBlock('beam'), 'lead'),
    )[0] as Refusal;
  const duties: Floor['duties'] = [
    { duty: 'lead', who: { test: 'all', of: [{ test: 'age', atLeastYears: 18 }, holds('vault', 2)] } },
  ];

  test.each<[Refusal, string, string]>([
    [
      refused({ elsewhere: [span('15:00-16:05')] }),
      'Ana is already in another place from 16:00 to 16:05.',
      'Ana ist von 16:00 bis 16:05 Uhr schon anderswo eingeteilt.',
    ],
    [
      refused({ absent: [span('15:00-17:00')] }),
      'Ana is recorded as away from 16:00 to 16:20.',
      'Ana ist von 16:00 bis 16:20 Uhr als abwesend eingetragen.',
    ],
    [
      refused({ employed: [] }),
      'Ana is not employed here on that day (16:00 to 16:20).',
      'Ana ist an diesem Tag hier nicht angestellt (16:00 bis 16:20 Uhr).',
    ],
    [
      refused({ years: 15, holds: holding('vault', 2) }, { duties }),
      'Ana is too young for that duty: the duty asks for somebody who is at least 18.',
      'Ana ist für diese Aufgabe zu jung: gefragt ist jemand, der mindestens 18 Jahre alt ist.',
    ],
    [
      refused({}, { duties }),
      'Ana is not qualified for that duty from 16:00 to 16:20: the duty asks for somebody who holds vault grade 2, valid for the whole block.',
      'Ana ist von 16:00 bis 16:20 Uhr für diese Aufgabe nicht qualifiziert: gefragt ist jemand, der vault grade 2 hat, gültig für den ganzen Block.',
    ],
  ])('%#: %s', (refusal, english, german) => {
    expect(refusalSentence(refusal, names, 'Ana')).toBe(english);
    expect(refusalSentence(refusal, inGerman, 'Ana')).toBe(german);
  });

  test('without a name', () => {
    expect(refusalSentence(refused({ employed: [] }), names)).toMatch(/^This person is not employed/);
    expect(refusalSentence(refused({ employed: [] }), inGerman)).toMatch(/^Diese Person ist an diesem Tag/);
  });
});

const LEADS: Test = { test: 'duty', in: ['lead'] };
test.each<[Test, string, string]>([
  [ANYONE, 'is there', 'da ist'],
  [{ test: 'any', of: [] }, 'can never be found', 'nie zu finden ist'],
  [{ test: 'age', atLeastYears: 16 }, 'is at least 16', 'mindestens 16 Jahre alt ist'],
  [
    { test: 'older-than-athletes', byYears: 1 },
    'is at least 1 year older than every athlete there',
    'mindestens 1 Jahr älter ist als alle Turnenden dort',
  ],
  [
    { test: 'older-than-athletes', byYears: 2 },
    'is at least 2 years older than every athlete there',
    'mindestens 2 Jahre älter ist als alle Turnenden dort',
  ],
  [{ test: 'duty', in: ['lead', 'assist'] }, 'leads or assists there', 'dort leitet oder assistiert'],
  [{ test: 'duty', in: ['shadow', 'oversee'] }, 'shadows or oversees there', 'dort hospitiert oder Aufsicht führt'],
  [{ test: 'not-taking-part' }, 'is not taking part', 'nicht selbst mitturnt'],
  [{ test: 'no-own-child-here' }, 'has no child of their own there', 'dort kein eigenes Kind hat'],
  [
    { test: 'supervised', by: LEADS },
    'is in sight of somebody who leads there',
    'in Sichtweite von jemandem ist, der dort leitet',
  ],
  [
    { test: 'all', of: [LEADS, { test: 'not-taking-part' }, { test: 'no-own-child-here' }] },
    'leads there, is not taking part and has no child of their own there',
    'dort leitet, nicht selbst mitturnt und dort kein eigenes Kind hat',
  ],
])('a test to follow "somebody who": %#', (asked, english, german) => {
  expect(testPhrase(asked, names)).toBe(english);
  expect(testPhrase(asked, inGerman)).toBe(german);
});
