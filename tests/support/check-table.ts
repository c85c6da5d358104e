import { describe, expect, test } from 'vitest';
import { formatFraction } from '../../src/cover/fraction.ts';
import { coverTimeline } from '../../src/cover/timeline.ts';
import type { Code, Finding, Floor } from '../../src/cover/types.ts';

/** What a finding is expected to say; numbers and `short` in the wire form, subjects as ids in order. */
type Expected = Partial<Record<keyof Finding['numbers'], string>> & { short?: string; subjects?: string[] };

/**
 * A check's table: floors that pass, and floors that break it with the numbers of the one finding expected. Every floor
 * goes through the whole engine.
 */
export function describeCheck(
  check: { code: Code },
  { passes, breaks }: { passes: Record<string, Floor>; breaks: Record<string, [Floor, Expected]> },
): void {
  describe(check.code, () => {
    test.each(Object.entries(passes))('passes: %s', (_, floor) => {
      expect(findingsOf(floor, check.code)).toEqual([]);
    });
    test.each(Object.entries(breaks).map(([name, [floor, expected]]) => [name, floor, expected] as const))(
      'breaks: %s',
      (_, floor, expected) => {
        const found = findingsOf(floor, check.code);
        expect(found).toHaveLength(1);
        expect(told(found[0] as Finding)).toMatchObject(expected);
      },
    );
  });
}

export function findingsOf(floor: Floor, code: Code): Finding[] {
  return coverTimeline(floor).flatMap(({ findings }) => findings.filter((finding) => finding.code === code));
}

export function told({ numbers, short, subjects }: Finding): Expected {
  const written = Object.entries(numbers).map(([name, value]) => [name, formatFraction(value)]);
  return { ...Object.fromEntries(written), short: formatFraction(short), subjects: subjects.map(({ id }) => id) };
}
