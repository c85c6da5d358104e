import type { Context } from '../../../platform/context.ts';
import { drillsById } from '../drills-repo.ts';
import * as content from '../plan-content-repo.ts';
import type { PlanContent } from '../plan-content-schema.ts';
import type { PlanVersion } from '../plan-schema.ts';
import * as plans from '../plans-repo.ts';
import type { Drill } from '../schema.ts';
import { getTerm } from '../terms-repo.ts';
import { checkActivity } from './activity.ts';
import { checkFocus, checkTerm, taughtBy } from './coverage.ts';
import { type CheckedClass, counted, exact, type Finding, listed, whose } from './finding.ts';
import { checkHolds } from './holds.ts';
import { lessonsAt } from './lessons.ts';
import type { Limits } from './limits.ts';
import { checkOrder } from './order.ts';
import type { PlanChecks } from './schema.ts';
import { getSettings } from './settings.ts';
import { checkSizeFit, unmeasured } from './size-fit.ts';
import { checkSpotting } from './spotting-demand.ts';
import { checkStock } from './stock.ts';
import { skillNames, taughtByPlans, termsOf } from './term-repo.ts';
import { checkTime } from './time.ts';
import { checkWaiting, mostTurns } from './waiting.ts';
import { checkWater } from './water.ts';
import { classesInWeek, kindsOfApparatus, staffInWeek, type WeekClass } from './week-repo.ts';
import { onWire } from './wire.ts';

/**
 * Everything that a version of a plan is measured by, at all gyms, for the classes of its programmes in the week it is
 * written for: what is over its limit, the turns at each station, and what could not be checked. Refuses nothing.
 */
export async function checkVersion(ctx: Context, version: PlanVersion): Promise<PlanChecks> {
  const { weekOf, programmeIds } = await plans.getPlan(ctx, version.planId, 'drafts-too');
  const limits = await getSettings(ctx);
  const whole = await content.contentOf(ctx, version.id);
  const drills = await drillsById(
    ctx,
    whole.blocks.flatMap(({ stations }) => stations.flatMap(({ steps }) => steps.flatMap(({ drillIds }) => drillIds))),
  );
  const { classes: week, more } = await classesInWeek(ctx, weekOf, programmeIds);
  const classes = week.filter(({ programmeId }) => programmeIds.includes(programmeId));
  const apparatus = await kindsOfApparatus(ctx);
  const plan = { blocks: whole.blocks, drills, classes, limits, apparatus };
  const { gyms, ...left } = await lessonsAt(ctx, { weekOf, week, ...plan });

  const found = [
    ...(await spottingOf(ctx, weekOf, plan)),
    ...checkTime(plan),
    ...checkWater(plan),
    ...checkOrder({ ...plan, isArmHeavy: (id) => apparatus.get(id)?.armHeavy ?? false }),
    ...checkHolds(plan),
    ...checkWaiting(plan),
    ...checkActivity(plan),
    ...checkStock(gyms, (id) => apparatus.get(id)?.name ?? id),
    ...checkSizeFit(plan),
    ...(await coverageOf(ctx, version.planId, whole, drills, limits)),
  ];
  return {
    planId: version.planId,
    number: version.number,
    ...onWire(found),
    turns: mostTurns(plan).map(({ waitingShare, waitSeconds, ...turns }) => ({
      ...turns,
      waitingShare: exact(waitingShare),
      waitSeconds: exact(waitSeconds),
    })),
    unchecked: [...uncheckedOf(weekOf, classes, unmeasured(plan)), ...unreadOf({ ...left, more })],
  };
}

type Spotted = Omit<Parameters<typeof checkSpotting>[0], 'staffOf' | 'togetherWith' | 'classes'> & {
  classes: readonly WeekClass[];
};

async function spottingOf(ctx: Context, weekOf: string, plan: Spotted): Promise<Finding[]> {
  const gymIds = [...new Set(plan.classes.map(({ gymId }) => gymId))];
  const staff = await staffInWeek(ctx, gymIds, weekOf);
  const spans = new Map(
    plan.classes.map((one) => [one.id, { from: one.startsAtMs, to: one.startsAtMs + one.minutes * 60_000 }]),
  );
  const spanOf = ({ id }: CheckedClass) => spans.get(id) ?? { from: 0, to: 0 };
  return checkSpotting({
    ...plan,
    staffOf: (one) => {
      const { from, to } = spanOf(one);
      return staff.filter(
        ({ gymId, employed, absent }) =>
          gymId === one.gymId &&
          employed.some((days) => days.from <= one.day && (days.to === null || one.day < days.to)) &&
          !absent.some((span) => span.from < to && from < span.to),
      );
    },
    togetherWith: (one) => {
      const { from } = spanOf(one);
      return plan.classes.filter(
        (other) => other.gymId === one.gymId && spanOf(other).from <= from && from < spanOf(other).to,
      );
    },
  });
}

async function coverageOf(
  ctx: Context,
  planId: string,
  whole: PlanContent,
  drills: ReadonlyMap<string, Drill>,
  limits: Limits,
): Promise<Finding[]> {
  const taught = taughtBy(whole.blocks, drills);
  const terms = [];
  for (const termId of await termsOf(ctx, planId)) terms.push(await getTerm(ctx, termId));
  const nameOf = await skillNames(ctx, [
    ...whole.focus.flatMap(({ skills }) => skills.map(({ skillId }) => skillId)),
    ...terms.flatMap(({ weeks }) => weeks.flatMap(({ skills }) => skills.map(({ skillId }) => skillId))),
  ]);
  // Of a term, what is about this plan's own weeks; the rest is the term's own check.
  const ofTerms = terms.flatMap((term) =>
    checkTerm(term, new Map([[planId, taught]]), limits, nameOf).filter(({ about }) => about === 'taught'),
  );
  return [...checkFocus(whole, taught, limits, nameOf), ...ofTerms];
}

/** What a term is measured by: what its weeks' plans teach of what it plans, how much is new, and its tests. */
export async function checkWholeTerm(ctx: Context, termId: string) {
  const term = await getTerm(ctx, termId);
  const taught = await taughtByPlans(
    ctx,
    term.weeks.flatMap(({ planId }) => planId ?? []),
  );
  const nameOf = await skillNames(
    ctx,
    term.weeks.flatMap(({ skills }) => skills.map(({ skillId }) => skillId)),
  );
  return { termId, ...onWire(checkTerm(term, taught, await getSettings(ctx), nameOf)) };
}

function uncheckedOf(
  weekOf: string,
  classes: readonly CheckedClass[],
  pieces: readonly string[],
): PlanChecks['unchecked'] {
  const unchecked: PlanChecks['unchecked'] = [];
  if (classes.length === 0) {
    const sentence = `No class of its programmes is on in the week of ${weekOf}: nothing was checked against a class.`;
    return [{ check: 'time', sentence }];
  }
  const ageless = classes.filter(({ months }) => months.length === 0);
  if (ageless.length > 0) {
    const sentence = `Nobody’s day of birth is known in ${whose(ageless)}: what depends on age was not checked there.`;
    unchecked.push({ check: 'time', sentence });
  }
  unchecked.push({
    check: 'spotting',
    sentence: 'Who is available was not asked: staff count who are employed that day and not known to be away.',
  });
  if (pieces.length > 0) {
    const sentence = `Nobody has measured ${listed(pieces.map((name) => `“${name}”`))}, whose size has to match.`;
    unchecked.push({ check: 'size-fit', sentence });
  }
  return unchecked;
}

/** What was not looked at of the week's other classes. */
function unreadOf({
  withoutPlan,
  unread,
  more,
}: Record<'withoutPlan' | 'unread', readonly CheckedClass[]> & { more: number }): PlanChecks['unchecked'] {
  const unchecked: PlanChecks['unchecked'] = [];
  const others = (classes: readonly CheckedClass[], one: string, many: string) =>
    counted(classes.length, `other class ${one}`, `other classes ${many}`);
  if (withoutPlan.length > 0) {
    const sentence = `${others(withoutPlan, 'has', 'have')} no plan for that week at these gyms; what they use is not counted: ${whose(withoutPlan)}.`;
    unchecked.push({ check: 'equipment', sentence });
  }
  if (unread.length > 0) {
    const sentence = `${others(unread, 'has a plan that was', 'have plans that were')} not read, because these gyms have so many that week; what they use is not counted: ${whose(unread)}.`;
    unchecked.push({ check: 'equipment', sentence });
  }
  if (more > 0) {
    const sentence = `${counted(more, 'more class is', 'more classes are')} on in that week than can be looked at: nothing was checked against ${more === 1 ? 'it' : 'them'}.`;
    unchecked.push({ check: 'time', sentence });
  }
  return unchecked;
}
