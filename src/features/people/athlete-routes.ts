import { created, ok, type Route, route } from '../../platform/http/route.ts';
import { GymRef } from '../../platform/http/wire.ts';
import { addAthlete } from './add-athlete.ts';
import { addHelper, addSupport, addTrait, endHelper, endSupport, endTrait } from './athlete-days.ts';
import { getAthlete, listAthletes } from './athlete-repo.ts';
import {
  Athlete,
  AthleteChanges,
  AthletePage,
  AthleteQuery,
  AthleteRef,
  ChangedAthlete,
  ChangedGuardian,
  ChangedHelper,
  ChangedSupport,
  ChangedTrait,
  CorrectedGuardian,
  GuardianChanges,
  GuardianRef,
  Health,
  HealthBody,
  HelperRef,
  NewAthlete,
  NewGuardian,
  NewHelper,
  NewSupport,
  NewTrait,
  Stature,
  SupportRef,
  TraitRef,
  UnlinkedGuardian,
} from './athlete-schema.ts';
import { changeAthlete } from './change-athlete.ts';
import { changeGuardian, linkGuardian, unlinkGuardian } from './guardians.ts';
import { recordHealthRead, setHealth } from './health.ts';
import { EndOn } from './schema.ts';
import { getStature, setStature } from './stature.ts';

// A coach is let in to the two that read, and sees there the athletes of their own blocks of the day.
const reads = {
  tag: 'athletes',
  permission: 'athletes.read',
  scopes: ['franchise', 'gym', 'own-blocks'],
  traced: true,
} as const;
const writes = { tag: 'athletes', permission: 'athletes.write' } as const;

export const athleteRoutes: Route[] = [
  route({
    ...reads,
    method: 'get',
    path: '/gyms/{gymId}/athletes',
    name: 'listAthletes',
    summary: 'The gym’s athletes; for a coach, those in the blocks that they have today',
    params: GymRef,
    query: AthleteQuery,
    returns: { 200: AthletePage },
  }).handle(async (ctx, { params: { gymId }, query }) => {
    const listed = await listAthletes(ctx, gymId, query);
    await recordHealthRead(ctx, { subjectId: gymId, gymId }, listed.items);
    return ok(listed);
  }),

  route({
    ...writes,
    method: 'post',
    path: '/gyms/{gymId}/athletes',
    name: 'addAthlete',
    summary: 'Write down an athlete',
    params: GymRef,
    body: NewAthlete,
    returns: { 201: ChangedAthlete },
    problems: ['already-exists'],
    etag: true,
    dryRun: true,
  }).handle(async (ctx, { params, body }) => created(await addAthlete(ctx, params.gymId, body))),

  route({
    ...reads,
    method: 'get',
    path: '/gyms/{gymId}/athletes/{athleteId}',
    name: 'getAthlete',
    summary: 'One athlete; for a coach, names and alerts of one in their own blocks today',
    params: AthleteRef,
    returns: { 200: Athlete },
    etag: true,
  }).handle(async (ctx, { params: { gymId, athleteId } }) => {
    const athlete = await getAthlete(ctx, gymId, athleteId);
    await recordHealthRead(ctx, { subjectId: athleteId, gymId }, [athlete]);
    return ok(athlete);
  }),

  route({
    ...writes,
    method: 'patch',
    path: '/gyms/{gymId}/athletes/{athleteId}',
    name: 'changeAthlete',
    summary: 'Correct what is known of an athlete, move them to another gym, or say that they left',
    description: 'All but names and contacts are facts: the answer says which blocks lost their confirmation.',
    params: AthleteRef,
    body: AthleteChanges,
    returns: { 200: ChangedAthlete },
    problems: ['still-in-use', 'conflict'],
    ifMatch: true,
    dryRun: true,
  }).handle(async (ctx, { params, body, ifMatch }) => ok(await changeAthlete(ctx, params, ifMatch, body))),

  route({
    ...writes,
    method: 'get',
    path: '/gyms/{gymId}/athletes/{athleteId}/stature',
    name: 'getStature',
    summary: 'How tall an athlete was when somebody last looked',
    params: AthleteRef,
    returns: { 200: Stature },
  }).handle(async (ctx, { params }) => ok(await getStature(ctx, params))),

  route({
    ...writes,
    method: 'put',
    path: '/gyms/{gymId}/athletes/{athleteId}/stature',
    name: 'setStature',
    summary: 'Write down how tall an athlete is; set-ups that have to fit are checked against it',
    params: AthleteRef,
    body: Stature,
    returns: { 200: Stature },
  }).handle(async (ctx, { params, body }) => ok(await setStature(ctx, params, body))),

  route({
    method: 'put',
    tag: 'athletes',
    permission: 'health.write',
    path: '/gyms/{gymId}/athletes/{athleteId}/health',
    name: 'setHealth',
    summary: 'Write the medical alerts of an athlete',
    description: 'If-Match is the athlete’s own: whoever writes has read what stands there.',
    params: AthleteRef,
    body: HealthBody,
    returns: { 200: Health },
    ifMatch: true,
  }).handle(async (ctx, { params, body, ifMatch }) => ok(await setHealth(ctx, params, ifMatch, body.alerts))),

  route({
    ...writes,
    method: 'post',
    path: '/gyms/{gymId}/athletes/{athleteId}/traits',
    name: 'addTrait',
    summary: 'Give an athlete a trait that a rule’s band may name',
    params: AthleteRef,
    body: NewTrait,
    returns: { 201: ChangedTrait },
    problems: ['already-exists'],
    dryRun: true,
  }).handle(async (ctx, { params, body }) => created(await addTrait(ctx, params, body))),

  route({
    ...writes,
    method: 'post',
    path: '/gyms/{gymId}/athletes/{athleteId}/traits/{traitId}/end',
    name: 'endTrait',
    summary: 'Say from which day on a trait is no longer theirs',
    params: TraitRef,
    body: EndOn,
    returns: { 200: ChangedTrait },
    problems: ['conflict'],
    dryRun: true,
  }).handle(async (ctx, { params, body }) => ok(await endTrait(ctx, params, body.until))),

  route({
    ...writes,
    method: 'post',
    path: '/gyms/{gymId}/athletes/{athleteId}/supports',
    name: 'addSupport',
    summary: 'Say that an athlete needs a one-to-one helper',
    params: AthleteRef,
    body: NewSupport,
    returns: { 201: ChangedSupport },
    problems: ['already-exists'],
    dryRun: true,
  }).handle(async (ctx, { params, body }) => created(await addSupport(ctx, params, body))),

  route({
    ...writes,
    method: 'post',
    path: '/gyms/{gymId}/athletes/{athleteId}/supports/{supportId}/end',
    name: 'endSupport',
    summary: 'Say from which day on an athlete needs no helper',
    params: SupportRef,
    body: EndOn,
    returns: { 200: ChangedSupport },
    problems: ['conflict'],
    dryRun: true,
  }).handle(async (ctx, { params, body }) => ok(await endSupport(ctx, params, body.until))),

  route({
    ...writes,
    method: 'post',
    path: '/gyms/{gymId}/athletes/{athleteId}/helpers',
    name: 'addHelper',
    summary: 'Say who may be an athlete’s one-to-one helper',
    params: AthleteRef,
    body: NewHelper,
    returns: { 201: ChangedHelper },
    problems: ['already-exists'],
    dryRun: true,
  }).handle(async (ctx, { params, body }) => created(await addHelper(ctx, params, body))),

  route({
    ...writes,
    method: 'post',
    path: '/gyms/{gymId}/athletes/{athleteId}/helpers/{athleteHelperId}/end',
    name: 'endHelper',
    summary: 'Say from which day on somebody is their helper no more',
    params: HelperRef,
    body: EndOn,
    returns: { 200: ChangedHelper },
    problems: ['conflict'],
    dryRun: true,
  }).handle(async (ctx, { params, body }) => ok(await endHelper(ctx, params, body.until))),

  route({
    ...writes,
    method: 'post',
    path: '/gyms/{gymId}/athletes/{athleteId}/guardians',
    name: 'linkGuardian',
    summary: 'Link an athlete to somebody who answers for them',
    params: AthleteRef,
    body: NewGuardian,
    returns: { 201: ChangedGuardian },
    problems: ['already-exists', 'conflict'],
    dryRun: true,
  }).handle(async (ctx, { params, body }) => created(await linkGuardian(ctx, params, body))),

  route({
    ...writes,
    method: 'patch',
    path: '/gyms/{gymId}/athletes/{athleteId}/guardians/{guardianId}',
    name: 'changeGuardian',
    summary: 'Correct a guardian’s name, contacts, or what they are to the athlete',
    description: 'If-Match is the athlete’s.',
    params: GuardianRef,
    body: GuardianChanges,
    returns: { 200: CorrectedGuardian },
    problems: ['conflict'],
    ifMatch: true,
  }).handle(async (ctx, { params, body, ifMatch }) => ok(await changeGuardian(ctx, params, ifMatch, body))),

  route({
    ...writes,
    method: 'delete',
    path: '/gyms/{gymId}/athletes/{athleteId}/guardians/{guardianId}',
    name: 'unlinkGuardian',
    summary: 'Take the link between an athlete and a guardian away',
    params: GuardianRef,
    returns: { 200: UnlinkedGuardian },
    dryRun: true,
  }).handle(async (ctx, { params }) => ok(await unlinkGuardian(ctx, params))),
];
