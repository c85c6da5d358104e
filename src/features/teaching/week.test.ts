import { describe, expect, test } from 'vitest';
import type { SheetFocus } from './sheet-schema.ts';
import { lineOf } from './week.ts';

const skill = (name: string, standing: SheetFocus['skills'][number]['standing']) => ({
  skillId: '01930d5e-8a4c-7c3a-9f65-3b1f0c6d2a11',
  skill: name,
  standing,
});

describe('a week in one plain line', () => {
  test.each<[string, SheetFocus[], string]>([
    ['a week without a focus is its title', [], 'Recreational: this week: Rolls.'],
    [
      'what is new, goes on and comes back, and why',
      [
        {
          apparatus: 'bars',
          skills: [skill('Cast', 'new'), skill('Swing', 'new'), skill('Long hang', 'continuing')],
          nextWeek: 'Next week from a standing start',
        },
        { apparatus: 'floor', skills: [skill('Handstand', 'returning')], nextWeek: null },
      ],
      'Recreational: new this week are Cast and Swing; we go on with Long hang; we come back to Handstand. Next week from a standing start.',
    ],
    [
      'one new skill is one',
      [{ apparatus: 'bars', skills: [skill('Cast', 'new')], nextWeek: 'It leads to the swing!' }],
      'Recreational: new this week is Cast. It leads to the swing!',
    ],
  ])('%s', (_, focus, expected) => {
    expect(lineOf('Recreational', 'Rolls', focus)).toBe(expected);
  });
});
