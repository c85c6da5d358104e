import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Edge, EdgeCode } from '../edges.ts';
import { fraction } from '../fraction.ts';
import { edgeSentence, type Names, nearestSentence, refusalSentence, sentence } from '../sentences.ts';
import type { Code, Duty, Finding, Refusal, Test } from '../types.ts';
import { type Language, type Texts, textsIn } from './index.ts';
import { writingIn } from './writing.ts';

const [en, de] = [textsIn('en'), textsIn('de')];

/** Every name can be told from every other, and from the words around it. */
const namesIn = (language: Language): Names => ({
  language,
  zone: 'Europe/Berlin',
  unit: ({ id }) => `<${id}>`,
  rule: (id) => `<${id}>`,
  band: (_, band) => `<${band}>`,
  person: (id) => `<${id}>`,
  station: (id) => `<${id}>`,
  area: (id) => `<${id}>`,
  kind: (id, grade) => `<${id}, ${grade}>`,
});

/** The names and the numbers of a sentence, in the order of the alphabet. */
const factsIn = (text: string): string[] => (text.match(/<[^>]*>|\d+(?: \d+\/\d+|\/\d+)?/g) ?? []).sort();

const CODES = Object.keys({
  short: 0,
  floor: 0,
  cap: 0,
  'no-band': 0,
  spotting: 0,
  supervision: 0,
  support: 0,
  'plan-withdrawn': 0,
} satisfies Record<Code, 0>) as Code[];

const amount = fc
  .tuple(fc.integer({ min: 0, max: 400 }), fc.integer({ min: 1, max: 12 }))
  .map(([n, d]) => fraction(n, d));
const heads = fc.integer({ min: 1, max: 400 }).map((n) => fraction(n, 1));
const duty = fc.constantFrom<Duty>('lead', 'assist', 'shadow', 'oversee');
const { test: aTest } = fc.letrec<{ test: Test }>((tie) => ({
  test: fc.oneof(
    { maxDepth: 3 },
    fc.record({ test: fc.constant('age' as const), atLeastYears: fc.integer({ min: 1, max: 99 }) }),
    fc.record({ test: fc.constant('older-than-athletes' as const), byYears: fc.integer({ min: 1, max: 99 }) }),
    fc.record({
      test: fc.constant('holds' as const),
      kind: fc.constantFrom('first aid', 'vault'),
      grade: fc.integer({ min: 1, max: 9 }),
    }),
    fc.record({ test: fc.constant('duty' as const), in: fc.uniqueArray(duty, { minLength: 1 }) }),
    fc.constantFrom<Test>({ test: 'not-taking-part' }, { test: 'no-own-child-here' }),
    fc.record({ test: fc.constant('supervised' as const), by: tie('test') }),
    fc.record({
      test: fc.constantFrom('all' as const, 'any' as const),
      of: fc.array(tie('test'), { maxLength: 3 }),
    }),
  ),
}));
const minutes = fc.integer({ min: 29_000_000, max: 30_000_000 });
const aSpan = fc
  .tuple(minutes, fc.integer({ min: 1, max: 300 }))
  .map(([from, more]) => ({ from: from * 60_000, to: (from + more) * 60_000 }));
const subject = fc.record({
  what: fc.constantFrom('athlete' as const, 'staff' as const, 'station' as const, 'area' as const, 'block' as const),
  id: fc.constantFrom('Ana', 'Ben', 'Kim', 'Lou'),
});

const aFinding = (code: Code): fc.Arbitrary<Finding> =>
  fc
    .record({
      span: aSpan,
      rule: fc.constantFrom('Club rule', null),
      short: amount,
      numbers: fc.record({
        load: amount,
        counted: amount,
        needed: heads,
        heads,
        most: amount,
        youngest: fc.integer({ min: 0, max: 900 }).map((n) => fraction(n, 1)),
      }),
      failed: fc.option(aTest),
      subjects: fc.array(subject, { maxLength: 5 }),
      band: fc.constantFrom('small', null),
    })
    .map(({ band, ...rest }) => ({
      ...rest,
      code,
      unit: { per: 'block', id: 'Beam' },
      strength: 'refuse',
      override: null,
      count: {
        rule: 'Club rule',
        version: 1,
        load: rest.short,
        needed: 1,
        counted: rest.short,
        band,
        people: [],
        met: false,
      },
    }));

describe('both languages tell the same names and numbers', () => {
  test.each(CODES)('of a finding: %s', (code) => {
    fc.assert(
      fc.property(aFinding(code), (finding) => {
        const [english, german] = [sentence(finding, namesIn('en')), sentence(finding, namesIn('de'))];
        expect(factsIn(german)).toEqual(factsIn(english));
        expect(factsIn(german)).toContain('<Beam>');
        expect(german).not.toBe(english);
        expect(`${english}${german}`).not.toMatch(/undefined|null|NaN|\[object/);
      }),
    );
  });

  test.each<Refusal['why']>(['two-places', 'absent', 'not-employed', 'not-qualified', 'under-age'])(
    'of a refusal: %s',
    (why) => {
      fc.assert(
        fc.property(aSpan, fc.option(aTest), (span, failed) => {
          const [english, german] = (['en', 'de'] as const).map((language) =>
            refusalSentence({ why, span, failed }, namesIn(language), 'Ana'),
          );
          expect(factsIn(german!)).toEqual(factsIn(english!));
          expect(factsIn(german!)).toContain('<Ana>');
          expect(german).not.toBe(english);
        }),
      );
    },
  );

  test('of what is missing', () => {
    const nearest = fc.array(fc.record({ person: fc.constantFrom('Ana', 'Ben'), short: amount }), { maxLength: 3 });
    fc.assert(
      fc.property(fc.constantFrom(...CODES).chain(aFinding), nearest, (finding, people) => {
        const [english, german] = (['en', 'de'] as const).map((language) =>
          nearestSentence(finding, { asked: null, nearest: people }, namesIn(language)),
        );
        expect(factsIn(german!)).toEqual(factsIn(english!));
      }),
    );
  });
});

const EDGES: Record<EdgeCode, [Edge['subject']['what'], string, string]> = {
  'day-begins': ['day', 'A day begins.', 'Ein Tag beginnt.'],
  'block-starts': ['block', '<x> starts.', '<x> beginnt.'],
  'block-ends': ['block', '<x> ends.', '<x> endet.'],
  'station-starts': ['station', '<x> has its turn.', '<x> ist an der Reihe.'],
  'station-ends': ['station', 'The turn of <x> ends.', '<x> ist nicht mehr an der Reihe.'],
  'staff-come': ['staff', '<x> takes their place.', '<x> beginnt den Einsatz.'],
  'staff-go': ['staff', '<x> leaves their place.', '<x> beendet den Einsatz.'],
  'break-starts': ['staff', '<x> has a break.', '<x> macht Pause.'],
  'break-ends': ['staff', '<x> is back from a break.', '<x> ist aus der Pause zurück.'],
  'takes-part-from': ['staff', '<x> takes part as an athlete.', '<x> turnt selbst mit.'],
  'takes-part-until': ['staff', '<x> no longer takes part as an athlete.', '<x> turnt nicht mehr selbst mit.'],
  'athlete-comes': ['athlete', '<x> comes.', '<x> kommt.'],
  'athlete-goes': ['athlete', '<x> goes.', '<x> geht.'],
  'trait-starts': ['athlete', 'What is known of <x> changes.', 'Eine Angabe ändert sich: <x>.'],
  'trait-ends': ['athlete', 'What is known of <x> changes.', 'Eine Angabe ändert sich: <x>.'],
  'override-starts': [
    'override',
    'What was accepted by name begins.',
    'Eine namentlich verantwortete Ausnahme beginnt.',
  ],
  'override-ends': ['override', 'What was accepted by name ends.', 'Eine namentlich verantwortete Ausnahme endet.'],
};

test.each(Object.entries(EDGES) as [EdgeCode, (typeof EDGES)[EdgeCode]][])(
  'an edge: %s',
  (code, [what, ...expected]) => {
    const edge: Edge = { at: 0, code, subject: { what, id: 'x' } };
    expect([edgeSentence(edge, namesIn('en')), edgeSentence(edge, namesIn('de'))]).toEqual(expected);
  },
);

const half = fraction(1, 2);
test.each<[string, (say: Texts) => string, string, string]>([
  [
    'a move',
    ({ remedies }) => remedies.move({ who: 'Ben', duty: 'assist', unit: 'Beam', span: '…' }),
    'Ben could assist at Beam, ….',
    'Beam, …: Ben könnte assistieren.',
  ],
  [
    'a swap',
    ({ remedies }) => remedies.swap({ first: 'Ana', second: 'Ben', span: '…' }),
    'Ana and Ben could change places, ….',
    'Ana und Ben könnten die Plätze tauschen, ….',
  ],
  [
    'a merging',
    ({ remedies }) => remedies.merge({ from: 'Beam', into: 'Vault' }),
    'The group of Beam could join that of Vault, with its coaches, for all of the session.',
    'Zwei Gruppen könnten mit ihren Betreuungskräften für die ganze Stunde zusammengehen: Beam zu Vault.',
  ],
  [
    'a step down',
    ({ remedies }) => remedies.stepDown({ block: 'Vault', station: 'Station 1', drill: 'Squat on' }),
    'Vault: Station 1 could step down to “Squat on”.',
    'Vault: Station 1 könnte auf die leichtere Übung „Squat on“ ausweichen.',
  ],
  [
    'fewer',
    ({ remedies }) => remedies.admitFewer({ block: 'Beam', most: 8 }),
    'Beam would be covered with 8 athletes at most.',
    'Beam: ausreichend betreut mit höchstens 8 Turnenden.',
  ],
  [
    'a first step',
    ({ remedies }) => remedies.stillShort({ short: half }),
    'It would still fall short by 1/2.',
    'Danach fehlte noch: 1/2.',
  ],
  [
    'what is missing, and who comes nearest',
    (say) =>
      say.nearest({ asked: say.holding({ kind: 'First aid' }), missing: half, people: [{ name: 'Ana', short: half }] }),
    'Nobody who could come would do: it takes somebody who holds First aid, and 1/2 is missing. Nearest: Ana (1/2 would be missing yet).',
    'Niemand, der kommen könnte, würde reichen: gefragt ist jemand, der First aid hat; es fehlt: 1/2. Am nächsten kommt: Ana (dann fehlte noch: 1/2).',
  ],
  [
    'a full class',
    ({ room }) => room.full({ className: 'Tumblers', capacity: 12, left: 1 }),
    'Tumblers takes 12 and has 1 of its places left.',
    'Tumblers hat 12 Plätze, davon noch frei: 1.',
  ],
  [
    'a moment that is past',
    (say) =>
      say.atMoment({ unit: 'Beam', athletes: 1, counted: half, bound: { rule: 'Club rule', version: 2, needed: 1 } }),
    'Beam: 1 athlete, 1/2 counted; Club rule (version 2) asked for 1.',
    'Beam: 1 turnende Person, angerechnet: 1/2; Club rule (Fassung 2) verlangte: 1.',
  ],
  [
    'why somebody does not count',
    (say) => say.countsOnlyWho({ asked: say.tests.age({ years: 18 }) }),
    'counts only somebody who is at least 18',
    'angerechnet wird nur, wer mindestens 18 Jahre alt ist',
  ],
])('%s', (_, text, english, german) => {
  expect([text(en), text(de)]).toEqual([english, german]);
});

describe('how a locale writes', () => {
  // CLDR: one, few, many and other in Polish; numbers below 10,000 are not grouped.
  test('a language with more plurals than one and many has a word for each', () => {
    const { count } = writingIn('pl');
    const coaches = { one: 'trener', few: 'trenerzy', many: 'trenerów', other: 'trenera' };
    expect([1, 3, 5, 22].map((n) => count(n, coaches))).toEqual([
      '1 trener',
      '3 trenerzy',
      '5 trenerów',
      '22 trenerzy',
    ]);
  });

  test('numbers, fractions and lists', () => {
    const [english, german] = [writingIn('en-GB'), writingIn('de-DE')];
    expect([english.number(1234), german.number(1234)]).toEqual(['1234', '1234']);
    expect([english.number(12_345), german.number(12_345)]).toEqual(['12,345', '12.345']);
    expect([fraction(0, 1), fraction(1, 2), fraction(3, 2), fraction(4, 2)].map(german.exact)).toEqual([
      '0',
      '1/2',
      '1 1/2',
      '2',
    ]);
    expect([english.and(['a', 'b', 'c']), english.or(['a', 'b']), english.and([])]).toEqual([
      'a, b and c',
      'a or b',
      '',
    ]);
    expect([german.and(['a', 'b', 'c']), german.or(['a', 'b'])]).toEqual(['a, b und c', 'a oder b']);
  });

  test('times are those of the gym’s clock, over a change of its clocks too', () => {
    const span = { from: Date.parse('2026-10-25T00:30:00Z'), to: Date.parse('2026-10-25T01:30:00Z') };
    expect(de.span(span, 'Europe/Berlin')).toBe('02:30 bis 02:30 Uhr');
    expect(en.span(span, 'Asia/Kathmandu')).toBe('06:15 to 07:15');
  });
});

describe('what will go wrong on a board', () => {
  const due = { who: 'Ana Reyes', unit: 'Beam', time: '16:20' };
  test.each([
    [
      'not-in',
      'Ana Reyes has not checked in, and is due at Beam at 16:20.',
      'Ana Reyes ist noch nicht angemeldet. Einsatz um 16:20 Uhr: Beam.',
    ],
    [
      'on-break',
      'Ana Reyes is on a break, and is due at Beam at 16:20.',
      'Ana Reyes hat Pause. Einsatz um 16:20 Uhr: Beam.',
    ],
    ['left', 'Ana Reyes has left, and is due at Beam at 16:20.', 'Ana Reyes ist gegangen. Einsatz um 16:20 Uhr: Beam.'],
  ] as const)('%s', (state, english, german) => {
    expect([en.ahead[state](due), de.ahead[state](due)]).toEqual([english, german]);
  });

  test('the last day of a screening', () => {
    const said = { who: 'Ana Reyes', unit: 'Beam', kind: 'Screening' };
    expect([en.ahead.lastDay(said), de.ahead.lastDay(said)]).toEqual([
      'Today is the last day of Screening of Ana Reyes, who is at Beam.',
      'Heute zum letzten Mal gültig: Screening von Ana Reyes, hier: Beam.',
    ]);
  });
});
