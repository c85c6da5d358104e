import { describe, expect, test } from 'vitest';
import { aFloor, aRule, atBlock, span } from '../../tests/support/a-floor.ts';
import { parseFraction } from './fraction.ts';
import { coverOf } from './timeline.ts';
import type { Cover, Finding, Override, Rule, Unit } from './types.ts';

const CLASS: Unit = { per: 'session', id: 'class' };
const told = (covers: Cover[]) => covers.map((one) => [hours(one.span), one.covered]);
const hours = ({ from, to }: Cover['span']) => [from, to].map((t) => new Date(t).toISOString().slice(11, 16)).join('-');

describe('overrides', () => {
  const accepted: Override = {
    id: 'accepted',
    unit: atBlock('beam'),
    span: span('16:00-16:20'),
    code: 'short',
    rule: 'rule',
    subjects: [],
    short: parseFraction('1/8'),
  };
  const covered = (override: Partial<Override>, athletes = 9, rule: Partial<Rule> = {}) =>
    coverOf(
      aFloor({ athletes, coaches: 1, rules: [aRule(rule)], overrides: [{ ...accepted, ...override }] }),
      atBlock('beam'),
    );

  test('an accepted finding stays, and uncovers nothing', () => {
    expect(covered({})).toMatchObject([{ covered: true, findings: [{ code: 'short', override: 'accepted' }] }]);
  });

  test.each<[string, Cover[]]>([
    ['a larger shortfall', covered({}, 10)],
    ['another rule', covered({ rule: 'other' })],
    ['another code', covered({ code: 'floor' })],
    ['another unit', covered({ unit: CLASS })],
    ['a rule that forbids overrides', covered({}, 9, { overridable: false })],
  ])('%s is not excused', (_, [cover]) => {
    expect(cover).toMatchObject({ covered: false, findings: [{ override: null }] });
  });

  test('half of the time is excused, half is not', () => {
    expect(told(covered({ span: span('15:00-16:10') }))).toEqual([
      ['16:00-16:10', true],
      ['16:10-16:20', false],
    ]);
  });

  test('subjects that were not accepted are not excused', () => {
    const excuse = (subjects: string[]): Finding[] =>
      coverOf(
        aFloor({
          athletes: [{ support: { anyOf: [] } }, { support: { anyOf: [] } }],
          coaches: 1,
          overrides: [{ ...accepted, code: 'support', rule: null, subjects, short: parseFraction('2') }],
        }),
        atBlock('beam'),
      ).flatMap(({ findings }) => findings);
    expect(excuse(['child-00'])).toMatchObject([{ override: null }]);
    expect(excuse(['child-00', 'child-01', 'child-02'])).toMatchObject([{ override: 'accepted' }]);
  });
});
