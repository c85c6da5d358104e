import { compare, fraction } from '../../../cover/index.ts';
import type { PlanBlock } from '../plan-content-schema.ts';
import {
  atMost,
  by,
  type CheckedClass,
  counted,
  exact,
  type Finding,
  isWithin,
  listed,
  rangeWords,
  SETTING,
  whereBlock,
  whose,
  within,
  yearsOf,
} from './finding.ts';
import { bandAt, type Limits } from './limits.ts';

interface Timed {
  blocks: readonly PlanBlock[];
  classes: readonly CheckedClass[];
  limits: Limits;
}

/** Do the blocks fit each class (a changeover is in its block's minutes), are they as long as is usual at its age, and is the warm-up? */
export function checkTime(plan: Timed): Finding[] {
  if (plan.blocks.length === 0) return [];
  return [...lessonLengths(plan), ...blockLengths(plan), ...warmUps(plan)];
}

const total = (blocks: readonly PlanBlock[]): number => blocks.reduce((sum, { minutes }) => sum + minutes, 0);

function lessonLengths(plan: Pick<Timed, 'blocks' | 'classes'>): Finding[] {
  const needed = total(plan.blocks);
  const over = plan.classes.filter(({ minutes }) => needed > minutes);
  return by(over, ({ minutes }) => String(minutes)).map((classes) => {
    const minutes = classes[0]?.minutes ?? 0;
    return {
      check: 'time',
      about: 'lesson-length',
      severity: 'warn',
      where: [{ pointer: '/blocks', names: [] }],
      number: exact(needed),
      limit: atMost(minutes),
      unit: 'minutes',
      limitFrom: 'timetable',
      source: 'What the class has by the timetable.',
      classes,
      sentence: `The blocks take ${counted(needed, 'minute')}, changeovers and all; ${whose(classes)} ${classes.length === 1 ? 'has' : 'have'} ${minutes}.`,
    };
  });
}

/** One finding a band of ages and length: blocks of one length are told together. */
function blockLengths({ blocks, classes, limits }: Timed): Finding[] {
  const aged = classes.flatMap((one) => {
    const years = yearsOf(one);
    return years === null ? [] : [{ one, usual: bandAt(limits, years) }];
  });
  const placed = blocks
    .map((block, b) => ({ block, where: whereBlock(block, b) }))
    .filter(({ block }) => block.activity === 'apparatus');
  return by(aged, ({ usual }) => String(usual.fromAge)).flatMap((alike) => {
    const [first] = alike;
    if (!first) return [];
    const { blockMinutes, fromAge } = first.usual;
    const ours = alike.map(({ one }) => one);
    const odd = placed.filter(({ block }) => !isWithin(blockMinutes, block.minutes));
    return by(odd, ({ block }) => String(block.minutes)).map((same): Finding => {
      const minutes = same[0]?.block.minutes ?? 0;
      return {
        check: 'time',
        about: 'block-length',
        severity: 'warn',
        where: same.map(({ where }) => where),
        number: exact(minutes),
        limit: within(blockMinutes),
        unit: 'minutes',
        limitFrom: 'setting',
        source: SETTING,
        classes: ours,
        sentence: `${listed(same.map(({ block }) => `“${block.title}”`))} ${same.length === 1 ? 'takes' : 'take'} ${counted(minutes, 'minute')}; ${rangeWords(blockMinutes)} are usual from age ${fromAge}: ${whose(ours)}.`,
      };
    });
  });
}

/** The blocks before the first that is neither warm-up nor stretches. */
function opening(blocks: readonly PlanBlock[]): PlanBlock[] {
  const end = blocks.findIndex(({ activity }) => activity !== 'warm-up' && activity !== 'stretches');
  return blocks.slice(0, end === -1 ? blocks.length : end);
}

function warmUps({ blocks, classes, limits: { warmUpMinutesAnHour: usual } }: Timed): Finding[] {
  const minutes = total(opening(blocks));
  return by(classes, (one) => String(one.minutes)).flatMap((ours): Finding[] => {
    const length = ours[0]?.minutes ?? 0;
    const least = fraction(usual.from * length, 60);
    const most = fraction(usual.to * length, 60);
    const now = fraction(minutes);
    if (compare(now, least) >= 0 && compare(now, most) <= 0) return [];
    return [
      {
        check: 'time',
        about: 'warm-up',
        severity: 'warn',
        where: [{ pointer: '/blocks', names: opening(blocks).map(({ title }) => title) }],
        number: exact(minutes),
        limit: { atLeast: exact(least), atMost: exact(most) },
        unit: 'minutes',
        limitFrom: 'setting',
        source: SETTING,
        classes: ours,
        sentence: `${counted(minutes, 'minute')} of warm-up and stretches before the first apparatus; of ${length} minutes ${inMinutes(usual.from, length)} to ${inMinutes(usual.to, length)} are usual: ${whose(ours)}.`,
      },
    ];
  });
}

const inMinutes = (anHour: number, length: number): string => String(Math.round((anHour * length) / 6) / 10);
