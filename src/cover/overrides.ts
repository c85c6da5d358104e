import { compare } from './fraction.ts';
import type { Finding, Id, Override } from './types.ts';

/** What an override is asked about: a finding, or one named by the same things. */
export type Named = Pick<Finding, 'code' | 'unit' | 'span' | 'rule' | 'short'> & { subjects: readonly { id: Id }[] };

/**
 * Whether an override accepts a finding: the same unit, code and rule, all of its span and subjects, and no larger a
 * shortfall than was accepted.
 */
export function isExcusedBy(finding: Named, { unit, span, code, rule, subjects, short }: Override): boolean {
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
