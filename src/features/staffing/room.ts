import { and, asc, eq, gt, gte, inArray, isNull, lt } from 'drizzle-orm';
import { type Athlete, type Floor, joining, type Names, sentence, stoppedAt, textsIn } from '../../cover/index.ts';
import { type GymFloor, loadFloor } from '../../enforcement/load-floor.ts';
import { loadNames } from '../../enforcement/names.ts';
import { type Context, mayOrRefuse } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { type Paging, pageOf, readCursor } from '../../platform/http/paging.ts';
import { instantOf } from '../../platform/http/wire.ts';
import { invalid } from '../../platform/problem.ts';
import { DAY_MS } from '../../platform/time.ts';
import { classes, groupMembers, sessions } from '../../tables/schedule.ts';
import { refuseUnborn } from '../people/days.ts';
import { isAthleteAt } from '../schedule/enrolments-repo.ts';
import { groupsOf } from '../schedule/places-repo.ts';
import { blocksToJoin, bornBefore, capacityOn, somebody } from './headroom.ts';
import type { RoomAtSession, RoomQuestion } from './room-schema.ts';

const MOST_DAYS = 14;
/** Ways of sharing athletes out that are tried for one session. */
const MOST_TRIES = 60;

/**
 * Where, on some days of a gym, there is room for certain athletes all together. Tried, not worked out: each is added to
 * a group in the order given, and every step leaves the session's blocks covered, its session and the premises included.
 */
export async function findRoom(ctx: Context, gymId: string, question: RoomQuestion, { limit, cursor }: Paging) {
  const { from, until = dayAfter(from, 1) } = question;
  if (until <= from) throw invalid('/until', 'Expected a day after `from`.');
  if (until > dayAfter(from, MOST_DAYS)) throw invalid('/until', `Expected at most ${MOST_DAYS} days after \`from\`.`);
  await refuseStrangers(ctx, gymId, question);

  const after = readCursor(cursor, 2);
  const rows = await sessionsOn(ctx, gymId, { ...question, until });
  const keyOf = (row: (typeof rows)[number]): [string, string] => [instantOf(row.startsAt), row.id];
  const wanted = rows.filter((row) => after === null || keyOf(row).join(' ') > after.join(' ')).slice(0, limit + 1);
  const floors = new Map<string, { here: GymFloor; names: Names }>();
  const answers = new Map<string, RoomAtSession>();
  for (const row of wanted.slice(0, limit)) {
    const known = floors.get(row.day) ?? (await floorOn(ctx, gymId, row.day, question));
    floors.set(row.day, known);
    answers.set(row.id, await roomAt(ctx, known, row, question));
  }
  const shown = (row: (typeof rows)[number]) => {
    const answer = answers.get(row.id);
    if (!answer) throw new RangeError('a session on the page has its answer');
    return answer;
  };
  return pageOf(wanted, limit, shown, keyOf);
}

const dayAfter = (day: string, days: number): string =>
  new Date(Date.parse(`${day}T00:00:00Z`) + days * DAY_MS).toISOString().slice(0, 10);

async function floorOn(ctx: Context, gymId: string, day: string, { athletes }: RoomQuestion) {
  const here = await loadFloor(ctx, { gymId, day }, [], {
    athletes: athletes.flatMap(({ athleteId }) => athleteId ?? []),
  });
  return { here, names: await loadNames(ctx, here) };
}

async function refuseStrangers(ctx: Context, gymId: string, { athletes }: RoomQuestion): Promise<void> {
  for (const [index, { athleteId, born, ageMonths }] of athletes.entries()) {
    const pointer = `/athletes/${index}`;
    const told = [athleteId, born, ageMonths].filter((one) => one !== undefined).length;
    if (told !== 1) throw invalid(pointer, 'Expected one of `athleteId`, `born` and `ageMonths`.');
    refuseUnborn(ctx, born ?? null, `${pointer}/born`);
    if (athleteId === undefined) continue;
    mayOrRefuse(ctx, 'athletes.read', gymId);
    const isTwice = athletes.findIndex((one) => one.athleteId === athleteId) < index;
    if (isTwice) throw invalid(`${pointer}/athleteId`, 'This athlete is named twice.');
    if (!(await isAthleteAt(ctx, gymId, athleteId))) {
      throw invalid(`${pointer}/athleteId`, 'There is no such athlete at this gym.');
    }
  }
}

const sessionsOn = (ctx: Context, gymId: string, { from, until, programmeId }: RoomQuestion & { until: string }) =>
  ctx.tx
    .select({
      id: sessions.id,
      classId: sessions.classId,
      className: classes.name,
      day: sessions.day,
      startsAt: sessions.startsAt,
      endsAt: sessions.endsAt,
    })
    .from(sessions)
    .innerJoin(classes, and(ours(ctx, classes), eq(classes.id, sessions.classId)))
    .where(
      and(
        ours(ctx, sessions),
        eq(sessions.gymId, gymId),
        gte(sessions.day, from),
        lt(sessions.day, until),
        gt(sessions.endsAt, ctx.now),
        isNull(sessions.cancelledAt),
        programmeId === undefined ? undefined : eq(classes.programmeId, programmeId),
      ),
    )
    .orderBy(asc(sessions.startsAt), asc(sessions.id));

type SessionRow = Awaited<ReturnType<typeof sessionsOn>>[number];
type Seeker = Athlete & { category: string | null };
type Group = { id: string; name: string; blocks: string[] };

async function roomAt(
  ctx: Context,
  { here, names }: { here: GymFloor; names: Names },
  session: SessionRow,
  question: RoomQuestion,
): Promise<RoomAtSession> {
  const seekers = seekersFor(here, session.day, question);
  const { left, capacity } = await capacityOn(ctx, here.gymId, session.classId, session.day);
  const groups = (await groupsOf(ctx, [session.id]))
    .sort((a, b) => a.athletes - b.athletes || a.position - b.position)
    .map(
      ({ id, name }): Group => ({ id, name, blocks: blocksToJoin(here, session.id, id, ctx.now).map((one) => one.id) }),
    );
  const { room: say } = textsIn(ctx.language);
  const why = await busy(ctx, session, question);
  if (left < seekers.length) {
    const full = say.full({ className: session.className, capacity, left });
    why.push({ ...nobody, code: 'capacity', sentence: full });
  }
  if (groups.length === 0) {
    why.push({ ...nobody, code: 'not-laid-out', sentence: say.notLaidOut });
  }
  const found = why.length > 0 ? NOT_TRIED : share(here.floor, groups, seekers);
  const { id: sessionId, classId, className, day, startsAt, endsAt } = session;
  return {
    sessionId,
    classId,
    className,
    day,
    startsAt: instantOf(startsAt),
    endsAt: instantOf(endsAt),
    capacityLeft: left,
    fits: found.fits,
    isSearchComplete: found.isComplete,
    placements: found.placed.map((group, athlete) => ({ athlete, groupId: group.id, groupName: group.name })),
    why: [
      ...why,
      ...found.stops.map(({ athlete, group, finding }) => ({
        code: 'cover' as const,
        sentence: sentence(finding, names),
        athlete,
        groupId: group.id,
        bindingRuleId: finding.rule,
      })),
    ],
  };
}

const nobody = { athlete: null, groupId: null, bindingRuleId: null };
const NOT_TRIED: Shared = { fits: false, isComplete: true, placed: [], stops: [] };

function seekersFor({ floor }: GymFloor, day: string, { athletes, oneFamily }: RoomQuestion): Seeker[] {
  return athletes.map(({ athleteId, born = null, ageMonths, category, traits }, index) => {
    const here = floor.athletes.find(({ person }) => person === athleteId);
    if (here) return { ...here, category };
    const one = somebody(`newcomer ${index}`, {
      born: ageMonths === undefined ? born : bornBefore(day, ageMonths),
      family: oneFamily ? 'newcomers' : null,
      traits: traits.map((trait) => ({ trait, spans: null })),
    });
    return { ...one, category };
  });
}

/** Who has another place at that time, in this session or another. */
async function busy(ctx: Context, session: SessionRow, { athletes }: RoomQuestion): Promise<RoomAtSession['why']> {
  const ids = athletes.flatMap(({ athleteId }) => athleteId ?? []);
  if (ids.length === 0) return [];
  const rows = await ctx.tx
    .select({ athleteId: groupMembers.athleteId, sessionId: groupMembers.sessionId, className: classes.name })
    .from(groupMembers)
    .innerJoin(sessions, and(ours(ctx, sessions), eq(sessions.id, groupMembers.sessionId)))
    .innerJoin(classes, and(ours(ctx, classes), eq(classes.id, sessions.classId)))
    .where(
      and(
        ours(ctx, groupMembers),
        inArray(groupMembers.athleteId, ids),
        isNull(groupMembers.releasedAt),
        isNull(sessions.cancelledAt),
        lt(groupMembers.startsAt, session.endsAt),
        gt(groupMembers.endsAt, session.startsAt),
      ),
    );
  const { room: say } = textsIn(ctx.language);
  return rows.map(({ athleteId, sessionId, className }) => ({
    ...nobody,
    athlete: athletes.findIndex((one) => one.athleteId === athleteId),
    ...(sessionId === session.id
      ? { code: 'already-there' as const, sentence: say.alreadyThere }
      : { code: 'two-places' as const, sentence: say.elsewhere({ className }) }),
  }));
}

type Stop = { athlete: number; group: Group; finding: ReturnType<typeof stoppedAt>[number]['findings'][number] };
type Shared = { fits: boolean; isComplete: boolean; placed: Group[]; stops: Stop[] };

/** Shares athletes out over groups, in their order, the smallest group first: the first way in which every step holds. */
function share(floor: Floor, groups: readonly Group[], seekers: readonly Seeker[]): Shared {
  let tries = 0;
  let deepest: Stop[] = [];
  const placed: Group[] = [];
  function from(index: number, so: Floor): boolean {
    const seeker = seekers[index];
    if (seeker === undefined) return true;
    const stops: Stop[] = [];
    for (const group of groups) {
      if (tries >= MOST_TRIES) return false;
      tries += 1;
      const { category, ...athlete } = seeker;
      const after = joining(
        so,
        group.blocks.map((block) => ({ block, category })),
        athlete,
      );
      const finding = stoppedAt(after, group.blocks)[0]?.findings[0];
      if (finding) {
        stops.push({ athlete: index, group, finding });
        continue;
      }
      placed.push(group);
      if (from(index + 1, after)) return true;
      placed.pop();
    }
    if (index >= (deepest[0]?.athlete ?? 0)) deepest = stops;
    return false;
  }
  const fits = from(0, floor);
  const isComplete = fits || tries < MOST_TRIES;
  return { fits, isComplete, placed: fits ? placed : [], stops: fits ? [] : deepest };
}
