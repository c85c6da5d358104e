import { and, asc, desc, eq, gt, inArray, isNull, or, sql } from 'drizzle-orm';
import { some } from '../../enforcement/rows.ts';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { instantOf } from '../../platform/http/wire.ts';
import { newId } from '../../platform/ids.ts';
import { found, invalid, refuse } from '../../platform/problem.ts';
import { collectors, custodyNotes } from '../../tables/attendance.ts';
import { athletes } from '../../tables/people.ts';
import { zoneOf } from '../gyms/repo.ts';
import { bumpAthlete, getAthleteHere, getAthleteOf, guardiansOf } from '../people/athlete-repo.ts';
import {
  type Collecting,
  type Collector,
  type CustodyNote,
  MOST_NOTES,
  type NewCollector,
  type WrittenNote,
} from './collect-schema.ts';
import { dayAt } from './repo.ts';
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
  const { revision } = await getAthleteHere(ctx, gymId, athleteId);
  const today = dayAt(await zoneOf(ctx, gymId), ctx.now);
  const guardians = await guardiansOf(ctx, gymId, athleteId);
  const others = await ctx.tx
    .select(columns)
    .from(collectors)
    .where(and(ours(ctx, collectors), eq(collectors.athleteId, athleteId), onRecord(today)))
    .orderBy(asc(collectors.id))
    .limit(100);
  const notes = await notesEver(ctx, athleteId);
  return { athleteId, guardians, others, custodyNote: notes[0]?.note ?? null, custodyNotes: notes, revision };
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

/**
 * Writes what the desk has to know of who may collect, beside what stood there, which is kept; null takes it away.
 * Refuses when the athlete was written to since revision `ifMatch`: nobody takes away what they have not read.
 */
export async function setCustodyNote(
  ctx: Context,
  { gymId, athleteId }: { gymId: string; athleteId: string },
  ifMatch: number,
  note: string | null,
): Promise<CustodyNote> {
  await getAthleteOf(ctx, gymId, athleteId);
  const revision = await bumpAthlete(ctx, athleteId, ifMatch);
  const row = { franchiseId: ctx.franchiseId, athleteId, revision, note, writtenAt: ctx.now, writtenBy: ctx.accountId };
  await ctx.tx.insert(custodyNotes).values(row);
  await ctx.record('attendance.custody-note-changed', { subjectId: athleteId, gymId, revision }, { athleteId });
  return { note, revision };
}

async function notesEver(ctx: Context, athleteId: string): Promise<WrittenNote[]> {
  const rows = await ctx.tx
    .select()
    .from(custodyNotes)
    .where(and(ours(ctx, custodyNotes), eq(custodyNotes.athleteId, athleteId)))
    .orderBy(desc(custodyNotes.revision))
    .limit(MOST_NOTES);
  return rows.map(({ note, revision, writtenAt, writtenBy }) => ({
    note,
    revision,
    writtenAt: instantOf(writtenAt),
    writtenBy,
  }));
}

/** Who took somebody along. */
export interface TakenBy {
  /** As it is written beside the mark; null for nobody, and for somebody whom this athlete’s record does not know. */
  collectorId: string | null;
  /** May the desk let them go? */
  may: boolean;
  /** Is it on record, for that day, that this one may collect? Of who goes alone, never: the desk decided it. */
  onRecord: boolean;
}

/** Of each athlete, who collects them, and whether they may: for all of a family it is the same one. */
export async function whoCollects(
  ctx: Context,
  gymId: string,
  athleteIds: readonly string[],
  by: Collected,
  at: Date,
): Promise<Map<string, TakenBy>> {
  if ('alone' in by) return new Map(athleteIds.map((id) => [id, { collectorId: null, may: true, onRecord: false }]));
  const answer = new Map<string, TakenBy>();
  if ('guardianId' in by) {
    for (const athleteId of athleteIds) {
      const [guardian] = await guardiansOf(ctx, gymId, athleteId, by.guardianId);
      const may = guardian?.mayCollect ?? false;
      answer.set(athleteId, { collectorId: guardian?.guardianId ?? null, may, onRecord: may });
    }
    return answer;
  }
  const today = dayAt(await zoneOf(ctx, gymId), at);
  const rows = await ctx.tx
    .select({ ...columns, athleteId: collectors.athleteId, familyId: athletes.familyId })
    .from(collectors)
    .innerJoin(athletes, and(ours(ctx, athletes), eq(athletes.personId, collectors.athleteId)))
    .where(and(ours(ctx, collectors), inArray(collectors.athleteId, some(athleteIds))));
  const active = rows.filter(({ from, until }) => from <= today && (until === null || until > today));
  const named = active.find(({ collectorId }) => collectorId === by.collectorId);
  const isNamed = (one: (typeof rows)[number]) =>
    one === named || (one.familyId !== null && one.familyId === named?.familyId && one.name === named.name);
  const isKnown = rows.some(({ collectorId }) => collectorId === by.collectorId);
  // One who collects brothers and sisters is written down for each: in one family, the same name is the same one.
  for (const athleteId of athleteIds) {
    const may = active.some((one) => one.athleteId === athleteId && isNamed(one));
    answer.set(athleteId, { collectorId: isKnown ? by.collectorId : null, may, onRecord: may });
  }
  return answer;
}
