import { aBand, aFloor, aRule, holding, holds, overseeing } from '../../../tests/support/a-floor.ts';
import { describeCheck } from '../../../tests/support/check-table.ts';
import type { Rule, Test } from '../types.ts';
import { floor } from './floor.ts';

const ADULT: Test = { test: 'age', atLeastYears: 18 };
const posts = (...asked: { people: number; who: Test }[]): Rule =>
  withFloors([{ fromAthletes: 1, toAthletes: null, posts: asked }]);
const withFloors = (floors: Rule['floors']): Rule => aRule({ bands: [], counts: [], floors });

/** Gymnastics BC, minimum standards in the gym: three floors, so that one person may fill more than one. */
const minimum = withFloors(
  [holds('certified-coach'), { test: 'age', atLeastYears: 19 } as const, holds('first-aid')].map((who) => ({
    fromAthletes: 1,
    toAthletes: null,
    posts: [{ people: 1, who }],
  })),
);
/** British Gymnastics: a suitably qualified coach, and somebody who is not a gymnast taking part. */
const coachAndAnother = posts({ people: 1, who: holds('lead-coach') }, { people: 1, who: { test: 'not-taking-part' } });

describeCheck(floor, {
  passes: {
    'two adults with a very small group (CPSU / NSPCC; Sport New Zealand)': aFloor({
      athletes: 1,
      coaches: 2,
      rules: [posts({ people: 2, who: ADULT })],
    }),
    'a coach, a screened parent: two responsible adults (Coaching Association of Canada)': aFloor({
      athletes: 3,
      coaches: [{ holds: holding('coach') }, { holds: holding('screened') }],
      rules: [posts({ people: 2, who: { test: 'any', of: [holds('coach'), holds('screened')] } })],
    }),
    'meaning 11: one person fills three separate floors (Gymnastics BC)': aFloor({
      athletes: 5,
      coaches: [{ holds: [...holding('certified-coach'), ...holding('first-aid')] }],
      rules: [minimum],
    }),
    'posts are filled by whoever leaves most others free': aFloor({
      athletes: 1,
      coaches: [{ holds: [...holding('a'), ...holding('b')] }, { holds: holding('a') }],
      rules: [posts({ people: 1, who: holds('a') }, { people: 1, who: holds('b') })],
    }),
    'fewer athletes than the floor is for': aFloor({
      athletes: 4,
      rules: [withFloors([{ fromAthletes: 5, toAthletes: null, posts: [{ people: 2, who: ADULT }] }])],
    }),
    'more athletes than the floor is for': aFloor({
      athletes: 9,
      rules: [withFloors([{ fromAthletes: 1, toAthletes: 8, posts: [{ people: 2, who: ADULT }] }])],
    }),
    'meaning 23: nobody to look after': aFloor({ rules: [posts({ people: 2, who: ADULT })] }),
  },
  breaks: {
    'one adult with ten teenagers (CPSU: the two-adult floor governs)': [
      aFloor({ athletes: 10, coaches: 1, rules: [posts({ people: 2, who: ADULT })] }),
      { heads: '10', needed: '2', counted: '1', short: '1' },
    ],
    'the last athlete that the floor is for': [
      aFloor({
        athletes: 8,
        rules: [withFloors([{ fromAthletes: 1, toAthletes: 8, posts: [{ people: 1, who: ADULT }] }])],
      }),
      { heads: '8', needed: '1', counted: '0' },
    ],
    'meaning 11: posts of one floor need different people': [
      aFloor({
        athletes: 1,
        coaches: [{ holds: [...holding('a'), ...holding('b')] }],
        rules: [posts({ people: 1, who: holds('a') }, { people: 1, who: holds('b') })],
      }),
      { needed: '2', counted: '1' },
    ],
    'the second adult is a gymnast taking part (British Gymnastics FAQ)': [
      aFloor({
        athletes: 1,
        coaches: [{ holds: holding('lead-coach') }, { takingPart: [{ from: 0, to: 4e12 }] }],
        rules: [coachAndAnother],
      }),
      { needed: '2', counted: '1' },
    ],
    'a floor counts heads, never shares: half a coach is a head, nobody is not': [
      aFloor({
        athletes: 1,
        coaches: [{ years: 17 }],
        rules: [posts({ people: 1, who: ADULT })],
      }),
      { counted: '0', short: '1' },
    ],
    'meaning 15: a one-to-one helper fills no floor': [
      aFloor({
        athletes: [{ support: { anyOf: ['coach-00'] } }],
        coaches: 2,
        rules: [posts({ people: 2, who: ADULT })],
      }),
      { needed: '2', counted: '1', heads: '1' },
    ],
    'an overseer is not at the block': [
      aFloor({ athletes: 1, coaches: [{}, { at: overseeing('class') }], rules: [posts({ people: 2, who: ADULT })] }),
      { counted: '1' },
    ],
    'an athlete of no band is a head': [
      aFloor({
        athletes: [{ years: 40 }],
        rules: [
          aRule({
            bands: [aBand('children', 0, 18, 8)],
            floors: [{ fromAthletes: 1, toAthletes: null, posts: [{ people: 1, who: ADULT }] }],
          }),
        ],
      }),
      { heads: '1', needed: '1' },
    ],
  },
});
