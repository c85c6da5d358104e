import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { aFloor, aRule, at, atBlock, counting, holding, holds, overseeing } from '../../../tests/support/a-floor.ts';
import { describeCheck } from '../../../tests/support/check-table.ts';
import { coverOf } from '../timeline.ts';
import type { Floor, Rule } from '../types.ts';
import { supervision } from './supervision.ts';

type Span = { body: string; level: string; supervises?: { any_of: Record<string, number>[] } };
const reference: { supervision: Span[] } = JSON.parse(
  readFileSync(new URL('../../../tests/reference/qualification-rules.json', import.meta.url), 'utf8'),
);

/** The published span of a body's supervisor, as a rule. */
function spanOf(body: string, supervisor: string): Rule {
  const row = reference.supervision.find((one) => one.body === body && one.supervises !== undefined);
  const anyOf = (row?.supervises?.any_of ?? []).map((mix) =>
    Object.entries(mix).map(([kind, max]) => ({ who: holds(kind), max })),
  );
  return aRule({
    bands: [],
    counts: [counting(holds(supervisor))],
    supervision: [{ supervisor: holds(supervisor), anyOf }],
  });
}

const canada = spanOf('Gymnastics BC', 'certified');
const australia = spanOf('Gymnastics Australia', 'supervisor');
const people = (...groups: [n: number, kind: string][]) =>
  groups.flatMap(([n, kind]) => Array.from({ length: n }, () => ({ duty: 'assist' as const, holds: holding(kind) })));
const floorWith = (rule: Rule, ...groups: [n: number, kind: string][]): Floor =>
  aFloor({ athletes: 1, coaches: people(...groups), rules: [rule] });

describeCheck(supervision, {
  passes: {
    'ten trained coaches under one certified (Gymnastics BC)': floorWith(canada, [1, 'certified'], [10, 'trained']),
    'two in training and three trained under one certified (Gymnastics BC)': floorWith(
      canada,
      [1, 'certified'],
      [2, 'coach_in_training'],
      [3, 'trained'],
    ),
    'two certified: one takes ten trained, the other two in training': floorWith(
      canada,
      [2, 'certified'],
      [2, 'coach_in_training'],
      [13, 'trained'],
    ),
    'three beginners under a certified supervisor (Gymnastics Australia)': floorWith(
      australia,
      [1, 'supervisor'],
      [3, 'beginner'],
    ),
    'meaning 14: an overseer of the session is in sight': aFloor({
      athletes: 1,
      coaches: [{ holds: holding('beginner') }, { at: overseeing('class'), holds: holding('supervisor') }],
      rules: [australia],
    }),
    'meaning 23: nobody to coach': aFloor({ coaches: people([1, 'beginner']), rules: [australia] }),
  },
  breaks: {
    'the eleventh trained coach (Gymnastics BC)': [
      floorWith(canada, [1, 'certified'], [11, 'trained']),
      { short: '1', heads: '11', most: '10', subjects: ['coach-11'] },
    ],
    'the fourth trained beside two in training (Gymnastics BC)': [
      floorWith(canada, [1, 'certified'], [2, 'coach_in_training'], [4, 'trained']),
      { short: '1', heads: '6', most: '5' },
    ],
    'a third coach in training (Gymnastics BC)': [
      floorWith(canada, [1, 'certified'], [3, 'coach_in_training']),
      { short: '1', most: '2', subjects: ['coach-03'] },
    ],
    'the fourth beginner (Gymnastics Australia)': [
      floorWith(australia, [1, 'supervisor'], [4, 'beginner']),
      { short: '1', subjects: ['coach-04'] },
    ],
    'an intermediate coach without the supervisor’s certificate (Gymnastics Australia)': [
      floorWith(australia, [1, 'intermediate'], [1, 'beginner']),
      { short: '1', subjects: ['coach-01'] },
    ],
    'meaning 14: a supervisor at another block is out of sight': [
      aFloor({
        blocks: [{}, { id: 'vault' }],
        athletes: 1,
        coaches: [{ holds: holding('beginner') }, { in: 'vault', holds: holding('supervisor') }],
        rules: [australia],
      }),
      { subjects: ['coach-00'] },
    ],
  },
});

test('meaning 14: a trainee without a place counts zero; of two, the first by id has it', () => {
  const rule = aRule({
    counts: [
      counting(holds('supervisor')),
      counting({ test: 'duty', in: ['lead'] }),
      counting(holds('beginner'), '1/2'),
    ],
    supervision: [{ supervisor: holds('supervisor'), anyOf: [[{ who: holds('beginner'), max: 1 }]] }],
  });
  const coaches = [
    { duty: 'assist' as const, holds: holding('supervisor') },
    { duty: 'assist' as const, holds: holding('beginner') },
    { duty: 'lead' as const, holds: holding('beginner') },
  ];
  const count = coverOf(aFloor({ athletes: 1, coaches, rules: [rule] }), atBlock('beam'))[0]?.counts[0];
  expect(count?.people.map(({ why }) => why)).toEqual([null, holds('supervisor'), 'no-supervisor-free']);
});

test('counted once for a session: an overseer’s three places are for all of its blocks together', () => {
  const beginner = { duty: 'assist' as const, holds: holding('beginner') };
  const floor = aFloor({
    blocks: [{}, { id: 'vault' }],
    athletes: 1,
    coaches: [
      beginner,
      beginner,
      { ...beginner, in: 'vault' },
      { ...beginner, in: 'vault' },
      { at: [at({ per: 'session', id: 'class' }, 'oversee')], holds: holding('supervisor') },
    ],
    rules: [{ ...australia, per: 'session' }],
  });
  const [cover] = coverOf(floor, { per: 'session', id: 'class' });
  expect(cover?.findings.map(({ code, subjects }) => [code, subjects.length])).toEqual([['supervision', 1]]);
});
