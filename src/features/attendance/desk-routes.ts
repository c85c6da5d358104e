import { z } from 'zod';
import { created, ok, type Route, route } from '../../platform/http/route.ts';
import { PageQuery } from '../../platform/http/wire.ts';
import { checkIn } from './check-in.ts';
import { checkOut } from './check-out.ts';
import {
  AthleteRef,
  Collecting,
  Collector,
  CollectorRef,
  CustodyNote,
  NewCollector,
  NewCustodyNote,
} from './collect-schema.ts';
import { addCollector, endCollector, readCollecting, setCustodyNote } from './collecting.ts';
import { admitGuest } from './guests.ts';
import { readAttendance } from './history.ts';
import { noteMissing } from './notes.ts';
import { whenOf } from './repo.ts';
import { listPresent, listSessionAttendance } from './rosters.ts';
import {
  Attendance,
  AttendanceHistory,
  AttendancePage,
  CheckIn,
  CheckOut,
  GymRef,
  MarkedList,
  MarkRef,
  NewGuest,
  Note,
  SessionAthleteRef,
  SessionRef,
  When,
} from './schema.ts';
import { FoundList, SearchFor, searchNames } from './search.ts';
import { undo } from './undo.ts';
import { LookedUp, LookUp, lookUp } from './visitors.ts';

const desk = { tag: 'attendance', permission: 'attendance.write' } as const;
const reads = { tag: 'attendance', permission: 'attendance.read' } as const;
const withOwnBlocks = ['franchise', 'gym', 'own-blocks'] as const;

export const deskRoutes: Route[] = [
  route({
    ...reads,
    method: 'get',
    path: '/gyms/{gymId}/arrivals',
    name: 'searchArrivals',
    summary: 'Find an athlete by a name as it was heard, with their sessions of today',
    params: GymRef,
    query: SearchFor,
    returns: { 200: FoundList },
    traced: true,
  }).handle(async (ctx, { params, query }) => ok(await searchNames(ctx, params.gymId, query))),

  route({
    ...desk,
    method: 'post',
    path: '/gyms/{gymId}/look-ups',
    name: 'lookUpAthlete',
    summary: 'Find an athlete of any of the franchise’s gyms by name and birth date, as the family says them',
    description:
      'For whoever comes from a sister gym to a trial or a make-up. At both gyms the audit trail has a line of it, whose day is the one on which they can then be checked in here by id; from then until the day is over this gym’s desk, and the coaches of their blocks, see of them what they see of their own.',
    params: GymRef,
    body: LookUp,
    returns: { 200: LookedUp },
  }).handle(async (ctx, { params, body }) => ok(await lookUp(ctx, params.gymId, body))),

  route({
    ...desk,
    method: 'post',
    path: '/gyms/{gymId}/check-ins',
    name: 'checkIn',
    summary: 'Check a family in',
    description:
      'Over the limit they are admitted with an alert, or put on hold where the gym’s setting says so. With a hold on activity they are stopped in either case. Whoever is in already stays so. Whoever is in at another gym is refused, and a sister gym’s athlete has to be looked up first.',
    params: GymRef,
    body: CheckIn,
    returns: { 201: MarkedList },
    problems: ['conflict'],
    dryRun: true,
  }).handle(async (ctx, { params, body }) =>
    created({ items: await checkIn(ctx, params.gymId, body.arrivals, { at: whenOf(ctx, body.at) }) }),
  ),

  route({
    ...desk,
    method: 'post',
    path: '/gyms/{gymId}/sessions/{sessionId}/attendance/{athleteId}/release',
    name: 'releaseFromHold',
    summary: 'Let in somebody who is on hold at the door',
    params: SessionAthleteRef,
    body: When,
    returns: { 201: MarkedList },
    problems: ['conflict'],
    dryRun: true,
  }).handle(async (ctx, { params: { gymId, ...who }, body }) => {
    await readAttendance(ctx, { gymId, ...who });
    return created({ items: await checkIn(ctx, gymId, [who], { at: whenOf(ctx, body.at), release: true }) });
  }),

  route({
    ...desk,
    method: 'post',
    path: '/gyms/{gymId}/guests',
    name: 'admitGuest',
    summary: 'Check somebody in who walks in and is not on record',
    params: GymRef,
    body: NewGuest,
    returns: { 201: MarkedList },
    problems: ['already-exists'],
    dryRun: true,
  }).handle(async (ctx, { params, body }) =>
    created({ items: await admitGuest(ctx, params.gymId, body, { at: whenOf(ctx, body.at) }) }),
  ),

  route({
    ...desk,
    method: 'post',
    path: '/gyms/{gymId}/check-outs',
    name: 'checkOut',
    summary: 'Check a family out, to somebody who may collect each of them',
    params: GymRef,
    body: CheckOut,
    returns: { 201: MarkedList },
    problems: ['may-not-collect', 'conflict'],
    dryRun: true,
  }).handle(async (ctx, { params, body: { departures, collectedBy, at } }) => {
    const { marked } = await checkOut(ctx, params.gymId, departures, { at: whenOf(ctx, at), collectedBy });
    return created({ items: marked });
  }),

  ...(['absent', 'late'] as const).map((kind) =>
    route({
      ...desk,
      method: 'post',
      path: kind === 'absent' ? '/gyms/{gymId}/not-coming' : '/gyms/{gymId}/coming-late',
      name: kind === 'absent' ? 'markAbsent' : 'markLate',
      summary: kind === 'absent' ? 'Write down who will not come' : 'Write down who will come late',
      params: GymRef,
      body: Note,
      returns: { 201: MarkedList },
      problems: ['conflict'],
      dryRun: true,
    }).handle(async (ctx, { params, body }) =>
      created({ items: await noteMissing(ctx, params.gymId, kind, body.athletes, whenOf(ctx, body.at)) }),
    ),
  ),

  route({
    ...desk,
    method: 'post',
    path: '/gyms/{gymId}/attendance-marks/{markId}/undo',
    name: 'undoMark',
    summary: 'Take back what was marked by mistake',
    description: 'The mark is kept, with who took it back; the stays are then what the other marks say.',
    params: MarkRef,
    returns: { 200: Attendance },
    dryRun: true,
  }).handle(async (ctx, { params }) => ok(await undo(ctx, params.gymId, params.markId))),

  route({
    ...reads,
    scopes: withOwnBlocks,
    method: 'get',
    path: '/gyms/{gymId}/sessions/{sessionId}/attendance',
    name: 'listSessionAttendance',
    summary: 'A session’s roll: everybody expected or there',
    params: SessionRef,
    query: z.strictObject(PageQuery),
    returns: { 200: AttendancePage },
  }).handle(async (ctx, { params, query }) =>
    ok(await listSessionAttendance(ctx, params.gymId, params.sessionId, query)),
  ),

  route({
    ...reads,
    scopes: withOwnBlocks,
    method: 'get',
    path: '/gyms/{gymId}/sessions/{sessionId}/attendance/{athleteId}',
    name: 'getAttendance',
    summary: 'One athlete at one session, with everything that was marked',
    params: SessionAthleteRef,
    returns: { 200: AttendanceHistory },
  }).handle(async (ctx, { params }) => ok(await readAttendance(ctx, params))),

  route({
    ...reads,
    method: 'get',
    path: '/gyms/{gymId}/present',
    name: 'listPresent',
    summary: 'Who is in the building, or on hold at the door',
    params: GymRef,
    query: z.strictObject({
      ...PageQuery,
      notCollected: z
        .enum(['true', 'false'])
        .default('false')
        .meta({ description: '"true": only those whose session is over, of earlier days too' }),
    }),
    returns: { 200: AttendancePage },
  }).handle(async (ctx, { params, query: { notCollected, ...query } }) =>
    ok(await listPresent(ctx, params.gymId, { ...query, notCollected: notCollected === 'true' })),
  ),

  route({
    ...desk,
    method: 'get',
    path: '/gyms/{gymId}/athletes/{athleteId}/collecting',
    name: 'getCollecting',
    summary: 'Who may collect an athlete, and what the desk has to know',
    params: AthleteRef,
    returns: { 200: Collecting },
    etag: true,
  }).handle(async (ctx, { params }) => ok(await readCollecting(ctx, params.gymId, params.athleteId))),

  route({
    ...desk,
    method: 'post',
    path: '/gyms/{gymId}/athletes/{athleteId}/collectors',
    name: 'addCollector',
    summary: 'Write down somebody beside the guardians who may collect an athlete',
    params: AthleteRef,
    body: NewCollector,
    returns: { 201: Collector },
    problems: ['conflict'],
  }).handle(async (ctx, { params, body }) => created(await addCollector(ctx, params.gymId, params.athleteId, body))),

  route({
    ...desk,
    method: 'post',
    path: '/gyms/{gymId}/athletes/{athleteId}/collectors/{collectorId}/end',
    name: 'endCollector',
    summary: 'They may not collect any more, from today on',
    params: CollectorRef,
    returns: { 200: Collector },
  }).handle(async (ctx, { params }) => ok(await endCollector(ctx, params.gymId, params.athleteId, params.collectorId))),

  route({
    ...desk,
    method: 'put',
    path: '/gyms/{gymId}/athletes/{athleteId}/custody-note',
    name: 'setCustodyNote',
    summary: 'Write what the desk has to know about who may collect',
    params: AthleteRef,
    body: NewCustodyNote,
    returns: { 200: CustodyNote },
    ifMatch: true,
  }).handle(async (ctx, { params, body, ifMatch }) => ok(await setCustodyNote(ctx, params, ifMatch, body.note))),
];
