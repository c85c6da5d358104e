import { describe, expect, test } from 'vitest';
import { ANYONE, aBand, aLimit, aRule, counting, holds } from '../../tests/support/a-floor.ts';
import { looserThan } from './looser.ts';
import type { Band, Rule } from './types.ts';

const franchise = aRule({
  bands: [aBand('small', 0, 5, 6), aBand('big', 5, 12, 8)],
  counts: [counting(holds('coach'))],
});
const gym = (bands: Band[], more: Partial<Rule> = {}): Rule => ({
  ...franchise,
  id: 'gym',
  owner: 'gym',
  bands,
  ...more,
});

describe('a gym’s rule against its franchise’s: the first age, in months, at which it asks for less', () => {
  test.each<[string, Rule, number | null]>([
    ['the same', gym(franchise.bands), null],
    ['stricter', gym([aBand('all', 0, 12, 5)]), null],
    ['looser for the big ones', gym([aBand('small', 0, 5, 6), aBand('big', 5, 12, 10)]), 60],
    ['looser from the start', gym([aBand('all', 0, 12, 8)]), 0],
    ['a later edge', gym([aBand('small', 0, 4, 6), aBand('big', 4, 12, 8)]), 48],
    ['looser by a fraction', gym([aBand('small', 0, 5, 6), aBand('big', 5, 12, '17/2')]), 60],
    ['asks nothing of some', gym([aBand('small', 0, 5, 6), aBand('big', 5, 12, [])]), 60],
    ['allows fewer ages', gym([aBand('small', 0, 5, 6)]), null],
    ['looser only in large groups', gym([aBand('all', 0, 12, [aLimit(6, { upToGroup: 6 }), aLimit(7)])]), 0],
    ['looser, and everybody counts', gym([aBand('all', 0, 12, 8)], { counts: [counting(ANYONE)] }), 0],
    [
      'other people count: not comparable',
      gym([aBand('all', 0, 12, 8)], { counts: [counting(holds('master'))] }),
      null,
    ],
    ['another unit: not comparable', gym([aBand('all', 0, 12, 8)], { per: 'premises' }), null],
    ['another method: not comparable', gym([aBand('all', 0, 12, 8)], { mixed: { method: 'fill' } }), null],
    ['for one programme of a rule for all', gym([aBand('all', 0, 12, 8)], { scope: { programme: ['a'] } }), 0],
    [
      'before it is in force: no common time',
      gym([aBand('all', 0, 12, 8)], { inForce: { from: '1990-01-01', to: '2000-01-01' } }),
      null,
    ],
    ['only for families: another count', gym([aBand('all', 0, 12, 8, { countBy: 'family' })]), null],
    [
      'a band for a trait is not the ordinary athlete’s',
      gym([aBand('t', 0, 12, 9, { trait: 'accompanied' }), ...franchise.bands]),
      null,
    ],
  ])('%s', (_, rule, months) => {
    expect(looserThan(rule, franchise)).toBe(months);
  });

  test('programmes that have nothing in common', () => {
    const scoped = { ...franchise, scope: { programme: ['b'] } };
    expect(looserThan(gym([aBand('all', 0, 12, 8)], { scope: { programme: ['a'] } }), scoped)).toBeNull();
  });

  test('one coach fewer on top', () => {
    expect(looserThan(gym(franchise.bands), { ...franchise, plus: 1 })).toBe(0);
  });

  test('a franchise rule that only warns binds nobody', () => {
    expect(looserThan(gym([aBand('all', 0, 12, 8)]), { ...franchise, strength: 'warn' })).toBeNull();
  });
});
