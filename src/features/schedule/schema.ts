import { z } from 'zod';
import { SettledOnWire } from '../../enforcement/wire.ts';
import {
  Day,
  daySpan,
  GymRef,
  Id,
  Instant,
  Line,
  Name,
  PageQuery,
  page,
  Reason,
  Revision,
  WallTime,
} from '../../platform/http/wire.ts';

export const ClassRef = GymRef.extend({ classId: Id });
export const EnrolmentRef = ClassRef.extend({ enrolmentId: Id });
export const SessionRef = GymRef.extend({ sessionId: Id });

const gymClass = {
  name: Name,
  programmeId: Id,
  levelIds: z.array(Id).min(1).max(20).meta({ description: 'The levels it takes, of its programme' }),
  weekday: z.int().min(1).max(7).meta({ description: '1 is Monday, 7 is Sunday (ISO 8601)' }),
  time: WallTime.meta({ description: 'When it begins, by the clock on the gym’s wall; the same across clock changes' }),
  durationMinutes: z.int().min(5).max(720),
  capacity: z.int().min(1).max(500).meta({ description: 'How many may be enrolled on any one day' }),
  ...daySpan,
};
export const NewClass = z
  .strictObject({
    ...gymClass,
    levelIds: gymClass.levelIds.optional().meta({ description: 'Left out: all levels of the programme' }),
    until: gymClass.until.default(null),
  })
  .meta({ id: 'NewClass' });
export type NewClass = z.output<typeof NewClass>;
export const ClassChanges = z
  .strictObject({ name: gymClass.name, capacity: gymClass.capacity, until: gymClass.until })
  .partial()
  .meta({ id: 'ClassChanges' });
export type ClassChanges = z.output<typeof ClassChanges>;
export const Class = z.strictObject({ id: Id, ...gymClass, revision: Revision }).meta({ id: 'Class' });
export type Class = z.output<typeof Class>;
export const ClassPage = page(Class, 'ClassPage');

export const NewEnrolment = z
  .strictObject({
    athleteId: Id,
    from: Day,
    category: Line(60)
      .nullable()
      .default(null)
      .meta({ description: 'What the rules may know the athlete by here, beside age', example: 'kindergarten' }),
  })
  .meta({ id: 'NewEnrolment' });
export type NewEnrolment = z.input<typeof NewEnrolment>;
export const Enrolment = z
  .strictObject({
    id: Id,
    classId: Id,
    athleteId: Id,
    category: Line(60).nullable(),
    ...daySpan,
    revision: Revision,
  })
  .meta({ id: 'Enrolment' });
export type Enrolment = z.output<typeof Enrolment>;
export const EnrolmentPage = page(Enrolment, 'EnrolmentPage');

const sessionIds = z.array(Id).max(500);
export const Enrolled = z
  .strictObject({
    enrolment: Enrolment,
    placedIn: sessionIds.meta({ description: 'The sessions in which a group has a place for the athlete now' }),
  })
  .meta({ id: 'Enrolled' });
export type Enrolled = z.output<typeof Enrolled>;
export const EnrolmentEnd = z
  .strictObject({ until: Day.meta({ description: 'The first day on which the athlete is no longer enrolled' }) })
  .meta({ id: 'EnrolmentEnd' });
export const Unenrolled = z
  .strictObject({
    enrolment: Enrolment,
    releasedFrom: sessionIds.meta({ description: 'The sessions in which the place was given up' }),
    settled: SettledOnWire,
  })
  .meta({ id: 'Unenrolled' });
export type Unenrolled = z.output<typeof Unenrolled>;

export const SESSION_STATES = ['planned', 'confirmed', 'running', 'closed', 'cancelled'] as const;
const count = z.int().min(0).max(10_000);
const session = {
  id: Id,
  classId: Id,
  className: Name,
  programmeId: Id,
  originalStart: z.string().max(16).meta({
    description: 'The local start that it was laid out with; stays when it moves',
    example: '2026-09-07T17:00',
  }),
  day: Day,
  startsAt: Instant,
  endsAt: Instant,
  planVersionId: Id.nullable(),
  state: z.enum(SESSION_STATES).meta({ description: 'Confirmed: it has blocks, and every one is' }),
  athleteCount: count,
  blockCount: count,
  confirmedCount: count.meta({ description: 'How many of its blocks are confirmed' }),
  cancelledWhy: Reason.nullable(),
  revision: Revision,
};
export const Session = z.strictObject(session).meta({ id: 'Session' });
export type Session = z.output<typeof Session>;
export const SessionPage = page(Session, 'SessionPage');
export const SessionQuery = z.strictObject({
  ...PageQuery,
  from: Day.optional().meta({ description: 'From this day on; left out, from today' }),
  until: Day.optional().meta({ description: 'The first day that is out' }),
});

export const SessionWeeks = z
  .strictObject({
    from: Day,
    until: Day.meta({ description: 'The first day that is out; at the most 26 weeks after `from`' }),
  })
  .meta({ id: 'SessionWeeks' });
export type SessionWeeks = z.output<typeof SessionWeeks>;
const laidOut = z.array(Session).max(30);
export const LaidOutSessions = z
  .strictObject({
    laidOut: laidOut.meta({ description: 'The sessions that this made' }),
    alreadyThere: laidOut.meta({ description: 'Those that were laid out before: left as they are' }),
  })
  .meta({ id: 'LaidOutSessions' });
export type LaidOutSessions = z.output<typeof LaidOutSessions>;

/** Of a session, over all its groups. */
export const MOST_BLOCKS = 200;
const areaIds = z.array(Id).min(1).max(10).meta({ description: 'Where in the hall' });
const minute = z.int().min(0).max(1440);
const groupNumber = z.int().min(1).max(12).meta({ description: '1 is the first of `groups`' });
export const NewLayout = z
  .strictObject({
    planId: Id.optional().meta({
      description: 'Takes the newest published version in effect that day; or name `planVersionId`',
    }),
    planVersionId: Id.optional(),
    termId: Id.optional().meta({ description: 'Takes the plan of the week that the class has reached in this term' }),
    groups: z
      .array(z.strictObject({ name: Line(60) }))
      .min(1)
      .max(12)
      .optional(),
    groupCount: z
      .int()
      .min(1)
      .max(12)
      .optional()
      .meta({ description: 'Instead of `groups`: named "Group 1" and so on' }),
    areas: z
      .array(z.strictObject({ planBlockId: Id, areaIds }))
      .max(40)
      .optional()
      .meta({ description: 'Where a plan block is taught; left out, where its stations’ apparatus stands' }),
    blocks: z
      .array(
        z.strictObject({
          group: groupNumber,
          planBlockId: Id,
          startMinute: minute.meta({ description: 'Counted from the start of the session' }),
          minutes: minute.min(1).optional().meta({ description: 'Left out, as the plan says' }),
          areaIds: areaIds.optional(),
        }),
      )
      .min(1)
      .max(MOST_BLOCKS)
      .optional()
      .meta({
        description:
          'Left out: all groups warm up and cool down together, and in between each begins one apparatus further on',
      }),
  })
  .meta({ id: 'NewLayout' });
export type NewLayout = z.output<typeof NewLayout>;

export const PlanVersionChoice = z
  .strictObject({ planVersionId: Id.optional().meta({ description: 'Left out, the newest in effect that day' }) })
  .meta({ id: 'PlanVersionChoice' });

const BlockOnWire = z
  .strictObject({
    id: Id,
    groupId: Id,
    planVersionId: Id,
    planBlockId: Id,
    title: Name,
    activity: z.string().max(40),
    startsAt: Instant,
    endsAt: Instant,
    areaIds: z.array(Id).max(50),
    confirmedAt: Instant.nullable(),
    heldWhy: Reason.nullable().meta({ description: 'Why it was un-confirmed by hand; the service then keeps away' }),
    stepDowns: z
      .array(
        z.strictObject({
          id: Id,
          stationId: Id,
          drillId: Id,
          drill: Name,
          adaptationId: Id.nullable().meta({
            description: 'The adaptation that it is done for; null: chosen for this block alone, to have it spotted',
          }),
          reason: Reason,
        }),
      )
      .max(40)
      .meta({ description: 'Stations at which another drill is done than the plan says' }),
    revision: Revision,
  })
  .meta({ id: 'SessionBlock' });
const GroupOnWire = z
  .strictObject({
    id: Id,
    name: Line(60),
    athleteCount: count,
    members: z
      .array(z.strictObject({ athleteId: Id, given: Line(120).nullable(), family: Line(120).nullable() }))
      .max(1000)
      .nullable()
      .meta({ description: 'Null where you may not read who they are' }),
  })
  .meta({ id: 'SessionGroup' });
export const WholeSession = z
  .strictObject({
    ...session,
    groups: z.array(GroupOnWire).max(12),
    blocks: z
      .array(BlockOnWire)
      .max(MOST_BLOCKS)
      .meta({ description: 'By group, in the order in which they are taught' }),
  })
  .meta({ id: 'WholeSession' });
export type WholeSession = z.output<typeof WholeSession>;

export const Regrouping = z
  .strictObject({
    moves: z
      .array(z.strictObject({ athleteId: Id, groupId: Id }))
      .min(1)
      .max(100),
  })
  .meta({ id: 'Regrouping' });
export type Regrouping = z.output<typeof Regrouping>;
export const SessionMove = z
  .strictObject({ day: Day, time: WallTime.meta({ description: 'By the clock on the gym’s wall' }) })
  .meta({ id: 'SessionMove' });
export type SessionMove = z.output<typeof SessionMove>;
export const Cancellation = z.strictObject({ reason: Reason }).meta({ id: 'SessionCancellation' });
export const CancelledSession = z
  .strictObject({
    session: Session,
    released: z
      .array(z.strictObject({ assignmentId: Id, personId: Id }))
      .max(2000)
      .meta({ description: 'The staff who were placed on it, and are free now' }),
    laterInTerm: z
      .array(z.strictObject({ sessionId: Id, week: z.int().min(1).max(60) }))
      .max(200)
      .meta({
        description:
          'Where it was laid out from a week of a term: the class’s later sessions that are laid out from that term, each with its week. They stay so, and nobody teaches the week of this one, until they are laid out anew',
      }),
    settled: SettledOnWire,
  })
  .meta({ id: 'CancelledSession' });
export type CancelledSession = z.output<typeof CancelledSession>;
