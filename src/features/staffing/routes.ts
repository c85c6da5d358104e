import { z } from 'zod';
import { localDay } from '../../cover/index.ts';
import { settledOnWire } from '../../enforcement/wire.ts';
import { created, noContent, ok, type Route, route } from '../../platform/http/route.ts';
import { Day, flag, Id, Instant, PageQuery } from '../../platform/http/wire.ts';
import { refuse } from '../../platform/problem.ts';
import { recordAbsence, replaceAbsent, withdrawAbsence } from './absence.ts';
import { confirmBlock, confirmSession, unconfirmBlock } from './confirm.ts';
import {
  BlockCoverDetail,
  BlockCoverPage,
  Covered,
  readBlockCover,
  readDayCover,
  readSessionCover,
  SessionCover,
} from './cover.ts';
import { acceptFinding, withdrawOverride } from './override.ts';
import { place } from './place.ts';
import { release } from './release.ts';
import * as repo from './repo.ts';
import {
  Absence,
  AbsencePage,
  AbsenceRef,
  AbsenceSettled,
  Assignment,
  AssignmentPage,
  AssignmentQuery,
  AssignmentRef,
  Because,
  BlockPlacing,
  BlockRef,
  DaysQuery,
  GymRef,
  NewAbsence,
  NewOverride,
  Override,
  OverridePage,
  OverrideRef,
  PremisesPlacing,
  Replacement,
  SessionPlacing,
  SessionRef,
  Swap,
} from './schema.ts';
import { swap } from './swap.ts';

const tag = 'staffing';
const Assigned = z.strictObject({ assignment: Assignment, cover: Covered }).meta({ id: 'Assigned' });
const Confirmed = z.strictObject({ confirmed: z.array(Id).max(200) }).meta({ id: 'Confirmed' });
const moment = (value: string | undefined) => (value === undefined ? null : new Date(value));
const placingProblems = ['not-admissible', 'cover-broken', 'already-assigned', 'already-over', 'conflict'] as const;

const assigning: Route[] = [
  route({
    method: 'post',
    path: '/gyms/{gymId}/blocks/{blockId}/assignments',
    name: 'assignToBlock',
    tag,
    summary: 'Put a coach on a block',
    description:
      'Refused when no cover can excuse it: in two places at once, not employed that day, too young, not qualified. A planned block may stay short: the answer says what it still needs.',
    permission: 'staffing.assign',
    params: BlockRef,
    body: BlockPlacing,
    returns: { 201: Assigned },
    problems: placingProblems,
    dryRun: true,
  }).handle(async (ctx, { params, body }) =>
    created(
      await place(ctx, async () => (await repo.getBlockUnit(ctx, params.gymId, params.blockId)).at, {
        ...body,
        startsAt: moment(body.startsAt),
        endsAt: moment(body.endsAt),
      }),
    ),
  ),

  route({
    method: 'post',
    path: '/gyms/{gymId}/sessions/{sessionId}/assignments',
    name: 'assignOverseer',
    tag,
    summary: 'Let somebody oversee a session',
    description: 'In sight of several of its blocks, with no hands on; counted once, by the rules per session.',
    permission: 'staffing.assign',
    params: SessionRef,
    body: SessionPlacing,
    returns: { 201: Assigned },
    problems: placingProblems,
    dryRun: true,
  }).handle(async (ctx, { params, body }) =>
    created(
      await place(ctx, async () => (await repo.getSessionUnit(ctx, params.gymId, params.sessionId)).at, {
        ...body,
        duty: 'oversee',
        startsAt: moment(body.startsAt),
        endsAt: moment(body.endsAt),
      }),
    ),
  ),

  route({
    method: 'post',
    path: '/gyms/{gymId}/premises/assignments',
    name: 'assignFloater',
    tag,
    summary: 'Have somebody on the premises as a floater',
    description: 'Counted by the rules for the premises only, until sent to a block.',
    permission: 'staffing.assign',
    params: GymRef,
    body: PremisesPlacing,
    returns: { 201: Assigned },
    problems: placingProblems,
    dryRun: true,
  }).handle(async (ctx, { params: { gymId }, body }) => {
    const span = { from: Date.parse(body.startsAt), to: Date.parse(body.endsAt) };
    const unitNow = async () => {
      const zone = await repo.getZone(ctx, gymId);
      const day = localDay(zone, span.from);
      if (span.from < span.to && localDay(zone, span.to - 1) !== day) {
        throw refuse('invalid-request', 'A floater’s span lies within one day.', {
          errors: [{ pointer: '/endsAt', detail: 'Expected an end on the same day in the gym’s zone.' }],
        });
      }
      return { unit: { per: 'premises', id: gymId } as const, gymId, day, span };
    };
    return created(await place(ctx, unitNow, { ...body, startsAt: new Date(span.from), endsAt: new Date(span.to) }));
  }),

  route({
    method: 'get',
    path: '/gyms/{gymId}/assignments',
    name: 'listAssignments',
    tag,
    summary: 'Who was put where at a gym, released places included',
    permission: 'schedule.read',
    params: GymRef,
    query: AssignmentQuery,
    returns: { 200: AssignmentPage },
  }).handle(async (ctx, { params, query }) => ok(await repo.listAssignments(ctx, params.gymId, query))),

  route({
    method: 'get',
    path: '/me/assignments',
    name: 'listMyAssignments',
    tag,
    summary: 'Your own places ahead',
    permission: 'signed-in',
    query: DaysQuery,
    returns: { 200: AssignmentPage },
  }).handle(async (ctx, { query }) =>
    ok(ctx.personId === null ? { items: [], next: null } : await repo.listOwnAssignments(ctx, ctx.personId, query)),
  ),

  route({
    method: 'post',
    path: '/gyms/{gymId}/assignments/{assignmentId}/release',
    name: 'releaseAssignment',
    tag,
    summary: 'Take somebody off a place',
    description: 'Refused, with remedies, when a confirmed block would be left uncovered.',
    permission: 'staffing.assign',
    params: AssignmentRef,
    body: Because,
    returns: { 200: Assignment },
    problems: ['cover-broken', 'not-admissible', 'already-over', 'conflict'],
    dryRun: true,
  }).handle(async (ctx, { params, body }) => ok(await release(ctx, params.gymId, params.assignmentId, body.reason))),

  route({
    method: 'post',
    path: '/gyms/{gymId}/swaps',
    name: 'swapPlaces',
    tag,
    summary: 'Let two people exchange their places within a span',
    permission: 'staffing.assign',
    params: GymRef,
    body: Swap,
    returns: { 200: z.strictObject({ assignments: z.array(Assignment).max(200) }).meta({ id: 'Swapped' }) },
    problems: ['cover-broken', 'not-admissible', 'already-over', 'conflict'],
    dryRun: true,
  }).handle(async (ctx, { params, body }) =>
    ok(
      await swap(ctx, params.gymId, {
        personIds: body.personIds,
        startsAt: new Date(body.startsAt),
        endsAt: new Date(body.endsAt),
      }),
    ),
  ),
];

const confirming: Route[] = [
  route({
    method: 'post',
    path: '/gyms/{gymId}/blocks/{blockId}/confirm',
    name: 'confirmBlock',
    tag,
    summary: 'Confirm a block: refused until it is covered',
    permission: 'staffing.confirm',
    params: BlockRef,
    returns: { 200: Confirmed },
    problems: ['not-covered', 'cover-broken', 'not-admissible', 'already-over', 'conflict'],
    dryRun: true,
  }).handle(async (ctx, { params }) => ok(await confirmBlock(ctx, params.gymId, params.blockId))),

  route({
    method: 'post',
    path: '/gyms/{gymId}/sessions/{sessionId}/confirm',
    name: 'confirmSession',
    tag,
    summary: 'Confirm all blocks of a session, together or not at all',
    permission: 'staffing.confirm',
    params: SessionRef,
    returns: { 200: Confirmed },
    problems: ['not-covered', 'cover-broken', 'not-admissible', 'already-over', 'conflict'],
    dryRun: true,
  }).handle(async (ctx, { params }) => ok(await confirmSession(ctx, params.gymId, params.sessionId))),

  route({
    method: 'post',
    path: '/gyms/{gymId}/blocks/{blockId}/unconfirm',
    name: 'unconfirmBlock',
    tag,
    summary: 'Take back a confirmation, with a reason',
    description: 'The service then does not confirm that block by itself; people may, by hand.',
    permission: 'staffing.confirm',
    params: BlockRef,
    body: Because,
    returns: { 204: null },
    problems: ['cover-broken', 'not-admissible', 'already-over', 'conflict'],
    dryRun: true,
  }).handle(async (ctx, { params, body }) => {
    await unconfirmBlock(ctx, params.gymId, params.blockId, body.reason);
    return noContent();
  }),

  route({
    method: 'post',
    path: '/gyms/{gymId}/overrides',
    name: 'acceptFinding',
    tag,
    summary: 'Accept a finding by name, with a reason',
    description:
      'Copy unit, span, code, rule, subjects and shortfall from the finding. It stands in the audit trail and in every report. A rule can forbid it.',
    permission: 'staffing.override',
    params: GymRef,
    body: NewOverride,
    returns: { 201: Override },
    problems: ['not-overridable', 'already-over', 'cover-broken', 'not-admissible'],
    dryRun: true,
  }).handle(async (ctx, { params, body }) => created(await acceptFinding(ctx, params.gymId, body))),

  route({
    method: 'get',
    path: '/gyms/{gymId}/overrides',
    name: 'listOverrides',
    tag,
    summary: 'The findings that were accepted at a gym',
    permission: 'cover.read',
    params: GymRef,
    query: DaysQuery,
    returns: { 200: OverridePage },
  }).handle(async (ctx, { params, query }) => ok(await repo.listOverrides(ctx, params.gymId, query))),

  route({
    method: 'post',
    path: '/gyms/{gymId}/overrides/{overrideId}/withdraw',
    name: 'withdrawOverride',
    tag,
    summary: 'Take an override back: refused when that uncovers a confirmed block',
    permission: 'staffing.override',
    params: OverrideRef,
    returns: { 200: Override },
    problems: ['cover-broken', 'not-admissible', 'conflict'],
    dryRun: true,
  }).handle(async (ctx, { params }) => ok(await withdrawOverride(ctx, params.gymId, params.overrideId))),
];

const absences: Route[] = [
  route({
    method: 'post',
    path: '/gyms/{gymId}/absences',
    name: 'recordAbsence',
    tag,
    summary: 'Record that somebody on the staff cannot come',
    description:
      'Always recorded. What they held then is released, and blocks left uncovered lose their confirmation; the answer says which, and what would mend each.',
    permission: 'staffing.replace',
    params: GymRef,
    body: NewAbsence,
    returns: { 201: AbsenceSettled },
    dryRun: true,
  }).handle(async (ctx, { params, body }) => {
    const { absence, settled } = await recordAbsence(ctx, params.gymId, {
      personId: body.personId,
      startsAt: new Date(body.startsAt),
      endsAt: new Date(body.endsAt),
    });
    return created({ absence, settled: await settledOnWire(ctx, settled) });
  }),

  route({
    method: 'get',
    path: '/gyms/{gymId}/absences',
    name: 'listAbsences',
    tag,
    summary: 'Absences of the gym’s staff',
    permission: 'staffing.replace',
    params: GymRef,
    query: z.strictObject(PageQuery),
    returns: { 200: AbsencePage },
  }).handle(async (ctx, { params, query }) => ok(await repo.listAbsences(ctx, params.gymId, query))),

  route({
    method: 'post',
    path: '/gyms/{gymId}/absences/{absenceId}/withdraw',
    name: 'withdrawAbsence',
    tag,
    summary: 'They can come after all',
    description: 'Frees the person; what was released stays released until somebody assigns them again.',
    permission: 'staffing.replace',
    params: AbsenceRef,
    returns: { 200: Absence },
    problems: ['cover-broken', 'not-admissible', 'conflict'],
    dryRun: true,
  }).handle(async (ctx, { params }) => ok(await withdrawAbsence(ctx, params.gymId, params.absenceId))),

  route({
    method: 'post',
    path: '/gyms/{gymId}/absences/{absenceId}/replacements',
    name: 'replaceAbsent',
    tag,
    summary: 'Put somebody in a place that an absence released',
    description: 'With the same duty and span. Refused unless it is covered then.',
    permission: 'staffing.replace',
    params: AbsenceRef,
    body: Replacement,
    returns: { 201: Assigned },
    problems: ['not-covered', ...placingProblems],
    dryRun: true,
  }).handle(async (ctx, { params, body }) => created(await replaceAbsent(ctx, params.gymId, params.absenceId, body))),
];

const DayRef = GymRef.extend({ day: Day });
const DayQuery = z.strictObject({
  ...PageQuery,
  at: Instant.optional().meta({ description: 'Only what runs at this moment' }),
  uncovered: flag.optional().meta({ description: 'Only what is not covered' }),
});

const reading: Route[] = [
  route({
    method: 'get',
    path: '/gyms/{gymId}/blocks/{blockId}/cover',
    name: 'readBlockCover',
    tag: 'cover',
    summary: 'Is a block covered? Who counts, who does not and why, how many more fit, what would help',
    permission: 'cover.read',
    params: BlockRef,
    returns: { 200: BlockCoverDetail },
    problems: ['conflict'],
  }).handle(async (ctx, { params }) => ok(await readBlockCover(ctx, params.gymId, params.blockId))),

  route({
    method: 'get',
    path: '/gyms/{gymId}/sessions/{sessionId}/cover',
    name: 'readSessionCover',
    tag: 'cover',
    summary: 'Is a session covered, and each of its blocks?',
    permission: 'cover.read',
    params: SessionRef,
    returns: { 200: SessionCover },
  }).handle(async (ctx, { params }) => ok(await readSessionCover(ctx, params.gymId, params.sessionId))),

  route({
    method: 'get',
    path: '/gyms/{gymId}/days/{day}/cover',
    name: 'readDayCover',
    tag: 'cover',
    summary: 'A gym’s day, a line a block: state, needed, counted, room, and why not',
    permission: 'cover.read',
    params: DayRef,
    query: DayQuery,
    returns: { 200: BlockCoverPage },
  }).handle(async (ctx, { params, query }) => ok(await readDayCover(ctx, params.gymId, params.day, query))),
];

export const staffingRoutes: Route[] = [...assigning, ...confirming, ...absences, ...reading];
