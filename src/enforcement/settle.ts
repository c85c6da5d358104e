import { and, desc, eq, gt, inArray, isNull, lt, sql } from 'drizzle-orm';
import { type Finding, type Floor, type Place, type Refusal, type Span, uncoveredBlocks } from '../cover/index.ts';
import type { Context } from '../platform/context.ts';
import { ours } from '../platform/db/tenant.ts';
import { absences, assignments, blocks } from '../tables/index.ts';
import { daysOf, misplaced } from './floors.ts';
import { type GymFloor, loadFloor } from './load-floor.ts';
import { bumpHeld, type CoverLock } from './lock.ts';

/** What a fact led to: places given up, and blocks that lost their confirmation; `at` is the day as it is then. */
export interface Settled {
  released: { assignmentId: string; at: GymFloor; personId: string; place: Place; refusals: Refusal[] }[];
  unconfirmed: { blockId: string; at: GymFloor; findings: Finding[] }[];
}

/**
 * Runs a fact: `write` always stands. Then, in the same transaction, whoever is where no cover can excuse it is released,
 * and confirmed blocks that are uncovered lose their confirmation; each leaves its event.
 */
export async function asFact<T>(
  ctx: Context,
  lock: CoverLock,
  write: () => Promise<T>,
): Promise<{ done: T; settled: Settled }> {
  const done = await write();
  await bumpHeld(ctx, lock);
  const settled: Settled = { released: [], unconfirmed: [] };
  // Each day is read when its turn comes: what was given up on the day before may be what was in the way.
  for (const day of await daysOf(ctx, lock)) {
    await settleDay(ctx, lock, await loadFloor(ctx, day, lock.people), settled);
  }
  return { done, settled };
}

/** To the fixed point: a release may leave a trainee unsupervised, and the premises see confirmed blocks only. */
async function settleDay(ctx: Context, lock: CoverLock, at: GymFloor, settled: Settled): Promise<void> {
  for (let out = misplaced(at, ctx.now); out.length > 0; out = misplaced(at, ctx.now)) {
    for (const { personId, place, refusals } of out) {
      const assignmentId = await release(ctx, lock, at.gymId, personId, place, refusals);
      at.floor = withoutPlace(at.floor, personId, place);
      settled.released.push({ assignmentId, at, personId, place, refusals });
    }
  }
  for (;;) {
    const { floor } = at;
    const lost = uncoveredBlocks(floor).filter(({ block }) =>
      floor.blocks.some(({ id, confirmed, span }) => id === block && confirmed && span.to > ctx.now.getTime()),
    );
    if (lost.length === 0) return;
    await unconfirm(ctx, lock, at.gymId, lost);
    const ids = new Set(lost.map(({ block }) => block));
    at.floor = { ...floor, blocks: floor.blocks.map((one) => (ids.has(one.id) ? { ...one, confirmed: false } : one)) };
    settled.unconfirmed.push(...lost.map(({ block: blockId, findings }) => ({ blockId, at, findings })));
  }
}

const withoutPlace = (floor: Floor, personId: string, place: Place): Floor => ({
  ...floor,
  staff: floor.staff.map((one) =>
    one.person === personId ? { ...one, at: one.at.filter((other) => other !== place) } : one,
  ),
});

async function release(
  ctx: Context,
  _lock: CoverLock,
  gymId: string,
  personId: string,
  { unit, duty, span }: Place,
  refusals: readonly Refusal[],
): Promise<string> {
  const why = refusals.map((refusal) => refusal.why).join(', ');
  const [row] = await ctx.tx
    .update(assignments)
    .set({
      releasedAt: ctx.now,
      releasedBy: ctx.accountId,
      releasedWhy: why,
      releasedByAbsenceId: refusals.some((one) => one.why === 'absent')
        ? await absenceDuring(ctx, personId, span)
        : null,
    })
    .where(
      and(
        ours(ctx, assignments),
        eq(assignments.personId, personId),
        eq(assignments.startsAt, new Date(span.from)),
        eq(assignments.per, unit.per),
        isNull(assignments.releasedAt),
      ),
    )
    .returning({ id: assignments.id });
  if (!row) throw new Error('somebody stood in a place that is not stored');
  await ctx.record('staffing.released', { subjectId: row.id, gymId }, { personId, duty, unit, why });
  return row.id;
}

/** The absence on record that overlaps a span, if there is one: who stands in for them stands in for that. */
async function absenceDuring(ctx: Context, personId: string, span: Span): Promise<string | null> {
  const [row] = await ctx.tx
    .select({ id: absences.id })
    .from(absences)
    .where(
      and(
        ours(ctx, absences),
        eq(absences.personId, personId),
        isNull(absences.withdrawnAt),
        lt(absences.startsAt, new Date(span.to)),
        gt(absences.endsAt, new Date(span.from)),
      ),
    )
    .orderBy(desc(absences.id))
    .limit(1);
  return row?.id ?? null;
}

async function unconfirm(
  ctx: Context,
  _lock: CoverLock,
  gymId: string,
  lost: readonly { block: string; findings: readonly Finding[] }[],
): Promise<void> {
  const rows = await ctx.tx
    .update(blocks)
    .set({ confirmedAt: null, confirmedBy: null, revision: sql`${blocks.revision} + 1` })
    .where(
      and(
        ours(ctx, blocks),
        inArray(
          blocks.id,
          lost.map(({ block }) => block),
        ),
      ),
    )
    .returning({ id: blocks.id, revision: blocks.revision });
  for (const { block: blockId, findings } of lost) {
    const revision = rows.find(({ id }) => id === blockId)?.revision;
    if (revision === undefined) throw new Error('an uncovered block is not stored');
    const codes = [...new Set(findings.map(({ code }) => code))].sort();
    await ctx.record('staffing.confirmation-lost', { subjectId: blockId, gymId, revision }, { blockId, codes });
  }
}
