import { admissible, applyChange, type Floor, narrowed, uncoveredBlocks } from '../../cover/index.ts';
import type { Place } from '../../cover/types.ts';
import { asIfConfirmed } from '../staffing/cover.ts';

export interface StandIns {
  outcome: 'still-covered' | 'somebody' | 'nobody';
  /** Who may step in, the best first: free all the while, and judged in the place. */
  people: string[];
}

const MOST_NAMED = 3;
const MOST_TRIED = 12;

/**
 * What becomes of a block if one of its coaches has to leave: it holds without them; or somebody who is free takes their
 * place and it holds again, those who are in that day before those who would have to come; or there is nobody.
 */
export function standIns(floor: Floor, blockId: string, personId: string): StandIns {
  const block = floor.blocks.find(({ id }) => id === blockId);
  if (!block) return { outcome: 'nobody', people: [] };
  const whole = narrowed(asIfConfirmed(floor, blockId), block.span);
  const left = whole.staff.find(({ person }) => person === personId);
  const without = { ...whole, staff: whole.staff.filter((one) => one !== left) };
  if (holds(without, blockId)) return { outcome: 'still-covered', people: [] };
  const duty = left?.at.find(({ unit }) => unit.per === 'block' && unit.id === blockId)?.duty ?? 'lead';
  const to: Place = { unit: { per: 'block', id: blockId }, duty, span: block.span };
  // Whoever is somewhere else then is not admissible either.
  const free = without.staff
    .filter(({ person }) => admissible(without, person, to).length === 0)
    .sort((a, b) => Number(b.at.length > 0) - Number(a.at.length > 0))
    .slice(0, MOST_TRIED);
  const people: string[] = [];
  for (const { person } of free) {
    if (people.length === MOST_NAMED) break;
    if (holds(applyChange(without, { move: person, to }), blockId)) people.push(person);
  }
  return { outcome: people.length > 0 ? 'somebody' : 'nobody', people };
}

const holds = (floor: Floor, blockId: string) => !uncoveredBlocks(floor).some(({ block }) => block === blockId);
