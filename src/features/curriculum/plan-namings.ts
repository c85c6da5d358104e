import type { Fault } from '../../platform/problem.ts';
import type { DraftContent } from './plan-content-schema.ts';

export const NAMED = ['apparatus', 'skill', 'drill', 'level'] as const;
type Kind = (typeof NAMED)[number];
/** Something that a draft names, and where; of those of one `list`, each may be named once. */
interface Naming {
  id: string;
  at: string;
  list?: string;
}
type Namings = Record<Kind, Naming[]>;

/** What a draft names that is not there, and what it names twice where once is meant: each where it stands. */
export function namingFaults(namings: Namings, unknown: Readonly<Record<Kind, ReadonlySet<string>>>): Fault[] {
  return NAMED.flatMap((kind) => {
    const named = new Set<string>();
    return namings[kind].flatMap(({ id, at, list }): Fault[] => {
      const faults: Fault[] = [];
      if (unknown[kind].has(id)) faults.push({ pointer: at, detail: `This is no ${kind} of the franchise.` });
      if (list === undefined) return faults;
      if (named.has(`${list} ${id}`)) faults.push({ pointer: at, detail: `Name each ${kind} once here.` });
      named.add(`${list} ${id}`);
      return faults;
    });
  });
}

/** Everything that a draft names, and where. */
export function namingsIn({ focus, blocks }: DraftContent): Namings {
  const named: Namings = { apparatus: [], skill: [], drill: [], level: [] };
  for (const [i, { apparatusId, skills: taught }] of focus.entries()) {
    named.apparatus.push({ id: apparatusId, at: `/focus/${i}/apparatusId`, list: '/focus' });
    for (const [k, { skillId }] of taught.entries()) {
      named.skill.push({ id: skillId, at: `/focus/${i}/skills/${k}/skillId`, list: `/focus/${i}` });
    }
  }
  for (const [b, { apparatusIds, stations }] of blocks.entries()) {
    for (const [k, id] of apparatusIds.entries()) {
      named.apparatus.push({ id, at: `/blocks/${b}/apparatusIds/${k}`, list: `/blocks/${b}` });
    }
    for (const [s, station] of stations.entries()) nameStation(named, station, `/blocks/${b}/stations/${s}`);
  }
  return named;
}

function nameStation(
  named: Namings,
  { apparatusId, setUp, steps }: DraftContent['blocks'][number]['stations'][number],
  at: string,
): void {
  named.apparatus.push({ id: apparatusId, at: `${at}/apparatusId` });
  for (const [p, piece] of setUp.pieces.entries()) {
    const here = `${at}/setUp/pieces/${p}`;
    named.apparatus.push({ id: piece.apparatusId, at: `${here}/apparatusId`, list: here });
    for (const [o, { apparatusId: id }] of piece.orInstead.entries()) {
      named.apparatus.push({ id, at: `${here}/orInstead/${o}/apparatusId`, list: here });
    }
  }
  for (const [k, { drillIds, fromLevelId }] of steps.entries()) {
    for (const [d, id] of drillIds.entries()) {
      named.drill.push({ id, at: `${at}/steps/${k}/drillIds/${d}`, list: `${at}/steps/${k}` });
    }
    if (fromLevelId !== null) named.level.push({ id: fromLevelId, at: `${at}/steps/${k}/fromLevelId` });
  }
}
