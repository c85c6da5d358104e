import { and, asc, eq, gt, inArray, isNull, lte, or, sql } from 'drizzle-orm';
import { some } from '../../enforcement/rows.ts';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { newId } from '../../platform/ids.ts';
import { found, invalid, refuse } from '../../platform/problem.ts';
import { collectors, custodyNotes } from '../../tables/attendance.ts';
import { zoneOf } from '../gyms/repo.ts';
import { getAthleteOf, guardiansOf } from '../people/athlete-repo.ts';
import type { Collecting, Collector, NewCollector } from './collect-schema.ts';
import { custodyNotesOf, dayAt } from './repo.ts';
import type { Collected } from './schema.ts';

const MOST = 20;
const columns = {
  collectorId: collectors.id,
  name: collectors.name,
  relation: collectors.relation,
  from: collectors.from,
  until: collectors.until,
};

/** On record from `from` on, until the first day that is out. */
const onRecord = (today: string) => or(isNull(collectors.until), gt(collectors.until, today));

/** Who may collect an athlete today: guardians and others on record; and the desk's own note. */
export async function readCollecting(ctx: Context, gymId: string, athleteId: string): Promise<Collecting> {
  await getAthleteOf(ctx, gymId, athleteId);
  const today = dayAt(await zoneOf(ctx, gymId), ctx.now);
  const guardians = await guardiansOf(ctx, gymId, athleteId);
  const others = await ctx.tx
    .select(columns)
    .from(collectors)
    .where(and(ours(ctx, collectors), eq(collectors.athleteId, athleteId), onRecord(today)))
    .orderBy(asc(collectors.id))
    .limit(100);
  return {
    athleteId,
    guardians,
    others,
    custodyNote: (await custodyNotesOf(ctx, gymId, [athleteId])).get(athleteId) ?? null,
  };
}

/** Writes down somebody beside the guardians who may collect. */
export async function addCollector(
  ctx: Context,
  gymId: string,
  athleteId: string,
  { name, relation, from, until }: NewCollector,
): Promise<Collector> {
  await getAthleteOf(ctx, gymId, athleteId);
  if (until !== null && until <= from) throw invalid('/until', 'Expected a day after `from`.');
  const { others } = await readCollecting(ctx, gymId, athleteId);
  if (others.length >= MOST) throw refuse('conflict', `At most ${MOST} others may collect an athlete at once.`);
  const row = { id: newId(), name, relation, from, until };
  await ctx.tx
    .insert(collectors)
    .values({ franchiseId: ctx.franchiseId, athleteId, ...row, createdAt: ctx.now, createdBy: ctx.accountId });
  await ctx.record('attendance.collector-added', { subjectId: athleteId, gymId }, { athleteId, collectorId: row.id });
  return { collectorId: row.id, name, relation, from, until };
}

/** From today on they may not collect any more. */
export async function endCollector(
  ctx: Context,
  gymId: string,
  athleteId: string,
  collectorId: string,
): Promise<Collector> {
  await getAthleteOf(ctx, gymId, athleteId);
  const today = dayAt(await zoneOf(ctx, gymId), ctx.now);
  const [row] = await ctx.tx
    .update(collectors)
    .set({ until: sql`greatest(${collectors.from}, least(coalesce(${collectors.until}, ${today}), ${today}))` })
    .where(and(ours(ctx, collectors), eq(collectors.athleteId, athleteId), eq(collectors.id, collectorId)))
    .returning(columns);
  const ended = found(row, 'collector');
  await ctx.record('attendance.collector-ended', { subjectId: athleteId, gymId }, { athleteId, collectorId });
  return ended;
}

export async function setCustodyNote(ctx: Context, gymId: string, athleteId: string, note: string | null) {
  await getAthleteOf(ctx, gymId, athleteId);
  if (note === null) {
    await ctx.tx.delete(custodyNotes).where(and(ours(ctx, custodyNotes), eq(custodyNotes.athleteId, athleteId)));
  } else {
    await ctx.tx
      .insert(custodyNotes)
      .values({ franchiseId: ctx.franchiseId, athleteId, note })
      .onConflictDoUpdate({
        target: [custodyNotes.franchiseId, custodyNotes.athleteId],
        set: { note, revision: sql`${custodyNotes.revision} + 1` },
      });
  }
  await ctx.record('attendance.custody-note-changed', { subjectId: athleteId, gymId }, { athleteId });
  return { note };
}

/** Who took somebody along, as it is written beside the mark. */
export interface TakenBy {
  collectorId: string | null;
  /** May they, as it is on record that day? */
  may: boolean;
}

/** Of each athlete, who collects them, and whether they may: for all of a family it is the same one. */
export async function whoCollects(
  ctx: Context,
  gymId: string,
  athleteIds: readonly string[],
  by: Collected,
  at: Date,
): Promise<Map<string, TakenBy>> {
  if ('alone' in by) return new Map(athleteIds.map((id) => [id, { collectorId: null, may: true }]));
  const answer = new Map<string, TakenBy>();
  if ('guardianId' in by) {
    for (const athleteId of athleteIds) {
      const [guardian] = await guardiansOf(ctx, gymId, athleteId, by.guardianId);
      answer.set(athleteId, { collectorId: by.guardianId, may: guardian?.mayCollect ?? false });
    }
    return answer;
  }
  const today = dayAt(await zoneOf(ctx, gymId), at);
  const rows = await ctx.tx
    .select({ athleteId: collectors.athleteId, name: collectors.name })
    .from(collectors)
    .where(
      and(
        ours(ctx, collectors),
        inArray(collectors.athleteId, some(athleteIds)),
        lte(collectors.from, today),
        onRecord(today),
      ),
    );
  const [named] = await ctx.tx
    .select({ name: collectors.name })
    .from(collectors)
    .where(and(ours(ctx, collectors), eq(collectors.id, by.collectorId)));
  // One who collects brothers and sisters is written down for each: the same name is the same one.
  for (const athleteId of athleteIds) {
    const may = rows.some((row) => row.athleteId === athleteId && row.name === named?.name);
    answer.set(athleteId, { collectorId: by.collectorId, may });
  }
  return answer;
}
