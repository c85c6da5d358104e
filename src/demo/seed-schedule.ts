import { addClass } from '../features/schedule/add-class.ts';
import { enrol } from '../features/schedule/enrol.ts';
import { layOutBlocks } from '../features/schedule/lay-out-blocks.ts';
import { layOutSessions } from '../features/schedule/lay-out-sessions.ts';
import type { WholeSession } from '../features/schedule/schema.ts';
import { addDays } from '../features/schedule/zone-time.ts';
import type { Context } from '../platform/context.ts';
import type { Act } from './acting.ts';
import type { Calendar } from './calendar.ts';
import { type GymKey, PROGRAMMES } from './data/place.ts';
import { CLASSES, type ClassData, REHEARSAL } from './data/timetable.ts';
import type { Place } from './seed-place.ts';
import type { PlanFor } from './seed-plans.ts';

/** Sessions are dated so far ahead; blocks are laid out for the first of these weeks only. */
const WEEKS_DATED = 6;
const WEEKS_LAID_OUT = 2;

/** A session whose blocks are laid out. */
export interface LaidOut {
  data: Pick<ClassData, 'gym' | 'groups'> & { key: string };
  /** 0 is this week. */
  week: number;
  session: WholeSession;
}

export interface ScheduleStage {
  act: Act;
  at: Date;
  accountId: string;
  place: Place;
  calendar: Calendar;
  plan: PlanFor;
  /** The athletes of a class. */
  athletes: (classKey: string) => string[];
}

/** A gym's classes with their children and sessions, and the rehearsal where that is. A transaction a class. */
export async function seedSchedule(stage: ScheduleStage, gym: GymKey): Promise<LaidOut[]> {
  const all: LaidOut[] = [];
  for (const data of CLASSES.filter((one) => one.gym === gym)) {
    all.push(...(await stage.act(stage.at, stage.accountId, (ctx) => seedClass(ctx, stage, data))));
  }
  if (gym === REHEARSAL.gym) {
    all.push(await stage.act(stage.at, stage.accountId, (ctx) => seedRehearsal(ctx, stage)));
  }
  return all;
}

async function seedClass(
  ctx: Context,
  { place, calendar, plan, athletes }: ScheduleStage,
  data: ClassData,
): Promise<LaidOut[]> {
  const gymId = place.gym(data.gym);
  const from = calendar.day(-56);
  const { id } = await addClass(ctx, gymId, { ...classOf(data, place), from, until: null });
  for (const athleteId of athletes(data.key)) await enrol(ctx, gymId, id, { athleteId, from });
  const span = { from: calendar.day(0), until: calendar.day(7 * WEEKS_DATED) };
  const { laidOut } = await layOutSessions(ctx, gymId, id, span);
  const soon = laidOut.filter(({ day }) => day < calendar.day(7 * WEEKS_LAID_OUT));
  const whole: LaidOut[] = [];
  for (const [week, { id: sessionId, revision }] of soon.entries()) {
    const planId = plan(data.programme, week);
    const session = await layOutBlocks(ctx, gymId, sessionId, revision, { planId, groupCount: data.groups.length });
    whole.push({ data, week, session });
  }
  return whole;
}

function seedRehearsal(ctx: Context, stage: ScheduleStage): Promise<LaidOut> {
  const { weeksAhead, weekday, planOfWeek, athletesOf, posts } = REHEARSAL;
  const day = stage.calendar.day(7 * weeksAhead + weekday - 1);
  const data = { ...REHEARSAL, key: 'rehearsal', groups: [[...posts]] };
  return seedOnce(ctx, stage, data, { day, children: stage.athletes(athletesOf), week: weeksAhead, planOfWeek });
}

/** A class that meets once, its session laid out from the plan of a week. */
export async function seedOnce(
  ctx: Context,
  { place, plan }: Pick<ScheduleStage, 'place' | 'plan'>,
  data: Omit<ClassData, 'athletes'>,
  { day, children, week, planOfWeek }: { day: string; children: readonly string[]; week: number; planOfWeek: number },
): Promise<LaidOut> {
  const gymId = place.gym(data.gym);
  const span = { from: day, until: addDays(day, 1) };
  const { id } = await addClass(ctx, gymId, { ...classOf(data, place), ...span });
  for (const athleteId of children) await enrol(ctx, gymId, id, { athleteId, from: day });
  const { laidOut } = await layOutSessions(ctx, gymId, id, span);
  const [dated] = laidOut;
  if (!dated) throw new Error(`"${data.name}" has no session`);
  const planId = plan(data.programme, planOfWeek);
  const layout = { planId, groupCount: data.groups.length };
  return { data, week, session: await layOutBlocks(ctx, gymId, dated.id, dated.revision, layout) };
}

const classOf = (
  { name, programme, weekday, time, minutes, capacity }: Omit<ClassData, 'key' | 'groups' | 'athletes'>,
  place: Place,
) => ({
  name,
  programmeId: place.programme(programme),
  levelIds: PROGRAMMES[programme].levels.map((level) => place.level(level)),
  weekday,
  time,
  durationMinutes: minutes,
  capacity,
});
