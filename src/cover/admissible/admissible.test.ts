import { describe, expect, test } from 'vitest';
import { aFloor, at, atBlock, holding, holds, overseeing, span } from '../../../tests/support/a-floor.ts';
import type { Floor, Place, Test } from '../types.ts';
import { admissible } from './index.ts';

const BEAM = at(atBlock('beam'), 'lead');
const lead: Test = { test: 'all', of: [{ test: 'age', atLeastYears: 18 }, holds('lead-coach')] };
const duties: Floor['duties'] = [{ duty: 'lead', who: lead }];
type Coach = Exclude<NonNullable<Parameters<typeof aFloor>[0]>['coaches'], number | undefined>[number];
const asked = (coach: Coach, more: Partial<Floor> = {}, place: Place = BEAM) =>
  admissible(aFloor({ coaches: [{ at: [], ...coach }], ...more }), 'coach-00', place);
const why = (...args: Parameters<typeof asked>) => asked(...args).map((refusal) => refusal.why);

describe('admissible', () => {
  test.each<[string, string[], string[]]>([
    ['nothing in the way', why({}), []],
    ['already in that very place', why({ at: [BEAM] }), []],
    ['in it twice', why({ at: [BEAM, BEAM] }), ['two-places']],
    ['at another block', why({ at: [at(atBlock('vault'), 'assist', '16:10-16:30')] }), ['two-places']],
    ['at another block that ends as this one starts', why({ at: [at(atBlock('vault'), 'assist', '15:40-16:00')] }), []],
    ['overseeing the session', why({ at: overseeing('class') }), ['two-places']],
    ['on the way from another gym', why({ elsewhere: [span('15:00-16:05')] }), ['two-places']],
    ['away, on record', why({ absent: [span('12:00-18:00')] }), ['absent']],
    ['employment ended yesterday', why({ employed: [{ from: '2020-01-01', to: '2026-03-12' }] }), ['not-employed']],
    ['employment ends today', why({ employed: [{ from: '2020-01-01', to: '2026-03-13' }] }), []],
    ['employment starts tomorrow', why({ employed: [{ from: '2026-03-13', to: null }] }), ['not-employed']],
    ['qualified for the duty', why({ holds: holding('lead-coach') }, { duties }), []],
    ['unqualified', why({}, { duties }), ['not-qualified']],
    ['under age', why({ years: 17, holds: holding('lead-coach') }, { duties }), ['under-age']],
    ['under age and unqualified: both are told', why({ years: 17 }, { duties }), ['under-age', 'not-qualified']],
    ['a duty that asks for nothing', why({}, { duties }, at(atBlock('beam'), 'assist')), []],
    [
      'a qualification revoked from today',
      why({ holds: [{ kind: 'lead-coach', grade: 1, from: '2020-01-01', to: '2026-03-12' }] }, { duties }),
      ['not-qualified'],
    ],
    [
      'every entry of the duty has to be met',
      why({ holds: holding('lead-coach') }, { duties: [...duties, { duty: 'lead', who: holds('screened') }] }),
      ['not-qualified'],
    ],
  ])('%s', (_, found, expected) => {
    expect(found).toEqual(expected);
  });

  test('a refusal tells the part that failed and when', () => {
    expect(asked({}, { duties })).toEqual([
      { why: 'not-qualified', span: span('16:00-16:20'), failed: holds('lead-coach') },
    ]);
    expect(asked({ at: [at(atBlock('vault'), 'assist', '16:10-16:30')] })).toEqual([
      { why: 'two-places', span: span('16:10-16:20'), failed: null },
    ]);
  });

  test('a trainee may assist only while somebody supervises', () => {
    const floor = aFloor({
      coaches: [{ at: [] }, { holds: holding('certified'), at: [at(atBlock('beam'), 'lead', '16:00-16:10')] }],
      duties: [{ duty: 'assist', who: { test: 'supervised', by: holds('certified') } }],
    });
    const [refusal] = admissible(floor, 'coach-00', at(atBlock('beam'), 'assist'));
    expect(refusal).toMatchObject({ why: 'not-qualified', span: span('16:10-16:20') });
    expect(admissible(floor, 'coach-00', at(atBlock('beam'), 'assist', '16:00-16:10'))).toEqual([]);
  });

  test('an overseer is asked about the whole session', () => {
    const floor = aFloor({
      athletes: [{ person: 'kim' }],
      coaches: [{ at: [], ownChildren: ['kim'] }],
      duties: [{ duty: 'oversee', who: { test: 'no-own-child-here' } }],
    });
    expect(admissible(floor, 'coach-00', overseeing('class')[0]!)).toHaveLength(1);
  });

  test('somebody, or a block, that is not on the floor', () => {
    expect(() => admissible(aFloor(), 'nobody', BEAM)).toThrow(/"nobody" is not on the floor/);
    expect(() => asked({}, { duties }, at(atBlock('moon'), 'lead'))).toThrow(/Block "moon" is not on the floor/);
  });
});
