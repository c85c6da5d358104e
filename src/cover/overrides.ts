import { compare } from './fraction.ts';
import type { Finding, Override } from './types.ts';

/**
 * Whether an override accepts a finding: the same unit, code and rule, all of its span and subjects, and no larger a
 * shortfall than was accepted.
 */
export function isExcusedBy(finding: Finding, { unit, span, code, rule, subjects, short }: Override): boolean {
  return (
    code === finding.code &&
    rule === finding.rule &&
    unit.per === finding.unit.per &&
    unit.id === finding.unit.id &&
    span.from <= finding.span.from &&
    finding.span.to <= span.to &&
    compare(finding.short, short) <= 0 &&
    finding.subjects.every(({ id }) => subjects.includes(id))
  );
}
