import type { PlanBlock } from '../plan-content-schema.ts';
import { atLeast, counted, exact, type Finding, isWithin, rangeWords, SETTING, whereBlock, within } from './finding.ts';
import type { Limits } from './limits.ts';

interface Ordered {
  blocks: readonly PlanBlock[];
  limits: Limits;
  isArmHeavy: (apparatusId: string) => boolean;
}

/** A pulse-raiser before the stretches, blocks that are heavy on the arms apart, and the cool-down last. */
export function checkOrder(plan: Ordered): Finding[] {
  return [...pulseRaiser(plan), ...armHeavyApart(plan), ...coolDownLast(plan)];
}

function pulseRaiser({ blocks, limits: { pulseRaiserMinutes: usual } }: Ordered): Finding[] {
  const at = blocks.findIndex(({ activity }) => activity === 'stretches');
  const block = blocks[at];
  if (!block) return [];
  const minutes = blocks
    .slice(0, at)
    .reduce((sum, { activity, minutes }) => (activity === 'warm-up' ? sum + minutes : sum), 0);
  if (isWithin(usual, minutes)) return [];
  return [
    {
      check: 'order',
      about: 'pulse-raiser',
      severity: 'warn',
      where: [whereBlock(block, at)],
      number: exact(minutes),
      limit: within(usual),
      unit: 'minutes',
      limitFrom: 'setting',
      source: SETTING,
      classes: [],
      sentence: `${counted(minutes, 'minute')} of warm-up before “${block.title}”; ${rangeWords(usual)} are usual before stretching.`,
    },
  ];
}

function armHeavyApart({ blocks, isArmHeavy }: Ordered): Finding[] {
  const heavy = (block: PlanBlock) => block.apparatusIds.some(isArmHeavy);
  return blocks.flatMap((block, b): Finding[] => {
    const before = blocks[b - 1];
    if (!before || !heavy(before) || !heavy(block)) return [];
    return [
      {
        check: 'order',
        about: 'arm-heavy-apart',
        severity: 'warn',
        where: [whereBlock(before, b - 1), whereBlock(block, b)],
        number: exact(0),
        limit: atLeast(1),
        unit: 'blocks',
        limitFrom: 'setting',
        source: SETTING,
        classes: [],
        sentence: `“${before.title}” and “${block.title}” are both heavy on the arms, with nothing between them.`,
      },
    ];
  });
}

function coolDownLast({ blocks }: Ordered): Finding[] {
  return blocks.flatMap((block, b): Finding[] => {
    const after = blocks.length - 1 - b;
    // Stretches may follow it, and so may another part of it.
    const rest = blocks.slice(b + 1).filter(({ activity }) => activity !== 'cool-down' && activity !== 'stretches');
    if (block.activity !== 'cool-down' || rest.length === 0) return [];
    return [
      {
        check: 'order',
        about: 'cool-down-last',
        severity: 'warn',
        where: [whereBlock(block, b)],
        number: exact(after),
        limit: { atLeast: null, atMost: exact(0) },
        unit: 'blocks',
        limitFrom: 'setting',
        source: SETTING,
        classes: [],
        sentence: `“${block.title}” is a cool-down, and ${counted(after, 'block')} come after it.`,
      },
    ];
  });
}
