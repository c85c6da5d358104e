import { aBand, aFloor, aRule, bornBefore, span } from '../../../tests/support/a-floor.ts';
import { describeCheck } from '../../../tests/support/check-table.ts';
import type { Band } from '../types.ts';
import { noBand } from './no-band.ts';

const rules = (...bands: Band[]) => [aRule({ bands })];
const preschool = rules(aBand('pre-school', null, 5, 8));
const accompanied = rules(aBand('with an adult', null, 5, 8, { trait: 'accompanied' }));
const school = rules(
  aBand('class one', 5, 6, 8, { category: 'one' }),
  aBand('class two', 6, 7, 8, { category: 'two' }),
);
const withAdult = (from: string, to: string) => [{ trait: 'accompanied', spans: [span(`${from}-${to}`)] }];

describeCheck(noBand, {
  passes: {
    'a rule without bands': aFloor({ athletes: [{ born: null }], rules: rules() }),
    'meaning 2: ages suffice without a category': aFloor({ athletes: [{ years: 5 }], rules: school }),
    'meaning 2: ages suffice with a category that the rule doesn’t name': aFloor({
      athletes: [{ years: 5, category: 'gold' }],
      rules: school,
    }),
    'meaning 2: a band without limits allows its athletes': aFloor({
      athletes: [{ years: 9 }],
      rules: rules(aBand('any', null, null, [])),
    }),
    'meaning 24: an unknown birth date where no band has ages': aFloor({ athletes: [{ born: null }] }),
    'accompanied for the whole block': aFloor({
      athletes: [{ years: 3, traits: [{ trait: 'accompanied', spans: null }] }],
      rules: accompanied,
    }),
    'the last month before the fifth birthday': aFloor({ athletes: [{ months: 59 }], rules: preschool }),
    'a table that ends on 1 September after the fifth birthday': aFloor({
      athletes: [{ born: '2020-09-01' }],
      rules: rules(aBand('early years', null, { firstOn: { month: 9, day: 1 }, afterBirthday: 5 }, 8)),
    }),
  },
  breaks: {
    'meaning 22: a nine-year-old under an unscoped pre-school table': [
      aFloor({ athletes: [{ years: 4 }, { years: 9 }], coaches: 1, rules: preschool }),
      { heads: '1', short: '1', subjects: ['child-01'] },
    ],
    'the fifth birthday itself': [aFloor({ athletes: [{ months: 60 }], coaches: 1, rules: preschool }), { heads: '1' }],
    'meaning 2: a category that the rule names has to fit': [
      aFloor({ athletes: [{ years: 5, category: 'two' }], coaches: 1, rules: school }),
      { subjects: ['child-00'] },
    ],
    'meaning 24: an unknown birth date': [
      aFloor({ athletes: [{ born: null }], coaches: 1, rules: preschool }),
      { subjects: ['child-00'] },
    ],
    'a child whose adult has left is an unaccompanied child': [
      aFloor({ athletes: [{ years: 3, traits: withAdult('16:00', '16:10') }], coaches: 1, rules: accompanied }),
      { subjects: ['child-00'] },
    ],
    'past 1 September after the fifth birthday': [
      aFloor({
        athletes: [{ born: '2020-08-31' }],
        coaches: 1,
        rules: rules(aBand('early years', null, { firstOn: { month: 9, day: 1 }, afterBirthday: 5 }, 8)),
      }),
      { heads: '1' },
    ],
    'a one-to-one helper doesn’t make a child old enough': [
      aFloor({
        athletes: [{ born: bornBefore(12), support: { anyOf: ['coach-00'] } }],
        coaches: 1,
        rules: rules(aBand('older', 5, null, 8)),
      }),
      { subjects: ['child-00'] },
    ],
  },
});
