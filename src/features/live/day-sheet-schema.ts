import { z } from 'zod';
import { Day, Fraction, GymRef, Id, Instant, Text } from '../../platform/http/wire.ts';
import { ATTENDANCE_KINDS, ATTENDANCE_STATES } from '../../tables/attendance.ts';
import { SPOTTING_MODES } from '../../tables/curriculum.ts';
import { names, Phone } from '../people/schema.ts';

// A sheet has an end: what does not fit is counted, and can be had for each session by itself.
export const MOST_SESSIONS = 60;
/** Of one session, on the sheet of a whole day. */
export const MOST_ATHLETES = 60;
/** On the sheet of one session. */
export const MOST_OF_ONE_SESSION = 600;
export const MOST_ON_PREMISES = 600;
export const MOST_STAFF = 300;

export const DaySheetRef = GymRef.extend({ day: Day });
export const DaySheetQuery = z.strictObject({
  sessionId: Id.optional().meta({
    description: `Only this session, with up to ${MOST_OF_ONE_SESSION} athletes; left out, all of the day`,
  }),
});

const label = z.string().max(200);
const count = z.int().min(0).max(10_000);
const DUTIES = ['lead', 'assist', 'shadow', 'oversee'] as const;

const SheetPlace = z.strictObject({
  per: z.enum(['block', 'session', 'premises']),
  sessionId: Id.nullable().meta({ description: 'Null for a floater' }),
  duty: z.enum(DUTIES),
  startsAt: Instant,
  endsAt: Instant,
});
const SheetStaff = z
  .strictObject({
    personId: Id,
    ...names,
    phone: Phone.nullable(),
    places: z.array(SheetPlace).max(500).meta({ description: 'Where they are planned that day, by time' }),
    here: z.enum(['not-yet', 'here', 'on-break', 'left']).meta({ description: 'As last recorded' }),
  })
  .meta({ id: 'SheetStaff' });
export type SheetStaff = z.output<typeof SheetStaff>;

const OnPremises = z
  .strictObject({
    athleteId: Id,
    ...names,
    sessionId: Id,
    className: label,
    endsAt: Instant.meta({ description: 'Of their session' }),
    state: z.enum(['present', 'on-hold']).meta({ description: 'On hold: at the door' }),
    since: Instant,
    out: z
      .strictObject({ since: Instant, with: label.nullable().meta({ description: 'By name; null is alone' }) })
      .nullable()
      .meta({ description: 'Out of the hall at this moment, not out of the building' }),
  })
  .meta({ id: 'SheetOnPremises' });
export type OnPremises = z.output<typeof OnPremises>;

const SheetBlock = z
  .strictObject({
    blockId: Id,
    groupId: Id,
    group: label,
    title: label,
    startsAt: Instant,
    endsAt: Instant,
    areas: z.array(label).max(50),
    staff: z.array(z.strictObject({ personId: Id, name: z.string().max(300), duty: z.enum(DUTIES) })).max(200),
    spotting: z
      .array(z.strictObject({ station: label, mode: z.enum(SPOTTING_MODES), kind: label }))
      .max(50)
      .meta({ description: 'Stations that ask for a spotter' }),
    athletes: count,
    needed: z.int().min(0).max(2_147_483_647).meta({ description: 'Coaches, by the rule that asks for most' }),
    counted: Fraction.meta({ description: 'What those planned count for under that rule' }),
    covered: z.boolean(),
    why: z.array(z.string().max(2000)).max(50).meta({ description: 'What was found, in sentences' }),
    atMost: count.nullable().meta({
      description:
        'So many athletes with the staff planned, if the next ones are of the age of the youngest; null: not covered, nobody there, or no rule limits it',
    }),
  })
  .meta({ id: 'SheetBlock' });
export type SheetBlock = z.output<typeof SheetBlock>;

const SheetGuardian = z.strictObject({
  guardianId: Id,
  ...names,
  relation: label,
  mayCollect: z.boolean(),
  phone: Phone.nullable(),
});
const SheetAthlete = z
  .strictObject({
    athleteId: Id,
    ...names,
    age: z.int().min(0).max(150).nullable().meta({ description: 'Whole years on that day; null is unknown' }),
    groupId: Id.nullable(),
    group: label.nullable(),
    ownGym: label.nullable().meta({
      description:
        'Of a sister gym’s athlete, what it is called; beyond the roll they are known here on their day alone',
    }),
    kind: z.enum(ATTENDANCE_KINDS),
    state: z.enum(ATTENDANCE_STATES).meta({ description: 'As last recorded' }),
    late: z.boolean(),
    inAt: Instant.nullable(),
    outAt: Instant.nullable(),
    stopped: z.boolean().meta({ description: 'No activity before a clearance is on file' }),
    alerts: Text(2000).nullable(),
    phone: Phone.nullable().meta({ description: 'Their own; of a walk-in guest, of an adult who can be reached' }),
    guardians: z.array(SheetGuardian).max(50),
    others: z
      .array(z.strictObject({ collectorId: Id, name: label, relation: label }))
      .max(50)
      .meta({ description: 'Who else may collect that day' }),
    custodyNote: Text(2000).nullable().meta({ description: 'For the desk only: null to anybody else' }),
  })
  .meta({ id: 'SheetAthlete' });
export type SheetAthlete = z.output<typeof SheetAthlete>;

const SheetSession = z
  .strictObject({
    sessionId: Id,
    className: label,
    programme: label,
    plan: label.nullable(),
    startsAt: Instant,
    endsAt: Instant,
    counts: z
      .strictObject({ onRoll: count, present: count, onHold: count, absent: count, left: count })
      .meta({ description: 'Of everybody on the roll, as last recorded' }),
    overseenBy: z.array(z.string().max(300)).max(50),
    blocks: z.array(SheetBlock).max(200).meta({ description: 'In the order of time, then of the groups' }),
    roll: z.array(SheetAthlete).max(MOST_OF_ONE_SESSION).meta({ description: 'In the order of their names' }),
    athletesLeftOut: count.meta({ description: 'Not on this sheet: ask for the session by itself' }),
  })
  .meta({ id: 'SheetSession' });
export type SheetSession = z.output<typeof SheetSession>;

export const DaySheet = z
  .strictObject({
    gymId: Id,
    gymName: label,
    zone: z.string().max(100),
    day: Day,
    printedAt: Instant,
    sessions: z.array(SheetSession).max(MOST_SESSIONS),
    sessionsLeftOut: count.meta({ description: 'Not on this sheet: ask for each by itself' }),
    staff: z.array(SheetStaff).max(MOST_STAFF).meta({ description: 'Planned that day, or here' }),
    staffLeftOut: count,
    onPremises: z.array(OnPremises).max(MOST_ON_PREMISES).meta({ description: 'As last recorded when it was made' }),
    onPremisesLeftOut: count,
  })
  .meta({ id: 'DaySheet', description: 'A gym’s day on paper, for when the network is down' });
export type DaySheet = z.output<typeof DaySheet>;

/** Room for a sheet with as much on it as may be. */
export const Page = z.string().max(60_000_000).meta({ id: 'DaySheetPage', description: 'A page that prints' });
