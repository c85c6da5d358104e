import type { Rule, Scope } from '../../cover/types.ts';
import { storedOf } from '../../enforcement/rule-codec.ts';
import type { StoredRule } from '../../tables/stored-rule.ts';
import { RuleOnWire, type RuleScope, type WrittenRule } from './rule-schema.ts';

/** The words that a scope names, without those that it leaves out. */
export function scopeOf({ programme, level, apparatus, activity, area }: RuleScope): Scope {
  return {
    ...(programme && { programme }),
    ...(level && { level }),
    ...(apparatus && { apparatus }),
    ...(activity && { activity }),
    ...(area && { area }),
  };
}

/** What is kept of a rule that somebody wrote: no published table stands behind it, whatever it says of its source. */
export const storedFrom = (written: WrittenRule): StoredRule => ({
  ...written,
  source: null,
  scope: scopeOf(written.scope),
  except: written.except === null ? null : scopeOf(written.except),
});

/**
 * A rule as it is answered: the stored form is the wire's.
 *
 * @throws ZodError when what is stored is no such rule: a fault of ours.
 */
export const ruleOnWire = (stored: StoredRule): RuleOnWire => RuleOnWire.parse(stored);

/** The same, of a rule that the engine reads. */
export const engineRuleOnWire = (rule: Rule): RuleOnWire => ruleOnWire(storedOf(rule));
