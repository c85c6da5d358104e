import type { Scope as EngineScope, Rule } from '../../cover/types.ts';
import { storedOf } from '../../enforcement/rule-codec.ts';
import type { StoredRule } from '../../tables/stored-rule.ts';
import type { RuleOnWire, Scope, WrittenRule } from './rule-schema.ts';

/** The words that a scope names, without those that it leaves out. */
export function scopeOf({ programme, level, apparatus, activity, area }: Scope): EngineScope {
  return {
    ...(programme && { programme }),
    ...(level && { level }),
    ...(apparatus && { apparatus }),
    ...(activity && { activity }),
    ...(area && { area }),
  };
}

/** What is kept of a rule that somebody wrote: no published table stands behind it. */
export const storedFrom = (written: WrittenRule): StoredRule => ({
  ...written,
  source: null,
  scope: scopeOf(written.scope),
  except: written.except === null ? null : scopeOf(written.except),
});

/** A rule as it is answered: the stored form is the wire's, and its activities were ours when it was written. */
export const ruleOnWire = (stored: StoredRule): RuleOnWire => stored as RuleOnWire;

export const engineRuleOnWire = (rule: Rule): RuleOnWire => ruleOnWire(storedOf(rule));
