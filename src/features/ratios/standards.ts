import { type Adoption as EngineAdoption, ruleSet, type Standard, standards } from '../../cover/index.ts';
import { found } from '../../platform/problem.ts';
import type { RatioStandard } from './schema.ts';
import { engineRuleOnWire } from './written.ts';

export const findStandard = (id: string): Standard | undefined => standards.find((one) => one.id === id);

/** Each slot bound to a kind that is called as the slot is. */
export const slotsAsKinds = ({ slots }: Standard): NonNullable<EngineAdoption['kinds']> =>
  Object.fromEntries(slots.map(({ slot }) => [slot, { kind: slot, grade: 1 }]));

/** Before any edition: a published table stands for every day. */
const ALWAYS = '1900-01-01';

function standardOnWire(standard: Standard): RatioStandard {
  const { build: _, parts, slots, silentOn, ...plain } = standard;
  const rules = ruleSet(standard.id, { inForceFrom: ALWAYS, kinds: slotsAsKinds(standard) });
  return {
    ...plain,
    silentOn: [...silentOn],
    slots: slots.map((slot) => ({ ...slot })),
    parts: rules.map((rule, index) => ({ part: parts[index] ?? rule.id, rule: engineRuleOnWire(rule) })),
  };
}

export const listStandards = (): RatioStandard[] => standards.map(standardOnWire);
/** Refuses as not found where there is no such table. */
export const getStandard = (id: string): RatioStandard => standardOnWire(found(findStandard(id), 'ratio standard'));
