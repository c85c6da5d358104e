import type { Duty, Place, Span } from '../../cover/index.ts';
import { admissible } from '../../cover/index.ts';
import { asChoice, notAdmissible } from '../../enforcement/choice.ts';
import { floorAt } from '../../enforcement/floors.ts';
import type { GymFloor } from '../../enforcement/load-floor.ts';
import { type CoverLock, lockCover } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { invalid, refuse } from '../../platform/problem.ts';
import { type Covered, coveredBy } from './cover.ts';
import * as repo from './repo.ts';
import type { Assignment } from './schema.ts';

/** Somebody, the duty, and the part of the unit's span (all of it when null). */
export interface Placing {
  personId: string;
  duty: Duty;
  startsAt: Date | null;
  endsAt: Date | null;
  givingUpOthers: boolean;
}

/**
 * Puts somebody in a place: refused when nothing can excuse it (in two places, not employed, too young, not qualified),
 * or when giving up what else they hold would uncover a confirmed block. A planned block may stay short: the answer says
 * what it still needs.
 */
export async function place(
  ctx: Context,
  unitNow: () => Promise<repo.UnitAt>,
  placing: Placing,
): Promise<{ assignment: Assignment; cover: Covered }> {
  const { personId, duty } = placing;
  const lock = await lockCover(ctx, 'choice', async () => ({ days: [await unitNow()], people: [personId] }));
  const unit = await unitNow();
  const at = { ...unit, span: partOf(unit.span, placing) };
  if (at.span.to <= ctx.now.getTime()) throw refuse('already-over', 'That has ended; nobody can be put there now.');
  await repo.refuseStrangers(ctx, unit.gymId, [{ personId, at: '/personId' }]);

  const { done, after } = await asChoice(ctx, lock, async (before) => {
    const here = floorAt(before, unit.gymId, unit.day);
    const to: Place = { unit: unit.unit, duty, span: at.span };
    refuseIfThereAlready(here, personId, to);
    if (placing.givingUpOthers) await giveUp(ctx, lock, unit, personId, at.span);
    await refuseIfInadmissible(ctx, here, personId, to, placing.givingUpOthers);
    return insert(ctx, lock, personId, duty, at);
  });
  return {
    assignment: repo.assignmentOnWire(done),
    cover: await coveredBy(ctx, floorAt(after, unit.gymId, unit.day), unit.unit),
  };
}

/** Stores a place and says so. */
export async function insert(
  ctx: Context,
  lock: CoverLock,
  personId: string,
  duty: Duty,
  at: repo.UnitAt,
  replacesId: string | null = null,
) {
  const row = await repo.insertAssignment(ctx, lock, personId, duty, at, replacesId);
  await ctx.record('staffing.assigned', { subjectId: row.id, gymId: at.gymId }, { personId, duty, unit: at.unit });
  return row;
}

function partOf(span: Span, { startsAt, endsAt }: Placing): Span {
  const part = { from: startsAt?.getTime() ?? span.from, to: endsAt?.getTime() ?? span.to };
  if (part.from < span.from || part.to > span.to) {
    throw invalid(
      '/startsAt',
      `Expected a part of ${new Date(span.from).toISOString()} to ${new Date(span.to).toISOString()}.`,
    );
  }
  if (part.from >= part.to) throw invalid('/endsAt', 'Expected an end after the start.');
  return part;
}

function refuseIfThereAlready({ floor }: GymFloor, personId: string, to: Place): void {
  const held = floor.staff.find(({ person }) => person === personId)?.at ?? [];
  const same = held.some(
    ({ unit, duty, span }) =>
      unit.per === to.unit.per &&
      unit.id === to.unit.id &&
      duty === to.duty &&
      span.from <= to.span.from &&
      span.to >= to.span.to,
  );
  if (same) throw refuse('already-assigned', 'That person has this very place already.');
}

/** Asks the engine before storing, so that the refusal is about this person and not about a constraint. */
async function refuseIfInadmissible(
  ctx: Context,
  at: GymFloor,
  personId: string,
  to: Place,
  givingUpOthers: boolean,
): Promise<void> {
  const free = (span: Span) => span.to <= to.span.from || span.from >= to.span.to;
  const floor = {
    ...at.floor,
    staff: at.floor.staff.map((one) =>
      one.person === personId && givingUpOthers ? { ...one, at: one.at.filter(({ span }) => free(span)) } : one,
    ),
  };
  const refusals = admissible(floor, personId, to);
  if (refusals.length > 0) throw await notAdmissible(ctx, [{ at, personId, place: to, refusals }]);
}

/** Releases what somebody holds in a span; what lies before and after it they keep. */
export async function giveUp(
  ctx: Context,
  lock: CoverLock,
  { gymId }: { gymId: string },
  personId: string,
  span: Span,
): Promise<void> {
  for (const held of await repo.heldDuring(ctx, gymId, personId, span)) {
    await repo.releaseAssignment(ctx, lock, held.id, 'moved');
    const unit = { per: held.per, id: held.blockId ?? held.sessionId ?? held.gymId } as const;
    const { duty, day } = held;
    await ctx.record('staffing.released', { subjectId: held.id, gymId }, { personId, duty, unit, why: 'moved' });
    const before = { from: held.startsAt.getTime(), to: span.from };
    const after = { from: span.to, to: held.endsAt.getTime() };
    for (const rest of [before, after].filter(({ from, to }) => from < to)) {
      await insert(ctx, lock, personId, duty, { unit, gymId, day, span: rest });
    }
  }
}
