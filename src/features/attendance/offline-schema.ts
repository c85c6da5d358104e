import { z } from 'zod';
import { GymRef, Id, Instant, page } from '../../platform/http/wire.ts';
import { STAFF_MARK_KINDS } from '../../tables/attendance.ts';
import { NewHeadcount, NewOuting, NewRoll } from './roll-schema.ts';
import { Collected, NewGuest } from './schema.ts';

export const ItemRef = GymRef.extend({ clientId: Id });

const item = {
  clientId: Id.meta({ description: 'Made by the device: the same item sent twice is one' }),
  at: Instant.meta({ description: 'By the device’s clock; at most seven days ago' }),
};
const who = { athleteId: Id, sessionId: Id };

/** What a device may have recorded. What it marks has the client's id. */
export const Item = z
  .discriminatedUnion('kind', [
    z.strictObject({ ...item, kind: z.literal('in'), ...who, as: z.enum(['trial', 'make-up']).optional() }),
    z.strictObject({ ...item, kind: z.literal('out'), ...who, collectedBy: Collected }),
    z.strictObject({ ...item, kind: z.literal('absent'), ...who }),
    z.strictObject({ ...item, kind: z.literal('late'), ...who }),
    z.strictObject({
      ...item,
      kind: z.literal('guest'),
      ...NewGuest.omit({ at: true }).shape,
      guestId: Id.meta({ description: 'The athlete’s id from now on; made by the device' }),
    }),
    z.strictObject({
      ...item,
      kind: z.literal('roll'),
      blockId: Id,
      ...NewRoll.omit({ at: true, rollId: true }).shape,
    }),
    z.strictObject({
      ...item,
      kind: z.literal('headcount'),
      blockId: Id,
      counted: NewHeadcount.shape.counted,
    }),
    z.strictObject({
      ...item,
      kind: z.literal('outing'),
      ...NewOuting.omit({ outAt: true, outingId: true }).shape,
    }),
    z.strictObject({ ...item, kind: z.literal('outing-back'), outing: Id.meta({ description: 'Its client id' }) }),
    z.strictObject({ ...item, kind: z.literal('staff'), personId: Id.optional(), what: z.enum(STAFF_MARK_KINDS) }),
    z.strictObject({
      ...item,
      kind: z.literal('undo'),
      undoes: Id.meta({
        description:
          'The client id of what is taken back: a mark, an outing. It may come later, until when this is listed',
      }),
    }),
  ])
  .meta({ id: 'OfflineItem' });
export type Item = z.output<typeof Item>;

export const Batch = z
  .strictObject({ gymId: Id, items: z.array(Item).min(1).max(200) })
  .meta({ id: 'OfflineBatch', description: 'What a device recorded while it was offline, in any order' });

export const ItemOutcome = z
  .strictObject({
    clientId: Id,
    outcome: z.enum(['recorded', 'refused', 'try-again']).meta({
      description:
        '"try-again": too much went on at once, something broke, or its time is ahead; nothing was kept of it: send it again as it is. What was refused may be sent again too, and is judged anew',
    }),
    again: z.boolean().meta({ description: 'It had come before: nothing was done twice' }),
    conflict: z
      .string()
      .max(40)
      .nullable()
      .meta({ description: 'How it does not fit what else was recorded; listed until somebody settles it' }),
    problem: z.string().max(60).nullable(),
    detail: z.string().max(1000).nullable(),
  })
  .meta({ id: 'OfflineItemOutcome' });
export type ItemOutcome = z.output<typeof ItemOutcome>;
export const BatchOutcome = z
  .strictObject({ items: z.array(ItemOutcome).max(200).meta({ description: 'In the order sent' }) })
  .meta({ id: 'OfflineBatchOutcome' });

export const Conflict = z
  .strictObject({
    id: Id.meta({ description: 'Of the mark to undo, or of the item to settle' }),
    what: z.enum(['mark', 'staff-mark', 'item']),
    kind: z.string().max(20),
    at: Instant,
    recordedAt: Instant,
    athleteId: Id.nullable(),
    personId: Id.nullable(),
    sessionId: Id.nullable(),
    code: z.string().max(60),
    detail: z.string().max(1000).nullable(),
  })
  .meta({ id: 'AttendanceConflict' });
export type Conflict = z.output<typeof Conflict>;
export const ConflictPage = page(Conflict, 'AttendanceConflictPage');
