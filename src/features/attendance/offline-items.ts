import { and, eq } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { refuse } from '../../platform/problem.ts';
import { attendanceMarks, blockRolls, offlineItems, outings, staffMarks } from '../../tables/attendance.ts';
import { checkIn } from './check-in.ts';
import { checkOut } from './check-out.ts';
import { admitGuest } from './guests.ts';
import { noteMissing } from './notes.ts';
import type { Told } from './offline.ts';
import type { Item } from './offline-schema.ts';
import { endOuting, recordOuting, undoOuting } from './outings.ts';
import { isDesk, MOST_DAYS_OFFLINE, whenOf } from './repo.ts';
import { countHeads, takeRoll } from './rolls.ts';
import { markStaff, undoStaffMark } from './staff-presence.ts';
import { undo } from './undo.ts';

const FINE: Told = { problem: null, detail: null };

/** Does what one item says. What it marks has the item's own id, so that it can be undone by that. */
export async function doItem(ctx: Context, gymId: string, item: Item, undone: boolean): Promise<Told> {
  const { clientId, kind } = item;
  const at = whenOf(ctx, item.at, MOST_DAYS_OFFLINE);
  const said = at.toISOString();
  const offline = { id: clientId, undone };
  switch (kind) {
    case 'in': {
      deskOrRefuse(ctx, gymId);
      const { athleteId, sessionId, as } = item;
      return stoppedOrFine(await checkIn(ctx, gymId, [{ athleteId, sessionId, kind: as }], { at, offline }));
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
      await takeRoll(ctx, gymId, blockId, { rollId: clientId, here, missing, counted, at: said }, MOST_DAYS_OFFLINE);
      return FINE;
    }
    case 'headcount': {
      const { blockId, counted } = item;
      await countHeads(ctx, gymId, blockId, { rollId: clientId, counted, at: said }, MOST_DAYS_OFFLINE);
      return FINE;
    }
    case 'outing': {
      const { sessionId, athleteId, withPersonId, why } = item;
      const backAt = item.backAt ?? (await saidBack(ctx, clientId));
      const outing = { outingId: clientId, sessionId, athleteId, withPersonId, why, outAt: said, backAt };
      await recordOuting(ctx, gymId, outing, { undone });
      return FINE;
    }
    case 'outing-back': {
      if (await isThere(ctx, outings, item.outing)) await endOuting(ctx, gymId, item.outing, said, MOST_DAYS_OFFLINE);
      return FINE;
    }
    case 'staff': {
      const { personId, what } = item;
      const days = MOST_DAYS_OFFLINE;
      await markStaff(ctx, gymId, { staffMarkId: clientId, personId, kind: what, at: said }, { undone, days });
      return FINE;
    }
    case 'undo':
      await takeBack(ctx, gymId, item.undoes);
      return FINE;
  }
}

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

/** Takes back what has come; what comes later finds that it was taken back. */
async function takeBack(ctx: Context, gymId: string, id: string): Promise<void> {
  if (await isThere(ctx, attendanceMarks, id)) {
    deskOrRefuse(ctx, gymId);
    await undo(ctx, gymId, id);
  } else if (await isThere(ctx, staffMarks, id)) await undoStaffMark(ctx, gymId, id);
  else if (await isThere(ctx, outings, id)) await undoOuting(ctx, gymId, id);
  else if (await isThere(ctx, blockRolls, id)) {
    throw refuse('conflict', 'A roll is not taken back: take another.');
  }
}

async function isThere(
  ctx: Context,
  table: typeof attendanceMarks | typeof staffMarks | typeof outings | typeof blockRolls,
  id: string,
): Promise<boolean> {
  const rows = await ctx.tx
    .select({ id: table.id })
    .from(table)
    .where(and(ours(ctx, table), eq(table.id, id)));
  return rows.length > 0;
}

/** When an outing's end came before the outing itself did. */
async function saidBack(ctx: Context, outingId: string): Promise<string | null> {
  const [row] = await ctx.tx
    .select({ at: offlineItems.at })
    .from(offlineItems)
    .where(and(ours(ctx, offlineItems), eq(offlineItems.about, outingId), eq(offlineItems.kind, 'outing-back')));
  return row?.at.toISOString() ?? null;
}
