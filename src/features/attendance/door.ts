import { and, eq, inArray, sql } from 'drizzle-orm';
import { compare, coverTimeline, type Finding, type Floor, narrowed, parseFraction } from '../../cover/index.ts';
import type { Athlete, Cover } from '../../cover/types.ts';
import { type GymFloor, loadFloor } from '../../enforcement/load-floor.ts';
import { grouped, onDay, some } from '../../enforcement/rows.ts';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { attendance, staffStays } from '../../tables/attendance.ts';
import { athletes, athleteTraits } from '../../tables/people.ts';
import { sessions } from '../../tables/schedule.ts';
import type { Coming } from './arrivals.ts';

/** What letting somebody in is over, by athlete; nothing for those who fit. `at` is the floor as it then is. */
export interface AtTheDoor {
  at: GymFloor;
  over: Map<string, Finding[]>;
}

/**
 * Judges each arrival in turn against whoever is there: those present, in the block that their group is in (or will
 * start with), and the staff assigned to it who have not left. A finding counts when it was not there before them, or
 * is worse with them.
 */
export async function judgeArrivals(
  ctx: Context,
  gymId: string,
  day: string,
  coming: readonly Coming[],
  at: Date,
): Promise<AtTheDoor> {
  const loaded = await loadFloor(ctx, { gymId, day });
  const present = await presentOn(ctx, gymId, day);
  const strangers = await loadStrangers(ctx, loaded.floor, day, [...present, ...coming]);
  const away = await awayAt(ctx, gymId, day, at);
  const here = new Map(present.map((one) => [`${one.athleteId} ${one.sessionId}`, one]));
  const over = new Map<string, Finding[]>();
  const seen: Floor = {
    ...loaded.floor,
    athletes: [...loaded.floor.athletes, ...strangers],
    staff: loaded.floor.staff.map((one) => (away.has(one.person) ? { ...one, at: [] } : one)),
  };
  for (const one of coming) {
    const moment = Math.max(at.getTime(), one.startsAt.getTime());
    const before = coversAt(seen, here, moment);
    here.set(`${one.athleteId} ${one.sessionId}`, one);
    const findings = worse(before, coversAt(seen, here, moment)).filter(
      ({ unit }) => unit.per !== 'session' || unit.id === one.sessionId,
    );
    if (findings.length > 0) over.set(one.athleteId, findings);
  }
  return { at: { ...loaded, floor: seen }, over };
}

interface Here {
  athleteId: string;
  sessionId: string;
  groupId: string | null;
}

/** The covers of a moment, with those athletes in their blocks who are here. */
function coversAt(floor: Floor, here: ReadonlyMap<string, Here>, moment: number): Cover[] {
  const running = floor.blocks.filter(({ span }) => span.from <= moment && moment < span.to);
  const placed = (athlete: Athlete): Athlete => {
    const theirs = [...here.values()].filter(({ athleteId }) => athleteId === athlete.person);
    const blocks = running.filter(({ session, group }) =>
      theirs.some((one) => one.sessionId === session && one.groupId === group),
    );
    const categoryIn = (id: string) => athlete.enrolled.find(({ block }) => block === id)?.category ?? null;
    const at = blocks.map(({ id, span }) => ({ unit: { per: 'block', id } as const, span, category: categoryIn(id) }));
    return { ...athlete, at };
  };
  const ids = new Set(running.map(({ id }) => id));
  return coverTimeline(
    narrowed(
      {
        ...floor,
        blocks: floor.blocks.map((block) => (ids.has(block.id) ? { ...block, confirmed: true } : block)),
        athletes: floor.athletes.map(placed).filter(({ at }) => at.length > 0),
      },
      { from: moment, to: moment + 1 },
    ),
  );
}

/** Findings that uncover, and that were not there before or are larger now. */
function worse(before: readonly Cover[], after: readonly Cover[]): Finding[] {
  const uncovering = (covers: readonly Cover[]) =>
    covers.flatMap(({ findings }) => findings.filter((one) => one.strength === 'refuse' && one.override === null));
  const keyOf = ({ unit, code, rule }: Finding) => `${unit.per} ${unit.id} ${code} ${rule}`;
  const were = new Map(uncovering(before).map((finding) => [keyOf(finding), finding]));
  return uncovering(after).filter((finding) => {
    const was = were.get(keyOf(finding));
    return was === undefined || compare(finding.short, was.short) > 0;
  });
}

const presentOn = (ctx: Context, gymId: string, day: string): Promise<Here[]> =>
  ctx.tx
    .select({
      athleteId: attendance.athleteId,
      sessionId: attendance.sessionId,
      groupId: sql<string | null>`coalesce((SELECT m.group_id FROM group_members m
        WHERE m.franchise_id = ${ctx.franchiseId} AND m.session_id = ${attendance.sessionId}
          AND m.athlete_id = ${attendance.athleteId} AND m.released_at IS NULL), ${attendance.groupId})`,
    })
    .from(attendance)
    .innerJoin(sessions, and(ours(ctx, sessions), eq(sessions.id, attendance.sessionId)))
    .where(
      and(ours(ctx, attendance), eq(attendance.gymId, gymId), eq(attendance.state, 'present'), eq(sessions.day, day)),
    );

/** Those without a place in a group that day, as the engine sees an athlete. */
async function loadStrangers(ctx: Context, floor: Floor, day: string, who: readonly Here[]): Promise<Athlete[]> {
  const known = new Set(floor.athletes.map(({ person }) => person));
  const ids = [...new Set(who.map(({ athleteId }) => athleteId))].filter((id) => !known.has(id));
  if (ids.length === 0) return [];
  const rows = await ctx.tx
    .select({
      person: athletes.personId,
      born: athletes.born,
      family: athletes.familyId,
      countsAs: athletes.countsAs,
    })
    .from(athletes)
    .where(and(ours(ctx, athletes), inArray(athletes.personId, some(ids))));
  const traits = await ctx.tx
    .select({ athleteId: athleteTraits.athleteId, trait: athleteTraits.trait })
    .from(athleteTraits)
    .where(and(ours(ctx, athleteTraits), inArray(athleteTraits.athleteId, some(ids)), onDay(athleteTraits, day)));
  const traitsOf = grouped(traits, ({ athleteId }) => athleteId);
  return rows.map((row) => ({
    ...row,
    category: null,
    traits: traitsOf(row.person).map(({ trait }) => ({ trait, spans: null })),
    countsAs: parseFraction(row.countsAs),
    support: null,
    at: [],
    enrolled: [],
  }));
}

/** The staff who have checked in that day, and are gone or on a break. Whoever has not come yet counts as planned. */
async function awayAt(ctx: Context, gymId: string, day: string, at: Date): Promise<Set<string>> {
  const rows = await ctx.tx
    .select()
    .from(staffStays)
    .where(and(ours(ctx, staffStays), eq(staffStays.gymId, gymId), eq(staffStays.day, day)));
  const isNow = ({ inAt, outAt }: { inAt: Date | null; outAt: Date | null }) =>
    inAt !== null && inAt <= at && (outAt === null || outAt > at);
  const atWork = new Set(rows.filter((row) => row.kind === 'work' && isNow(row)).map(({ personId }) => personId));
  const onBreak = rows.filter((row) => row.kind === 'break' && isNow(row)).map(({ personId }) => personId);
  for (const personId of onBreak) atWork.delete(personId);
  return new Set(rows.map(({ personId }) => personId).filter((personId) => !atWork.has(personId)));
}
