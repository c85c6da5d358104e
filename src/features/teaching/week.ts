import { sql } from 'drizzle-orm';
import { Temporal } from 'temporal-polyfill';
import type { Context } from '../../platform/context.ts';
import { instantOf } from '../../platform/http/wire.ts';
import { contentOf } from '../curriculum/plan-content-repo.ts';
import { namesIn } from '../curriculum/plan-names-repo.ts';
import { listed } from '../curriculum/plan-words.ts';
import { getGym } from '../gyms/repo.ts';
import type { SheetFocus } from './sheet-schema.ts';
import { MOST_MEETINGS, MOST_PLANS, type WeekSheet } from './week-schema.ts';

interface Row extends Record<string, unknown> {
  sessionId: string;
  className: string;
  programme: string;
  day: string;
  startsAt: Date;
  endsAt: Date;
  versionId: string | null;
  planId: string;
  number: number;
  title: string;
  of: number;
}

const selectMeetings = (ctx: Context, gymId: string, from: string, until: string, programmeId: string | null) => {
  const us = ctx.franchiseId;
  return ctx.tx.execute<Row>(sql`
    SELECT s.id AS "sessionId", c.name AS "className", p.name AS programme, s.day::text AS day,
      s.starts_at AS "startsAt", s.ends_at AS "endsAt", v.id AS "versionId", v.plan_id AS "planId", v.number, l.title,
      (count(*) OVER ())::int AS of
    FROM sessions s
    JOIN classes c ON c.franchise_id = ${us} AND c.id = s.class_id
    JOIN programmes p ON p.franchise_id = ${us} AND p.id = c.programme_id
    LEFT JOIN plan_versions v ON v.franchise_id = ${us} AND v.id = s.plan_version_id
    LEFT JOIN lesson_plans l ON l.franchise_id = ${us} AND l.id = v.plan_id
    WHERE s.franchise_id = ${us} AND s.gym_id = ${gymId} AND s.day >= ${from} AND s.day < ${until}
      AND s.cancelled_at IS NULL AND (${programmeId}::uuid IS NULL OR c.programme_id = ${programmeId}::uuid)
    ORDER BY s.starts_at, c.name, s.id LIMIT ${MOST_MEETINGS}`);
};

const meetingOf = ({ sessionId, className, day, startsAt, endsAt }: Row) => ({
  sessionId,
  className,
  day,
  startsAt: instantOf(new Date(startsAt)),
  endsAt: instantOf(new Date(endsAt)),
});

/** A gym's week on one page: what each class is taught, what it is about, and a line for desk and parents. */
export async function readWeek(
  ctx: Context,
  gymId: string,
  weekOf: string,
  { programmeId }: { programmeId?: string | undefined },
): Promise<WeekSheet> {
  const { name: gym, zone } = await getGym(ctx, gymId);
  const until = Temporal.PlainDate.from(weekOf).add({ days: 7 }).toString();
  const { rows } = await selectMeetings(ctx, gymId, weekOf, until, programmeId ?? null);
  const taught = new Map<string, Row[]>();
  for (const row of rows) {
    if (row.versionId === null) continue;
    const key = `${row.programme} ${row.versionId}`;
    taught.set(key, [...(taught.get(key) ?? []), row]);
  }
  const plans: WeekSheet['plans'] = [];
  let meetingsLeftOut = (rows[0]?.of ?? 0) - rows.length;
  for (const meetings of taught.values()) {
    if (plans.length < MOST_PLANS) plans.push(await planOf(ctx, meetings));
    else meetingsLeftOut += meetings.length;
  }
  return {
    gymId,
    gym,
    zone,
    weekOf,
    printedAt: instantOf(ctx.now),
    plans,
    notLaidOut: rows.filter(({ versionId }) => versionId === null).map(meetingOf),
    leftOut: meetingsLeftOut,
    lines: plans.map(({ programme, focus, title }) => ({ programme, line: lineOf(programme, title, focus) })),
  };
}

async function planOf(ctx: Context, meetings: readonly Row[]): Promise<WeekSheet['plans'][number]> {
  const [first] = meetings;
  if (!first?.versionId) throw new RangeError('a plan is taught at some meeting');
  const content = await contentOf(ctx, first.versionId);
  const names = await namesIn(ctx, content);
  return {
    planId: first.planId,
    number: first.number,
    title: first.title,
    programme: first.programme,
    focus: content.focus.map(({ apparatusId, skills, nextWeek }) => ({
      apparatus: names.apparatus(apparatusId),
      skills: skills.map(({ skillId, standing }) => ({ skillId, skill: names.skill(skillId), standing })),
      nextWeek,
    })),
    blocks: content.blocks.map(({ title, activity, minutes, apparatusIds, stations }) => ({
      title,
      activity,
      minutes,
      apparatus: apparatusIds.map(names.apparatus),
      stations: stations.map(({ name }) => name),
    })),
    meetings: meetings.map(meetingOf),
  };
}

/**
 * What is taught and why, in one plain line: "Recreational: new this week is Cast; we go on with Long hang. Next week
 * without the wedge."
 */
export function lineOf(programme: string, title: string, focus: readonly SheetFocus[]): string {
  const skills = focus.flatMap((one) => one.skills);
  const of = (standing: string) => skills.filter((one) => one.standing === standing).map(({ skill }) => skill);
  const [fresh, goingOn, back] = [of('new'), of('continuing'), of('returning')];
  const parts = [
    ...(fresh.length === 0 ? [] : [`new this week ${fresh.length === 1 ? 'is' : 'are'} ${listed(fresh)}`]),
    ...(goingOn.length === 0 ? [] : [`we go on with ${listed(goingOn)}`]),
    ...(back.length === 0 ? [] : [`we come back to ${listed(back)}`]),
  ];
  const what = parts.length === 0 ? `this week: ${title}` : parts.join('; ');
  const why = new Set(focus.flatMap(({ nextWeek }) => (nextWeek === null ? [] : [ended(nextWeek)])));
  return [`${programme}: ${what}.`, ...why].join(' ').slice(0, 1000);
}

const ended = (said: string) => (/[.!?]$/.test(said.trim()) ? said.trim() : `${said.trim()}.`);
