/** A plan block, as far as a rotation needs to know it. */
export interface Taught {
  id: string;
  activity: string;
  minutes: number;
}

/** A group at a plan block, in minutes from the start of the session; groups count from 1. */
export interface Turn {
  group: number;
  planBlockId: string;
  startMinute: number;
  minutes: number;
}

/** What all groups do together; everything else is taken in turns. */
const TOGETHER: readonly string[] = ['warm-up', 'stretches', 'cool-down', 'open-gym', 'party'];

/**
 * The plain rotation: blocks follow one another in teaching order. What is done together, all groups do at once. Each
 * run of other blocks is rotated: every group begins one block further on than the group before it. With several
 * groups, the blocks of a run share its minutes out evenly, so that nobody arrives before the others have left.
 *
 * Gives null when a run has fewer blocks than there are groups: somebody would have to share.
 */
export function rotate(blocks: readonly Taught[], groupCount: number): Turn[] | null {
  const groups = Array.from({ length: groupCount }, (_, index) => index + 1);
  const turns: Turn[] = [];
  let minute = 0;
  for (const run of runsOf(blocks)) {
    if (groupCount === 1 || run.some(isTogether)) {
      for (const { id, minutes } of run) {
        turns.push(...groups.map((group) => ({ group, planBlockId: id, startMinute: minute, minutes })));
        minute += minutes;
      }
      continue;
    }
    if (run.length < groupCount) return null;
    const total = run.reduce((sum, { minutes }) => sum + minutes, 0);
    const each = Math.floor(total / run.length);
    for (const group of groups) {
      for (const [slot] of run.entries()) {
        const block = run[(slot + group - 1) % run.length];
        if (block) turns.push({ group, planBlockId: block.id, startMinute: minute + slot * each, minutes: each });
      }
    }
    minute += total;
  }
  return turns;
}

const isTogether = ({ activity }: Taught) => TOGETHER.includes(activity);

/** Each block that is done together by itself, and the others in the runs that they form. */
function runsOf(blocks: readonly Taught[]): Taught[][] {
  const runs: Taught[][] = [];
  let open: Taught[] | null = null;
  for (const block of blocks) {
    if (isTogether(block)) {
      runs.push([block]);
      open = null;
    } else if (open) {
      open.push(block);
    } else {
      open = [block];
      runs.push(open);
    }
  }
  return runs;
}
