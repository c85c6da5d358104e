/** Who counts, caps and dates as published: rows of `tests/reference/ratio-standards.json` that are not a number per adult. */
import { describe, expect, test } from 'vitest';
import { aFloor, aStation, atBlock, holding } from '../../../tests/support/a-floor.ts';
import { adopted, bgClass } from '../../../tests/support/adopted.ts';
import { ceilOf, fraction } from '../fraction.ts';
import { coverOf, coverTimeline } from '../timeline.ts';
import { ruleSet } from './index.ts';

const times = <T>(n: number, one: T): T[] => Array.from({ length: n }, () => one);

describe('who counts', () => {
  const counted = (id: string, coach: object) => {
    const rules = adopted(id).filter(({ bands }) => bands.length > 0);
    const floor = aFloor({ athletes: [{ years: 4, person: 'kim' }], coaches: [coach], rules });
    const counts = coverTimeline(floor).flatMap((cover) => cover.counts);
    return counts.flatMap(({ people }) => people.map(({ share }) => share.n > 0n));
  };

  test.each<[string, string, object, boolean]>([
    ['only people of 18 or over (NSPCC Learning)', 'nspcc-cpsu', { years: 18 }, true],
    ['not at 17 (NSPCC Learning)', 'nspcc-cpsu', { years: 17 }, false],
    ['not a parent with their own child (NSPCC Learning)', 'nspcc-cpsu', { ownChildren: ['kim'] }, false],
    [
      'unless recruited, checked and trained (NSPCC Learning)',
      'nspcc-cpsu',
      { ownChildren: ['kim'], holds: holding('screened') },
      true,
    ],
    ['from 17 (Ofsted early years blog)', 'eyfs-2023', { years: 17 }, true],
    ['not at 16 (Ofsted early years blog)', 'eyfs-2023', { years: 16 }, false],
    [
      'a competent apprentice at 16 (Ofsted early years blog)',
      'eyfs-2023',
      { years: 16, holds: holding('apprentice') },
      true,
    ],
    ['a volunteer is not counted (Gymnastics BC)', 'gymbc-rec', {}, false],
    ['a certified coach is (Gymnastics BC)', 'gymbc-rec', { holds: holding('certified-coach') }, true],
    ['16 and over may help but never count (Mississippi)', 'mississippi-camp', { years: 16 }, false],
    ['under 16 never (American Camp Association, from memory)', 'aca-day', { years: 15 }, false],
  ])('%s', (_, id, coach, counts) => {
    expect(counted(id, coach)).toEqual([counts]);
  });

  test('17 is enough among four adults, and not alone (American Camp Association, from memory)', () => {
    const shares = (adults: number) => {
      const coaches = [...times(adults, {}), { years: 17 }];
      const [cover] = coverOf(
        aFloor({ athletes: [{ years: 9 }], coaches, rules: adopted('aca-day') }),
        atBlock('beam'),
      );
      return ceilOf(cover!.counts[0]!.counted);
    };
    expect([shares(0), shares(3), shares(4)]).toEqual([0, 3, 5]);
  });

  test('a helper less than two years older than a camper (American Camp Association, from memory)', () => {
    const floor = aFloor({ athletes: [{ years: 18 }], coaches: [{ years: 19 }], rules: adopted('aca-day') });
    expect(coverOf(floor, atBlock('beam'))[0]?.counts[0]?.people[0]?.why).toEqual({
      test: 'older-than-athletes',
      byYears: 2,
    });
  });
});

describe('ten to a bed (Birmingham City Council)', () => {
  test.each([
    [10, 1, true],
    [11, 1, false],
    [20, 2, true],
  ])('%i pupils on %i beds', (athletes, items, covered) => {
    const stations = [aStation('bed', { mode: 'none' }, { items })];
    const [cover] = coverOf(aFloor({ athletes, stations, rules: adopted('birmingham-trampoline') }), atBlock('beam'));
    expect(cover?.covered).toBe(covered);
  });
});

describe('eight on one apparatus (British Gymnastics)', () => {
  test.each([
    [2, false],
    [3, true],
  ])('24 athletes with %i stations open', (open, covered) => {
    const stations = Array.from({ length: open }, (_, i) => aStation(`s${i}`));
    const [cover] = coverOf(aFloor({ ...bgClass(24, 2), stations, rules: adopted('bg-general') }), atBlock('beam'));
    expect(cover?.covered).toBe(covered);
  });
});

describe('families, adults and school dates', () => {
  test('nine siblings under four with their adults are one family of eight (Sport Wales)', () => {
    const athletes = times(9, { years: 3, family: 'ash', traits: [{ trait: 'accompanied', spans: null }] });
    const [cover] = coverOf(
      aFloor({ athletes, coaches: 1, rules: adopted('sport-wales-multisport') }),
      atBlock('beam'),
    );
    expect(cover?.counts[0]?.load).toEqual(fraction(1, 8));
  });

  test('the ratio ends on 1 September after the fifth birthday (EYFS)', () => {
    const codes = (born: string) => {
      const floor = aFloor({ athletes: [{ born }], coaches: 1, rules: adopted('eyfs-2023') });
      return coverTimeline(floor).flatMap(({ findings }) => findings.map(({ code }) => code));
    };
    expect([codes('2020-09-01'), codes('2020-08-31')]).toEqual([[], ['no-band']]);
  });

  test('an infant governs a majority of five-year-olds (Caring for Our Children, from memory)', () => {
    const floor = aFloor({ athletes: [{ months: 20 }, ...times(5, { years: 5 })], rules: adopted('cfoc-center') });
    expect(coverOf(floor, atBlock('beam'))[0]?.counts[0]).toMatchObject({
      band: '13 to 35 months',
      load: fraction(3, 2),
    });
  });
});

describe('adopting', () => {
  test('a standard that nobody knows', () => {
    expect(() => adopted('no-such')).toThrow(/no standard "no-such"; there are nspcc-cpsu, /);
  });
  test('a kind that is not bound', () => {
    expect(() => ruleSet('bg-general', { inForceFrom: '2020-01-01' })).toThrow(/lead-coach \(suitably qualified/);
  });
  test('a scope for a part that the standard does not have', () => {
    expect(() => adopted('gymbc-party', { scopes: { wedding: {} } })).toThrow(
      /no part wedding: its parts are party, school/,
    );
  });
  test('each part has its own scope, and its own id where wanted', () => {
    const rules = adopted('gymbc-party', {
      scopes: { party: { programme: ['party'] } },
      scope: { programme: ['school'] },
      id: (part) => `mine-${part}`,
    });
    expect(rules.map(({ id, scope }) => [id, scope])).toEqual([
      ['mine-party', { programme: ['party'] }],
      ['mine-school', { programme: ['school'] }],
    ]);
  });
});
