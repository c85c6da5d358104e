import { ruleSet } from '../../src/cover/standards/index.ts';
import type { Adoption, KindSlot } from '../../src/cover/standards/standard.ts';
import type { Rule } from '../../src/cover/types.ts';
import { holding } from './a-floor.ts';

const SLOTS: KindSlot[] = [
  'lead-coach',
  'assistant-coach',
  'certified-coach',
  'level-6',
  'apprentice',
  'screened',
  'teacher',
];
const adoption: Adoption = {
  inForceFrom: '2020-01-01',
  kinds: Object.fromEntries(SLOTS.map((slot) => [slot, { kind: slot, grade: 1 }])),
};

/** A published standard as rules, its kinds bound to kinds of the same name. */
export const adopted = (id: string, more: Partial<Adoption> = {}): Rule[] => ruleSet(id, { ...adoption, ...more });

/** One lead, the rest directly supervised assistants: the fewest people that way. */
export function bgClass(children: number, adults: number) {
  return {
    athletes: Array.from({ length: children }, () => ({ years: 9 })),
    coaches: [
      { holds: holding('lead-coach') },
      ...Array.from({ length: adults - 1 }, () => ({ duty: 'assist' as const, holds: holding('assistant-coach') })),
    ].slice(0, adults),
  };
}
