/**
 * Made-up floors for properties: a few minutes of one day, up to three blocks in two sessions, up to eight athletes
 * whose ages sit at the edges of bands, up to five staff, up to three rules of any shape that a rule can have.
 * Everybody is in one place at a time, as the schedule guarantees; ids are short, so that a counter-example reads.
 */
import fc from 'fast-check';
import type {
  Athlete,
  Block,
  Day,
  Duty,
  Floor,
  Id,
  Override,
  Place,
  Rule,
  Span,
  Spotting,
  Staff,
  Station,
  Unit,
} from '../../src/cover/types.ts';
import { pick, ratio, ruleOn, seldom, some } from './arbitrary-rule.ts';

export const MINUTE = 60_000;
const LENGTH = 6; // minutes
const GYM = 'gym';
const SESSIONS = ['s1', 's2'];
const ATHLETES = ['c1', 'c2', 'c3', 'c4', 'c5', 'c6', 'c7', 'c8'];
const STAFF = ['t1', 't2', 't3', 't4', 't5'];

const DAYS: Day[] = ['2026-03-12', '2027-02-28', '2027-03-01', '2028-02-29'];
const ZONES = ['UTC', 'America/Vancouver', 'Asia/Tokyo'];
/** Ten in the morning of Greenwich is the same date in all three zones. */
const startOf = (day: Day): number => Date.parse(`${day}T10:00:00Z`);

function spanWithin({ from, to }: Span): fc.Arbitrary<Span> {
  const minutes = (to - from) / MINUTE;
  return fc
    .tuple(fc.nat({ max: minutes - 1 }), fc.nat({ max: minutes - 1 }))
    .map(([a, b]) => ({ from: from + Math.min(a, b) * MINUTE, to: from + (Math.max(a, b) + 1) * MINUTE }));
}
const mostly = (span: Span): fc.Arbitrary<Span> => seldom(span, spanWithin(span));

/** Born so many months before the day, give or take a little; sometimes on a 29th, 30th or 31st. */
function bornAround(day: Day, months: number[]): fc.Arbitrary<Day> {
  return fc.tuple(pick(...months), pick(-1, 0, 0, 1, 40, 200)).map(([age, days]) => {
    const date = new Date(`${day}T00:00:00Z`);
    date.setUTCMonth(date.getUTCMonth() - age);
    date.setUTCDate(date.getUTCDate() - days);
    return date.toISOString().slice(0, 10);
  });
}

const spotting: fc.Arbitrary<Spotting> = fc.oneof(
  fc.constant({ mode: 'none' as const }),
  fc.record({
    mode: pick('hands-on', 'stand-by', 'hands-on'),
    kind: pick('coach', 'coach', 'aid'),
    grade: pick(1, 1, 2),
    skills: seldom<{ skill: Id; level: 'watched' | 'helped' | 'alone' }[]>(
      [],
      fc.record({ skill: fc.constant('k1'), level: pick('watched', 'helped', 'alone') }).map((one) => [one]),
    ),
  }),
);

function blockOn(over: Span, id: Id, n: number): fc.Arbitrary<Block> {
  return mostly(over).chain((span) =>
    fc.record({
      id: fc.constant(id),
      session: pick(...SESSIONS),
      group: fc.constant(`g${n}`),
      areas: seldom(['a1'], some(['a1', 'a2'], 1)),
      span: fc.constant(span),
      programmes: seldom(['p1'], some(['p1', 'p2'], 1)),
      levels: some(['l1', 'l2'], 1),
      activity: seldom('class', fc.constant('party')),
      stations: fc.nat({ max: 3 }).chain((count) =>
        fc.tuple(
          ...Array.from({ length: count }, (_, i) =>
            fc.record<Station>({
              id: fc.constant(`${id}-x${i + 1}`),
              apparatus: pick('beam', 'vault'),
              items: pick(1, 2),
              span: mostly(span),
              spotting,
              easier: fc.constant<Station['easier']>([]),
            }),
          ),
        ),
      ),
      confirmed: seldom(true, fc.constant(false)),
      planWithdrawn: fc.integer({ min: 0, max: 11 }).map((n) => n === 0),
    }),
  );
}

/** One or two places, one after the other. */
function placesOf<T>(
  blocks: Block[],
  elsewhere: Unit[],
  over: Span,
  at: (unit: Unit, span: Span) => fc.Arbitrary<T>,
): fc.Arbitrary<T[]> {
  const units = [...blocks.map((block): Unit => ({ per: 'block', id: block.id })), ...elsewhere];
  const spanOf = (unit: Unit): Span =>
    blocks.find((block) => unit.per === 'block' && block.id === unit.id)?.span ?? over;
  return fc.tuple(pick(...units), seldom<Unit | null>(null, pick(...units))).chain(([first, second]) =>
    mostly(spanOf(first)).chain((span): fc.Arbitrary<T[]> => {
      const rest = second && { from: Math.max(span.to, spanOf(second).from), to: spanOf(second).to };
      return second && rest && rest.from < rest.to
        ? fc.tuple(at(first, span), at(second, rest))
        : fc.tuple(at(first, span));
    }),
  );
}

/** Drawn for each place and each enrolment: nobody has to be the same in two classes. */
const category = seldom<string | null>(null, pick('beginner', 'squad'));

function athleteOn(day: Day, over: Span, blocks: Block[], person: Id): fc.Arbitrary<Athlete> {
  return fc.record({
    person: fc.constant(person),
    born: fc.oneof({ weight: 12, arbitrary: bornAround(day, [24, 36, 48, 60, 108, 144]) }, fc.constant(null)),
    family: seldom<Id | null>(null, pick('f1', 'f2')),
    traits: seldom<Athlete['traits']>(
      [],
      seldom<Span[] | null>(
        null,
        spanWithin(over).map((span) => [span]),
      ).map((spans) => [{ trait: 'accompanied', spans }]),
    ),
    countsAs: seldom(ratio(1), pick(ratio(2), ratio(3, 2), ratio(1, 2))),
    support: fc.oneof(
      { weight: 8, arbitrary: fc.constant(null) },
      { weight: 1, arbitrary: some(STAFF).map((anyOf) => ({ anyOf })) },
    ),
    at: placesOf(blocks, [{ per: 'premises', id: GYM }], over, (unit, span) =>
      (unit.per === 'premises' ? fc.constant(null) : category).map((as) => ({ unit, span, category: as })),
    ),
    enrolled: some(blocks.map((block) => block.id)).chain((ids) =>
      fc.tuple(...ids.map((block) => category.map((as) => ({ block, category: as })))),
    ),
  });
}

function dutyAt(unit: Unit): fc.Arbitrary<Duty> {
  return unit.per === 'session' ? fc.constant('oversee') : pick<Duty>('lead', 'lead', 'assist', 'shadow');
}

function staffOn(day: Day, over: Span, blocks: Block[], person: Id): fc.Arbitrary<Staff> {
  const dated = pick<{ from: Day; to: Day | null }>(
    { from: '2020-01-01', to: null },
    { from: '2020-01-01', to: null },
    { from: day, to: null },
    { from: '2020-01-01', to: day },
  );
  const sessions = [...new Set(blocks.map((block) => block.session))];
  const standing: Unit[] = [...sessions.map((id): Unit => ({ per: 'session', id })), { per: 'premises', id: GYM }];
  // Nobody sends a minor to watch over a session or the whole hall.
  const grown: fc.Arbitrary<[Day, Unit[]]> = fc.tuple(bornAround(day, [240, 480]), fc.constant(standing));
  const young: fc.Arbitrary<[Day, Unit[]]> = fc.tuple(
    bornAround(day, [13 * 12, 15 * 12, 16 * 12, 18 * 12]),
    fc.constant([]),
  );
  return fc.oneof(grown, young).chain(([born, places]) =>
    fc.record({
      person: fc.constant(person),
      born: fc.constant(born),
      takingPart: seldom<Span[]>(
        [],
        spanWithin(over).map((span) => [span]),
      ),
      ownChildren: seldom<Id[]>(
        [],
        pick(...ATHLETES).map((id) => [id]),
      ),
      employed: fc.constant<Staff['employed']>([{ from: '2020-01-01', to: null }]),
      elsewhere: fc.constant<Span[]>([]),
      absent: fc.constant<Span[]>([]),
      at: placesOf<Place>([...blocks, ...blocks], places, over, (unit, span) =>
        dutyAt(unit).map((duty) => ({ unit, duty, span })),
      ),
      holds: fc
        .array(fc.tuple(pick('coach', 'coach', 'aid', 'trainee', 'trainee'), pick(1, 2, 3), dated), { maxLength: 3 })
        .map((list) => list.map(([kind, grade, days]) => ({ kind, grade, ...days }))),
      signedOff: fc
        .array(fc.tuple(pick('watched', 'helped', 'alone'), dated), { maxLength: 1 })
        .map((list) => list.map(([level, days]) => ({ skill: 'k1', level, ...days }))),
    }),
  );
}

function overrideOn(over: Span, blocks: Block[], rules: Rule[], id: Id): fc.Arbitrary<Override> {
  const units: Unit[] = [
    ...blocks.map((block): Unit => ({ per: 'block', id: block.id })),
    ...SESSIONS.map((session): Unit => ({ per: 'session', id: session })),
    { per: 'premises', id: GYM },
  ];
  const ofRule = fc.record({
    code: pick('short', 'floor', 'cap', 'no-band', 'supervision'),
    rule: pick<Id | null>(...rules.map((one) => one.id)),
  });
  const ofBlock = fc.record({ code: pick('spotting', 'support', 'plan-withdrawn'), rule: fc.constant(null) });
  const everything = [
    ...blocks.flatMap((block) => [block.id, ...block.areas, ...block.stations.map((one) => one.id)]),
    ...ATHLETES,
    ...STAFF,
  ];
  return fc
    .tuple(
      fc.oneof(ofRule, ofBlock),
      pick(...units),
      mostly(over),
      pick(ratio(1, 2), ratio(1), ratio(8)),
      seldom<Id[]>(everything, fc.constant<Id[]>([])),
    )
    .map(([what, unit, span, short, subjects]) => ({ id, unit, span, ...what, subjects, short }));
}

const numbered = <T>(
  prefix: string,
  most: number,
  least: number,
  make: (id: Id, n: number) => fc.Arbitrary<T>,
): fc.Arbitrary<T[]> =>
  fc
    .integer({ min: least, max: most })
    .chain((count) => fc.tuple(...Array.from({ length: count }, (_, i) => make(`${prefix}${i + 1}`, i + 1))));

export const arbitraryFloor: fc.Arbitrary<Floor> = fc.tuple(pick(...DAYS), pick(...ZONES)).chain(([day, zone]) => {
  const over = { from: startOf(day), to: startOf(day) + LENGTH * MINUTE };
  return fc
    .tuple(
      numbered('b', 3, 1, (id, n) => blockOn(over, id, n)),
      numbered('r', 3, 1, (id) => ruleOn(day, id)),
    )
    .chain(([blocks, rules]) =>
      fc.record({
        gym: fc.constant(GYM),
        zone: fc.constant(zone),
        leapDay: pick('03-01', '02-28'),
        over: fc.constant(over),
        blocks: fc.constant(blocks),
        athletes: numbered('c', 8, 0, (id) => athleteOn(day, over, blocks, id)),
        staff: numbered('t', 5, 0, (id) => staffOn(day, over, blocks, id)),
        rules: fc.constant(rules),
        overrides: numbered('o', 2, 0, (id) => overrideOn(over, blocks, rules, id)),
        duties: fc.constant([]),
      }),
    );
});
