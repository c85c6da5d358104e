import type { Finding } from './finding.ts';
import type { FindingOnWire } from './schema.ts';

const MOST = 200;

/** The first findings as they travel, what is refused before what is warned of, and how many more there are. */
export function onWire(found: readonly Finding[]): { findings: FindingOnWire[]; moreFindings: number } {
  const sorted = [
    ...found.filter(({ severity }) => severity === 'refuse'),
    ...found.filter(({ severity }) => severity === 'warn'),
  ];
  return {
    findings: sorted.slice(0, MOST).map(({ classes, where, ...finding }) => ({
      ...finding,
      where: where.slice(0, 60),
      classes: classes.slice(0, 50).map(({ gymId, gymName, id, name, day, startsAt }) => ({
        gymId,
        gymName,
        classId: id,
        className: name,
        day,
        startsAt,
      })),
      moreClasses: Math.max(0, classes.length - 50),
    })),
    moreFindings: Math.max(0, sorted.length - MOST),
  };
}
