import { and, eq } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { refuse } from '../../platform/problem.ts';
import { attendanceMarks, blockRolls, offlineItems, outings, staffMarks } from '../../tables/attendance.ts';
import { checkIn, stillAt } from './check-in.ts';
import { checkOut } from './check-out.ts';
import { admitGuest } from './guests.ts';
import { countHeads } from './headcounts.ts';
import { noteMissing } from './notes.ts';
import type { Item } from './offline-schema.ts';
import { endOuting, recordOuting, undoOuting } from './outings.ts';
import { isDesk, MOST_DAYS_OFFLINE, whenOf } from './repo.ts';
import type { TakenRoll } from './roll-schema.ts';
import { takeRoll } from './rolls.ts';
import { markStaff, undoStaffMark } from './staff-presence.ts';
import { undo } from './undo.ts';
import { inElsewhere } from './visitors.ts';

/** What somebody has to look at, if anything, and in words. */
export interface Told {
  problem: string | null;
  detail: string | null;
}
const FINE: Told = { problem: null, detail: null };
/** What it takes back, or ends, may be on another device: it is done when that comes. */
export const WAITING = { problem: 'not-found', detail: 'What it takes back, or ends, has not come yet.' } as const;

/** Does what one item says. What it marks has the item's own id, so that it can be undone by that. */
export async function doItem(ctx: Context, gymId: string, item: Item): Promise<Told> {
  const { clientId, kind } = item;
  const at = whenOf(ctx, item.at, MOST_DAYS_OFFLINE);
  const said = at.toISOString();
  const offline = { id: clientId };
  switch (kind) {
    case 'in': {
      deskOrRefuse(ctx, gymId);
      const { athleteId, sessionId, as } = item;
      const marked = await checkIn(ctx, gymId, [{ athleteId, sessionId, kind: as }], { at, offline });
      const [away] = await inElsewhere(ctx, gymId, [athleteId], at);
      const told = stoppedOrFine(marked);
      return told.problem === null && away ? { problem: 'conflict', detail: stillAt(away) } : told;
    }
    case 'guest': {
      deskOrRefuse(ctx, gymId);
      return stoppedOrFine(await admitGuest(ctx, gymId, item, { at, offline }));
    }
    case 'out': {
      deskOrRefuse(ctx, gymId);
      const { athleteId, sessionId, collectedBy } = item;
      const { mayCollect } = await checkOut(ctx, gymId, [{ athleteId, sessionId }], { at, collectedBy, offline });
      if (mayCollect) return FINE;
      return { problem: 'may-not-collect', detail: 'They were collected by somebody who is not on record for that.' };
    }
    case 'absent':
    case 'late': {
      deskOrRefuse(ctx, gymId);
      const { athleteId, sessionId } = item;
      await noteMissing(ctx, gymId, kind, [{ athleteId, sessionId }], at, offline);
      return FINE;
    }
    case 'roll': {
      const { blockId, here, missing, counted } = item;
      const roll = { rollId: clientId, here, missing, counted, at: said };
      return differsOrFine(await takeRoll(ctx, gymId, blockId, roll, MOST_DAYS_OFFLINE));
    }
    case 'headcount': {
      const { blockId, counted } = item;
      const count = { rollId: clientId, counted, at: said };
      const { differs, onRoll } = await countHeads(ctx, gymId, blockId, count, MOST_DAYS_OFFLINE);
      if (!differs) return FINE;
      return { problem: 'roll-differs', detail: `${counted} heads were counted, and ${onRoll} are on the roll.` };
    }
    case 'outing': {
      const { sessionId, athleteId, withPersonId, why } = item;
      const outing = { outingId: clientId, sessionId, athleteId, withPersonId, why, outAt: said, backAt: item.backAt };
      await recordOuting(ctx, gymId, outing, true);
      return FINE;
    }
    case 'staff': {
      const { personId, what } = item;
      const days = MOST_DAYS_OFFLINE;
      await markStaff(ctx, gymId, { staffMarkId: clientId, personId, kind: what, at: said }, { days });
      return FINE;
    }
    case 'undo':
    case 'outing-back':
      return (await follow(ctx, gymId, { kind, about: aboutOf(item), at })) ?? WAITING;
  }
}

/** The client id of the item that this one takes back or ends. */
export const aboutOf = (item: Item): string | null =>
  item.kind === 'undo' ? item.undoes : item.kind === 'outing-back' ? item.outing : null;

function deskOrRefuse(ctx: Context, gymId: string): void {
  if (isDesk(ctx, 'attendance.write', gymId)) return;
  throw refuse('not-allowed', 'Children are checked in and out at the desk.', { permission: 'attendance.write' });
}

function stoppedOrFine(marked: readonly { stopped: boolean }[]): Told {
  if (!marked.some(({ stopped }) => stopped)) return FINE;
  return {
    problem: 'activity-hold',
    detail: 'No activity for them until a clearance is on file: they were put on hold. See where they are.',
  };
}

function differsOrFine({ roll, differences, headsDiffer }: TakenRoll): Told {
  const wrong = differences.map(({ what }) => what).filter((what) => what !== 'checked-in' && what !== 'out');
  if (wrong.length === 0 && !headsDiffer) return FINE;
  const counts = [...new Set(wrong)].map((what) => `${what}: ${wrong.filter((one) => one === what).length}`);
  const heads = headsDiffer ? [`heads counted: ${roll.counted}, here by name: ${roll.here.length}`] : [];
  return { problem: 'roll-differs', detail: `${[...counts, ...heads].join(', ')}. Block ${roll.blockId}.` };
}

/**
 * Does what an item says of another: takes it back, or ends it. Null: that other has not come. Refuses what cannot be
 * taken back, whichever of the two came first.
 */
export async function follow(
  ctx: Context,
  gymId: string,
  { kind, about, at }: { kind: string; about: string | null; at: Date },
): Promise<Told | null> {
  if (about === null) throw new Error('it is about no other item');
  // Before what it left is looked for: it may come at another instance meanwhile, and has left nothing only if it had come.
  const hadCome = await isRecorded(ctx, gymId, about);
  const isOuting = await isThere(ctx, gymId, outings, about);
  if (kind === 'outing-back') {
    if (isOuting) await endOuting(ctx, gymId, about, at.toISOString(), MOST_DAYS_OFFLINE);
    return isOuting ? FINE : null;
  }
  if (isOuting) await undoOuting(ctx, gymId, about);
  else if (await isThere(ctx, gymId, staffMarks, about)) await undoStaffMark(ctx, gymId, about);
  else if (await isThere(ctx, gymId, attendanceMarks, about)) {
    deskOrRefuse(ctx, gymId);
    await undo(ctx, gymId, about);
  } else if (await isThere(ctx, gymId, blockRolls, about)) {
    throw refuse('conflict', 'A roll or a headcount is not taken back: take another.');
  } else if (hadCome) {
    throw refuse('conflict', 'That one only takes back, or ends, another: it is not taken back itself.');
  } else return null;
  return FINE;
}

async function isThere(
  ctx: Context,
  gymId: string,
  table: typeof attendanceMarks | typeof staffMarks | typeof outings | typeof blockRolls,
  id: string,
): Promise<boolean> {
  const rows = await ctx.tx
    .select({ id: table.id })
    .from(table)
    .where(and(ours(ctx, table), eq(table.gymId, gymId), eq(table.id, id)));
  return rows.length > 0;
}

async function isRecorded(ctx: Context, gymId: string, clientId: string): Promise<boolean> {
  const itself = and(eq(offlineItems.clientId, clientId), eq(offlineItems.outcome, 'recorded'));
  const rows = await ctx.tx
    .select({ id: offlineItems.clientId })
    .from(offlineItems)
    .where(and(ours(ctx, offlineItems), eq(offlineItems.gymId, gymId), itself));
  return rows.length > 0;
}
