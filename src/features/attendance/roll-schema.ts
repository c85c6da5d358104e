import { z } from 'zod';
import { FindingOnWire } from '../../enforcement/wire.ts';
import { GymRef, Id, Instant, Line, page } from '../../platform/http/wire.ts';
import { STAFF_MARK_KINDS } from '../../tables/attendance.ts';
import { names } from '../people/schema.ts';
import { At } from './schema.ts';

export const BlockRef = GymRef.extend({ blockId: Id });
export const OutingRef = GymRef.extend({ outingId: Id });
export const StaffMarkRef = GymRef.extend({ staffMarkId: Id });

const ownId = Id.optional().meta({ description: 'An id of the client’s own making; left out, the service makes one' });
const MOST = 200;
const Heads = z.int().min(0).max(1000);

export const NewRoll = z
  .strictObject({
    rollId: ownId,
    here: z.array(Id).max(MOST),
    missing: z.array(Id).max(MOST).default([]),
    counted: Heads.nullable().default(null).meta({ description: 'Heads, where somebody counted' }),
    at: At,
  })
  .meta({ id: 'NewRoll', description: 'Who of a block’s group is in front of the coach, and who is not' });
export type NewRoll = z.output<typeof NewRoll>;

export const DIFFERENCES = [
  'checked-in',
  'missing',
  'out',
  'not-called',
  'on-hold',
  'stopped',
  'left',
  'other-group',
  'not-expected',
] as const;
const Difference = z
  .strictObject({
    athleteId: Id,
    ...names,
    what: z.enum(DIFFERENCES).meta({
      description:
        '"checked-in": came past the desk and is in now; "missing": checked in, and not here; "out": out of the hall; "not-called": of the group, and neither here nor missing; "on-hold", "left": here, though held at the door or checked out; "stopped": here, though no activity is allowed before a clearance; "other-group", "not-expected": here, and not of this group, or not of this session',
    }),
    lastSeen: z
      .strictObject({ blockId: Id, at: Instant })
      .nullable()
      .meta({ description: 'Where the group’s roll had them last' }),
  })
  .meta({ id: 'RollDifference' });
export type Difference = z.output<typeof Difference>;

const taken = { rollId: Id, blockId: Id, at: Instant, recordedAt: Instant, counted: Heads.nullable() };
export const Roll = z
  .strictObject({ ...taken, here: z.array(Id).max(MOST), missing: z.array(Id).max(MOST) })
  .meta({ id: 'Roll' });
export type Roll = z.output<typeof Roll>;
export const RollPage = page(Roll, 'RollPage');
export const TakenRoll = z
  .strictObject({
    roll: Roll,
    differences: z.array(Difference).max(1000),
    alerts: z.array(FindingOnWire).max(100).meta({ description: 'What letting them in is over, with sentences' }),
    headsDiffer: z.boolean().meta({ description: 'More or fewer heads were counted than are here by name' }),
  })
  .meta({ id: 'TakenRoll' });
export type TakenRoll = z.output<typeof TakenRoll>;

export const NewHeadcount = z
  .strictObject({ rollId: ownId, counted: Heads, at: At })
  .meta({ id: 'NewHeadcount', description: 'Heads, without names' });
export type NewHeadcount = z.output<typeof NewHeadcount>;
export const Headcount = z
  .strictObject({
    ...taken,
    onRoll: Heads.meta({ description: 'Of the group, those checked in and not out of the hall' }),
    differs: z.boolean(),
  })
  .meta({ id: 'Headcount' });
export type Headcount = z.output<typeof Headcount>;

export const Totals = z
  .strictObject({
    sessionId: Id,
    expected: Heads,
    present: Heads,
    absent: Heads,
    onHold: Heads,
    left: Heads,
    outOfHall: Heads.meta({ description: 'Of those present' }),
  })
  .meta({ id: 'AttendanceTotals', description: 'Heads, no persons' });
export type Totals = z.output<typeof Totals>;

const Why = Line(100).meta({ example: 'toilet' });
export const NewOuting = z
  .strictObject({
    outingId: ownId,
    sessionId: Id,
    athleteId: Id,
    withPersonId: Id.nullable().meta({ description: 'Of the staff, or a guardian; null is alone' }),
    why: Why,
    outAt: At,
    backAt: Instant.nullable().default(null).meta({ description: 'Null: not back yet' }),
  })
  .meta({ id: 'NewOuting', description: 'Out of the hall; at the time or afterwards' });
export type NewOuting = z.output<typeof NewOuting>;
export const Outing = z
  .strictObject({
    outingId: Id,
    sessionId: Id,
    athleteId: Id,
    withPersonId: Id.nullable(),
    why: Why,
    outAt: Instant,
    backAt: Instant.nullable(),
    undoneAt: Instant.nullable(),
  })
  .meta({ id: 'Outing' });
export type Outing = z.output<typeof Outing>;
export const OutingPage = page(Outing, 'OutingPage');

export const NewStaffMark = z
  .strictObject({
    staffMarkId: ownId,
    personId: Id.optional().meta({ description: 'Left out: yourself. Others’ is the desk’s and the manager’s' }),
    kind: z.enum(STAFF_MARK_KINDS),
    at: At,
  })
  .meta({ id: 'NewStaffMark', description: 'Came, went, on a break, back from it' });
export type NewStaffMark = z.output<typeof NewStaffMark>;
const StaffStay = z.strictObject({
  kind: z.enum(['work', 'break']),
  inAt: Instant.nullable(),
  outAt: Instant.nullable(),
});
export const StaffPresence = z
  .strictObject({
    personId: Id,
    ...names,
    state: z.enum(['away', 'at-work', 'on-break']),
    stays: z.array(StaffStay).max(100),
    staffMarkId: Id.nullable().meta({ description: 'For undoing; null in lists, and where nothing changed' }),
  })
  .meta({ id: 'StaffPresence' });
export type StaffPresence = z.output<typeof StaffPresence>;
export const StaffPresencePage = page(StaffPresence, 'StaffPresencePage');
