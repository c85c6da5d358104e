import { expect, test } from 'vitest';
import { aFloor, at, atBlock, span } from '../../../tests/support/a-floor.ts';
import { describeCheck } from '../../../tests/support/check-table.ts';
import { formatFraction } from '../fraction.ts';
import { coverOf } from '../timeline.ts';
import { support } from './support.ts';

const needing = (...anyOf: string[]) => ({ support: { anyOf } });

describeCheck(support, {
  passes: {
    'a helper beside their child': aFloor({ athletes: [needing('coach-00')], coaches: 1 }),
    'two children, two helpers, whoever is named for whom': aFloor({
      athletes: [needing('coach-00', 'coach-01'), needing('coach-00')],
      coaches: 2,
    }),
  },
  breaks: {
    'nobody is named yet': [aFloor({ athletes: [needing()], coaches: 1 }), { short: '1', subjects: ['child-00'] }],
    'one helper for two children': [
      aFloor({ athletes: [needing('coach-00'), needing('coach-00')], coaches: 2 }),
      { short: '1', subjects: ['child-01'] },
    ],
    'the helper is at another block': [
      aFloor({ blocks: [{}, { id: 'vault' }], athletes: [needing('coach-00')], coaches: [{ in: 'vault' }, {}] }),
      { subjects: ['child-00'] },
    ],
    'the helper leaves after ten minutes': [
      aFloor({
        athletes: [needing('coach-00')],
        coaches: [{ at: [at(atBlock('beam'), 'assist', '16:00-16:10')] }, {}],
      }),
      { subjects: ['child-00'] },
    ],
  },
});

test('meaning 15: a helped child stands outside the pool, and the helper counts for nobody else', () => {
  const nine = Array.from({ length: 8 }, () => ({}));
  const floor = aFloor({ athletes: [...nine, needing('coach-01')], coaches: 2 });
  const [cover] = coverOf(floor, atBlock('beam'));
  expect(cover?.covered).toBe(true);
  expect(formatFraction(cover!.counts[0]!.load)).toBe('1');
  expect(cover?.counts[0]?.people[1]).toMatchObject({ person: 'coach-01', why: 'helper' });
});

test('meaning 15: a child without their helper rejoins the pool', () => {
  const floor = aFloor({ athletes: [...Array.from({ length: 8 }, () => ({})), needing()], coaches: 1 });
  const [cover] = coverOf(floor, atBlock('beam'));
  expect(cover?.findings.map(({ code, span: when }) => [code, when])).toEqual([
    ['support', span('16:00-16:20')],
    ['short', span('16:00-16:20')],
  ]);
});
