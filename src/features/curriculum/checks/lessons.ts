import { grouped } from '../../../enforcement/rows.ts';
import type { Context } from '../../../platform/context.ts';
import { drillsById } from '../drills-repo.ts';
import { contentOf } from '../plan-content-repo.ts';
import type { PlanBlock } from '../plan-content-schema.ts';
import type { Drill } from '../schema.ts';
import type { CheckedClass } from './finding.ts';
import { type Lesson, needsOf, type StockedGym } from './stock.ts';
import { planOfWeek, stockAt, type WeekClass } from './week-repo.ts';

/** Of other plans so many are read: each takes some statements. */
const MOST_VERSIONS = 60;

interface Asked {
  weekOf: string;
  week: readonly WeekClass[];
  /** Those of them that the checked version is for. */
  classes: readonly WeekClass[];
  blocks: readonly PlanBlock[];
  drills: ReadonlyMap<string, Drill>;
}

/**
 * The gyms at which a version is taught, each with its stock and all its lessons of the week: the plan's own as they
 * would be taught from it, the others from what they are laid out from or what their programme has for the week.
 * `withoutPlan` are those that have neither; `unread` those whose plan is one too many to be read.
 */
export async function lessonsAt(ctx: Context, { weekOf, week, classes, blocks, drills }: Asked) {
  const gymIds = [...new Set(classes.map(({ gymId }) => gymId))];
  const isOurs = new Set(classes.map(({ id }) => id));
  const planned = await planOfWeek(ctx, weekOf);
  const here = week.filter(({ gymId }) => gymIds.includes(gymId));
  const versionOf = ({ planVersionId, programmeId }: WeekClass) => planVersionId ?? planned.get(programmeId) ?? null;
  const others = here.filter(({ id }) => !isOurs.has(id));
  const needs = await needsOfVersions(
    ctx,
    others.flatMap((one) => versionOf(one) ?? []),
  );
  const ourNeeds = needsOf(blocks, drills);
  const withoutPlan: CheckedClass[] = others.filter((one) => versionOf(one) === null);
  const unread: CheckedClass[] = others.filter((one) => !needs.has(versionOf(one) ?? '') && versionOf(one) !== null);
  const lessons = grouped(
    here.map((one) => ({
      gymId: one.gymId,
      lesson: lessonOf(
        one,
        isOurs.has(one.id) ? ourNeeds : (needs.get(versionOf(one) ?? '') ?? []),
        isOurs.has(one.id),
      ),
    })),
    ({ gymId }) => gymId,
  );
  const stock = await stockAt(ctx, gymIds);
  const gyms: StockedGym[] = gymIds.map((gymId) => ({
    name: classes.find((one) => one.gymId === gymId)?.gymName ?? '',
    stock: stock(gymId),
    lessons: lessons(gymId).map(({ lesson }) => lesson),
  }));
  return { gyms, withoutPlan, unread };
}

async function needsOfVersions(ctx: Context, versionIds: readonly string[]): Promise<Map<string, Lesson['blocks']>> {
  const needs = new Map<string, Lesson['blocks']>();
  for (const id of [...new Set(versionIds)].slice(0, MOST_VERSIONS)) {
    const { blocks } = await contentOf(ctx, id);
    const steps = blocks.flatMap(({ stations }) => stations.flatMap((station) => station.steps));
    const drills = await drillsById(
      ctx,
      steps.flatMap(({ drillIds }) => drillIds),
    );
    needs.set(id, needsOf(blocks, drills));
  }
  return needs;
}

function lessonOf(one: WeekClass, blocks: Lesson['blocks'], isOurs: boolean): Lesson {
  const [hours = 0, minutes = 0] = one.startsAt.split(':').map(Number);
  const from = hours * 60 + minutes;
  return {
    weekday: one.weekday,
    from,
    to: from + one.minutes,
    groups: one.groups,
    blocks,
    ours: isOurs ? one : null,
  };
}
