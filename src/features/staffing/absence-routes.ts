import { z } from 'zod';
import { settledOnWire } from '../../enforcement/describe.ts';
import { created, ok, type Route, route } from '../../platform/http/route.ts';
import { GymRef, PageQuery } from '../../platform/http/wire.ts';
import { recordAbsence, replaceAbsent, withdrawAbsence } from './absence.ts';
import { listAbsences } from './absences-repo.ts';
import { Assigned, PLACING_PROBLEMS } from './assigned.ts';
import { Absence, AbsencePage, AbsenceRef, AbsenceSettled, NewAbsence, Replacement } from './schema.ts';
import { placesLeft } from './take-substitutes.ts';

const tag = 'staffing';

export const absenceRoutes: Route[] = [
  route({
    method: 'post',
    path: '/gyms/{gymId}/absences',
    name: 'recordAbsence',
    tag,
    summary: 'Record that somebody on the staff cannot come',
    description:
      'Always recorded, once: an absence that is all within another is there already. What they held then is released, and blocks left uncovered lose their confirmation; the answer says which, and what would mend each, and who could take each place, best first. Substitutes named with it take theirs in the same change; one who may not is left out, and the answer says why.',
    permission: 'staffing.replace',
    params: GymRef,
    body: NewAbsence,
    returns: { 201: AbsenceSettled },
    problems: ['already-exists'],
    dryRun: true,
  }).handle(async (ctx, { params, body }) => {
    const { absence, taken, settled } = await recordAbsence(ctx, params.gymId, {
      ...body,
      startsAt: new Date(body.startsAt),
      endsAt: new Date(body.endsAt),
    });
    const left = await placesLeft(ctx, absence.id, settled);
    return created({ absence, taken, left, settled: await settledOnWire(ctx, settled) });
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
  }).handle(async (ctx, { params, query }) => ok(await listAbsences(ctx, params.gymId, query))),

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
    problems: ['not-covered', ...PLACING_PROBLEMS],
    dryRun: true,
  }).handle(async (ctx, { params, body }) => created(await replaceAbsent(ctx, params.gymId, params.absenceId, body))),
];
