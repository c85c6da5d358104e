import { z } from 'zod';
import { FindingOnWire } from '../../enforcement/wire.ts';
import { Day, GymRef, Id, Instant, Name, page, Revision } from '../../platform/http/wire.ts';
import { ATTENDANCE_KINDS, ATTENDANCE_STATES, MARK_KINDS } from '../../tables/attendance.ts';
import { names, Phone } from '../people/schema.ts';

export { GymRef };
export const SessionRef = GymRef.extend({ sessionId: Id });
export const SessionAthleteRef = SessionRef.extend({ athleteId: Id });
export const MarkRef = GymRef.extend({ markId: Id });

/** A family at once. */
export const MOST_AT_ONCE = 12;
/** Whoever leaves without naming a session leaves each that they are in. */
const MOST_MARKED = 120;

export const At = Instant.optional().meta({ description: 'When it was; left out, now. At most a day ago' });
const NewKind = z.enum(['trial', 'make-up']);
const SessionId = Id.optional().meta({
  description: 'Of that day. Left out: the one that they are expected at and that ends next',
});

const Arrival = z.strictObject({
  athleteId: Id,
  sessionId: SessionId,
  kind: NewKind.optional().meta({ description: 'Of somebody not enrolled: make-up when left out' }),
});
export type Arrival = z.output<typeof Arrival>;
export const CheckIn = z
  .strictObject({ arrivals: z.array(Arrival).min(1).max(MOST_AT_ONCE), at: At })
  .meta({ id: 'CheckIn', description: 'Who has come: a family in one request' });
export type CheckIn = z.output<typeof CheckIn>;

export const Collected = z
  .union([
    z.strictObject({ guardianId: Id }),
    z.strictObject({ collectorId: Id }),
    z.strictObject({ alone: z.literal(true) }),
  ])
  .meta({
    id: 'CollectedBy',
    description:
      'A guardian who may collect, another on record, or nobody: went alone, which the desk decides and its event shows as not on record. Of brothers and sisters collected by another, each has them on record by the same name',
  });
export type Collected = z.output<typeof Collected>;
export const CheckOut = z
  .strictObject({
    departures: z
      .array(
        z.strictObject({
          athleteId: Id,
          sessionId: Id.optional().meta({ description: 'Left out: each that they are in today' }),
        }),
      )
      .min(1)
      .max(MOST_AT_ONCE),
    collectedBy: Collected,
    at: At,
  })
  .meta({ id: 'CheckOut', description: 'Who has gone, and with whom' });
export type CheckOut = z.output<typeof CheckOut>;

export const Note = z
  .strictObject({
    athletes: z
      .array(z.strictObject({ athleteId: Id, sessionId: Id }))
      .min(1)
      .max(MOST_AT_ONCE),
    at: At,
  })
  .meta({ id: 'NotComing', description: 'Who will not come, or late' });
export type Note = z.output<typeof Note>;

export const When = z.strictObject({ at: At }).meta({ id: 'WhenItWas' });

export const NewGuest = z
  .strictObject({
    guestId: Id.optional().meta({
      description:
        'An id of the client’s own making, so that it can be used before the answer; the same guest sent again is one',
    }),
    given: Name,
    family: Name,
    born: Day.nullable().meta({ description: 'Null is unknown: rules with age bands then have a finding' }),
    phone: Phone.meta({ description: 'Of an adult who can be reached' }),
    sessionId: Id,
    at: At,
  })
  .meta({ id: 'NewGuest', description: 'Somebody who walks in: the least that is needed' });
export type NewGuest = z.output<typeof NewGuest>;

export const Stay = z.strictObject({
  inAt: Instant.nullable().meta({ description: 'Null: they went, and nobody has said yet when they came' }),
  outAt: Instant.nullable().meta({ description: 'Null: still there' }),
});

export const Attendance = z
  .strictObject({
    sessionId: Id,
    athleteId: Id,
    ...names,
    kind: z.enum(ATTENDANCE_KINDS),
    state: z.enum(ATTENDANCE_STATES),
    since: Instant.nullable().meta({ description: 'Null while nothing was marked' }),
    late: z.boolean().meta({ description: 'Said to come late, or came after the start' }),
    leftEarly: z.boolean().meta({ description: 'Went before the end' }),
    notCollected: z.boolean().meta({ description: 'Still there after the end, and supervised' }),
    groupId: Id.nullable(),
    findings: z
      .array(z.string().max(40))
      .max(50)
      .meta({ description: 'Codes: why on hold, or of which the desk was told' }),
    stays: z.array(Stay).max(100),
    revision: Revision.nullable(),
  })
  .meta({ id: 'Attendance' });
export type Attendance = z.output<typeof Attendance>;
export const AttendancePage = page(Attendance, 'AttendancePage');

export const Marked = z
  .strictObject({
    attendance: Attendance,
    markId: Id.nullable().meta({ description: 'For undoing it; null where nothing changed' }),
    alerts: z.array(FindingOnWire).max(100).meta({ description: 'What the check-in is over, with sentences' }),
    stopped: z.boolean().meta({ description: 'No activity before a clearance is on file, nor on the day of the fall' }),
    custodyNote: z.string().max(2000).nullable().meta({ description: 'For the desk only' }),
  })
  .meta({ id: 'Marked' });
export type Marked = z.output<typeof Marked>;
export const MarkedList = z.strictObject({ items: z.array(Marked).max(MOST_MARKED) }).meta({ id: 'MarkedList' });

export const MarkOnWire = z
  .strictObject({
    markId: Id,
    kind: z.enum(MARK_KINDS),
    at: Instant,
    recordedAt: Instant,
    collectedBy: Name.nullable().meta({
      description: 'By name; null for alone, for somebody not on record, and for those who may not know',
    }),
    undoneAt: Instant.nullable(),
    conflict: z.enum(['already-in', 'already-out', 'not-in', 'is-here']).nullable(),
  })
  .meta({ id: 'Mark' });
export const AttendanceHistory = z
  .strictObject({ attendance: Attendance, marks: z.array(MarkOnWire).max(100) })
  .meta({ id: 'AttendanceHistory' });
export type AttendanceHistory = z.output<typeof AttendanceHistory>;
