import { and, eq, isNull, sql } from 'drizzle-orm';
import { lockCover } from '../../enforcement/lock.ts';
import { stateAt } from '../../enforcement/recorded.ts';
import type { Context } from '../../platform/context.ts';
import { violates } from '../../platform/db/constraint.ts';
import { ours } from '../../platform/db/tenant.ts';
import { instantOf } from '../../platform/http/wire.ts';
import { newId } from '../../platform/ids.ts';
import { found, invalid, refuse } from '../../platform/problem.ts';
import { blockRollEntries, blockRolls } from '../../tables/attendance.ts';
import { blocks } from '../../tables/schedule.ts';
import { type Coming, whereTo } from './arrivals.ts';
import { alertsOf, judgeAll } from './door.ts';
import { elsewhere, goingOn, recordGoingOn, stillMarkedIn } from './going-on.ts';
import { type NewMark, writeMarks } from './marks-repo.ts';
import {
  athletesMarkedAt,
  doorOf,
  ownBlockOrRefuse,
  recordStoppedRead,
  refuseLongAfter,
  refuseLongBefore,
  whenOf,
} from './repo.ts';
import type { Difference, NewRoll, TakenRoll } from './roll-schema.ts';

export async function getBlock(ctx: Context, gymId: string, blockId: string) {
  const [row] = await ctx.tx
    .select({
      id: blocks.id,
      sessionId: blocks.sessionId,
      groupId: blocks.groupId,
      day: blocks.day,
      startsAt: blocks.startsAt,
      endsAt: blocks.endsAt,
    })
    .from(blocks)
    .where(and(ours(ctx, blocks), eq(blocks.gymId, gymId), eq(blocks.id, blockId), isNull(blocks.supersededAt)));
  return found(row, 'block');
}
type Block = Awaited<ReturnType<typeof getBlock>>;

/** Refuses what is said to have been long before or after a block. */
export function refuseFar(block: Block, at: Date): void {
  refuseLongBefore(block, at, '/at');
  refuseLongAfter(block, at, '/at');
}

/**
 * A coach's roll of their block, held against the door at the roll's own moment. Whoever is in front of the coach and
 * was not checked in is in by this, over the limit or not, with the alerts of the door; nobody is out by not being
 * seen: the answer says where the roll and the door differ.
 */
export async function takeRoll(
  ctx: Context,
  gymId: string,
  blockId: string,
  roll: NewRoll,
  days?: number,
): Promise<TakenRoll> {
  let block = await getBlock(ctx, gymId, blockId);
  await ownBlockOrRefuse(ctx, 'attendance.write', gymId, blockId);
  const { here, missing, counted } = roll;
  const named = [...here, ...missing];
  if (new Set(named).size < named.length) throw invalid('/here', 'Name each athlete once, here or missing.');
  const known = await athletesMarkedAt(ctx, gymId, named, block.sessionId);
  const stranger = named.find((id) => !known.has(id));
  if (stranger)
    throw invalid(here.includes(stranger) ? '/here' : '/missing', 'One of these is no athlete of this gym.');
  const at = whenOf(ctx, roll.at, days);
  refuseFar(block, at);
  let behind: Awaited<ReturnType<typeof stillMarkedIn>> = [];
  let door: 'admit' | 'hold' = 'admit';
  const lock = await lockCover(ctx, 'fact', async () => {
    block = await getBlock(ctx, gymId, blockId);
    door = await doorOf(ctx, gymId);
    const days = door === 'hold' ? [{ gymId, day: block.day }] : [];
    const { sessionId } = block;
    const hereNow = here.map((athleteId) => ({ athleteId, sessionId }));
    behind = elsewhere(await stillMarkedIn(ctx, gymId, here, at), hereNow);
    return { days, people: named, sessions: [sessionId, ...behind.map((one) => one.sessionId)] };
  });
  const rollId = await insertRoll(ctx, gymId, { blockId, at, counted, rollId: roll.rollId });
  const differences = await compareWithDoor(ctx, block, roll, at);
  const came = differences.filter(({ what }) => what === 'checked-in').map(({ athleteId }) => athleteId);
  const entries = [
    ...here.map((athleteId) => ({ athleteId, here: true })),
    ...missing.map((athleteId) => ({ athleteId, here: false })),
  ];
  if (entries.length > 0) {
    await ctx.tx
      .insert(blockRollEntries)
      .values(entries.map((entry) => ({ franchiseId: ctx.franchiseId, rollId, ...entry })));
  }
  const coming = await whereTo(
    ctx,
    gymId,
    came.map((athleteId) => ({ athleteId, sessionId: block.sessionId })),
    at,
    'here',
  );
  const judged = await judgeAll(ctx, gymId, coming, at);
  const marks = coming.map(
    (one: Coming): NewMark => ({
      id: newId(),
      sessionId: one.sessionId,
      athleteId: one.athleteId,
      kind: 'in',
      at,
      as: one,
      findings: judged.codes(one),
    }),
  );
  const left = goingOn(behind, marks, at);
  const written = await writeMarks(ctx, lock, gymId, [...marks, ...left], true);
  for (const { id: markId, athleteId, sessionId, findings: codes = [] } of marks) {
    const revision = written.get(`${sessionId} ${athleteId}`)?.row.revision ?? 1;
    const about = { subjectId: athleteId, gymId, revision };
    await ctx.record('attendance.checked-in', about, { sessionId, athleteId, markId, at: at.toISOString(), codes });
    if (codes.length > 0) await ctx.record('attendance.over-limit', about, { sessionId, athleteId, codes, door });
  }
  await recordGoingOn(ctx, gymId, left, written);
  const ofRoll = { subjectId: rollId, gymId };
  const heads = { here: here.length, missing: missing.length, counted };
  await ctx.record('attendance.roll-taken', ofRoll, { rollId, blockId, ...heads });
  const wrong = differences.filter(({ what }) => what !== 'checked-in' && what !== 'out');
  if (wrong.length > 0) {
    const athleteIds = wrong.map(({ athleteId }) => athleteId);
    await ctx.record('attendance.roll-differs', ofRoll, { rollId, blockId, athleteIds });
  }
  const stopped = differences.filter(({ what }) => what === 'stopped').map(({ athleteId }) => athleteId);
  await recordStoppedRead(ctx, gymId, stopped);
  // Each one more is over the same by more: of each finding, the last.
  const alerts = new Map(
    [...(await alertsOf(ctx, judged)).values()]
      .flat()
      .map((one) => [`${one.unit.per} ${one.unit.id} ${one.code} ${one.ruleId}`, one]),
  );
  return {
    roll: { rollId, blockId, at: instantOf(at), recordedAt: instantOf(ctx.now), counted, here, missing },
    differences,
    alerts: [...alerts.values()],
    headsDiffer: counted !== null && counted !== here.length,
  };
}

/** Writes a roll, or a headcount, down, under the id that it came with, if any; gives its id. */
export async function insertRoll(
  ctx: Context,
  gymId: string,
  { blockId, at, counted, rollId }: { blockId: string; at: Date; counted: number | null; rollId?: string | undefined },
): Promise<string> {
  const id = rollId ?? newId();
  try {
    await ctx.tx.insert(blockRolls).values({
      franchiseId: ctx.franchiseId,
      id,
      gymId,
      blockId,
      at,
      recordedAt: ctx.now,
      recordedBy: ctx.accountId,
      counted,
    });
  } catch (error) {
    if (violates(error, 'unique')) throw refuse('already-exists', 'A roll has that id already.');
    throw error;
  }
  return id;
}

interface Known {
  athleteId: string;
  given: string | null;
  family: string | null;
  ofSession: boolean;
  ofGroup: boolean;
  state: Parameters<typeof stateAt>[0]['state'];
  isOut: boolean;
  isStopped: boolean;
  seenIn: string | null;
  seenAt: string | null;
}

type KnownRow = Record<string, unknown> &
  Omit<Known, 'state'> & {
    state: Known['state'] | null;
    since: string | null;
    stays: { inAt: string | null; outAt: string | null }[];
  };

const msOf = (moment: string | null) => (moment === null ? null : new Date(moment).getTime());

/** Everybody of the group, and whoever else was named: what the door knows of them at that moment. */
async function compareWithDoor(
  ctx: Context,
  { id: blockId, sessionId, groupId }: Block,
  { here, missing }: NewRoll,
  at: Date,
): Promise<Difference[]> {
  const us = ctx.franchiseId;
  const moment = at.toISOString();
  const { rows } = await ctx.tx.execute<KnownRow>(sql`
    WITH people AS (
      SELECT unnest(${sql.param([...here, ...missing])}::uuid[]) AS id
      UNION SELECT athlete_id FROM group_members
        WHERE franchise_id = ${us} AND group_id = ${groupId} AND released_at IS NULL
      UNION SELECT a.athlete_id FROM attendance a
        LEFT JOIN group_members m ON m.franchise_id = ${us} AND m.session_id = a.session_id
          AND m.athlete_id = a.athlete_id AND m.released_at IS NULL
        WHERE a.franchise_id = ${us} AND a.session_id = ${sessionId}
          AND coalesce(m.group_id, a.group_id) = ${groupId}
    )
    SELECT p.id AS "athleteId", n.given, n.family, a.state, a.since,
      coalesce((SELECT json_agg(json_build_object('inAt', y.in_at, 'outAt', y.out_at)) FROM stays y
        WHERE y.franchise_id = ${us} AND y.session_id = ${sessionId} AND y.athlete_id = p.id), '[]') AS stays,
      m.id IS NOT NULL OR a.athlete_id IS NOT NULL AS "ofSession",
      coalesce(m.group_id, a.group_id) IS NOT DISTINCT FROM ${groupId}::uuid AS "ofGroup",
      EXISTS (SELECT FROM outings o WHERE o.franchise_id = ${us} AND o.session_id = ${sessionId}
        AND o.athlete_id = p.id AND o.undone_at IS NULL AND o.out_at <= ${moment}::timestamptz
        AND (o.back_at IS NULL OR o.back_at > ${moment}::timestamptz)) AS "isOut",
      EXISTS (SELECT FROM activity_holds h WHERE h.franchise_id = ${us} AND h.athlete_id = p.id
        AND h.since <= ${moment}::timestamptz
        AND (h.cleared_at IS NULL OR h.cleared_at > ${moment}::timestamptz)) AS "isStopped",
      seen.block_id AS "seenIn", seen.at AS "seenAt"
    FROM people p
    LEFT JOIN person_names n ON n.franchise_id = ${us} AND n.person_id = p.id
    LEFT JOIN attendance a ON a.franchise_id = ${us} AND a.session_id = ${sessionId} AND a.athlete_id = p.id
    LEFT JOIN group_members m ON m.franchise_id = ${us} AND m.session_id = ${sessionId} AND m.athlete_id = p.id
      AND m.released_at IS NULL
    LEFT JOIN LATERAL (
      SELECT r.block_id, r.at FROM block_roll_entries e
      JOIN block_rolls r ON r.franchise_id = ${us} AND r.id = e.roll_id
      JOIN blocks b ON b.franchise_id = ${us} AND b.id = r.block_id AND b.session_id = ${sessionId}
      WHERE e.franchise_id = ${us} AND e.athlete_id = p.id AND e.here AND r.at <= ${moment}::timestamptz
        AND r.block_id <> ${blockId}
      ORDER BY r.at DESC LIMIT 1) seen ON true
    ORDER BY n.family, n.given, p.id`);
  const isHere = new Set(here);
  const isMissing = new Set(missing);
  return rows.flatMap(({ state: now, since, stays, ...rest }): Difference[] => {
    const theirs = stays.map(({ inAt, outAt }) => ({ from: msOf(inAt), to: msOf(outAt) }));
    const state =
      now === null ? 'expected' : stateAt({ state: now, since: msOf(since) ?? 0, stays: theirs }, at.getTime());
    const row: Known = { ...rest, state };
    const lastSeen =
      row.seenIn === null || row.seenAt === null ? null : { blockId: row.seenIn, at: instantOf(new Date(row.seenAt)) };
    const what = isHere.has(row.athleteId) ? whatOfHere(row) : whatOfAbsent(row, isMissing.has(row.athleteId));
    return what.map((each) => ({
      athleteId: row.athleteId,
      given: row.given,
      family: row.family,
      what: each,
      lastSeen,
    }));
  });
}

function whatOfHere({ ofSession, ofGroup, state, isStopped }: Known): Difference['what'][] {
  if (!ofSession) return ['not-expected'];
  const elsewhere: Difference['what'][] = ofGroup ? [] : ['other-group'];
  if (isStopped) return ['stopped'];
  if (state === 'on-hold' || state === 'left') return [state, ...elsewhere];
  return state === 'present' ? elsewhere : ['checked-in', ...elsewhere];
}

function whatOfAbsent({ state, isOut }: Known, isMissing: boolean): Difference['what'][] {
  if (state !== 'present') return [];
  if (isOut) return ['out'];
  return [isMissing ? 'missing' : 'not-called'];
}
