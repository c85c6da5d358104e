import { eq } from 'drizzle-orm';
import { newId } from '../../src/platform/ids.ts';
import * as t from '../../src/tables/index.ts';
import { aMember, type Franchise, type TestGym } from './a-franchise.ts';
import { aClass, anAssignment, aSession } from './a-session.ts';
import { anAthlete, aQualificationKind, aStaffMember } from './people.ts';

/** One id for every parameter that a path can have, by the parameter's name; all of one gym, or of its franchise. */
export type Ids = Record<string, string>;

/** Parameters that are no ids: they mean the same to everybody. */
export const COMMON: Ids = { number: '1', day: '2026-09-14', duty: 'lead', standardId: 'nspcc-cpsu' };

/** A gym with one of everything that an address can name. */
export async function aStockedGym(f: Franchise, gym: TestGym): Promise<Ids> {
  const ours = { franchiseId: f.id };
  const kind = await aQualificationKind(f);
  const personId = await aStaffMember(f, { gyms: [gym], holds: [{ kind }] });
  const athleteId = await anAthlete(f, { gym });
  const session = await aSession(f, { groups: [[athleteId]], class: await aClass(f, { gym }) });
  const [block] = session.blocks;
  const [planBlock] = session.plan.blocks;
  const station = planBlock?.stations[0];
  if (!block || !station) throw new Error('a session has a block, and its plan a station');
  const { drillId: easierId, id: stationId } = station;
  const assignmentId = await anAssignment(f, block, personId, { gym, day: session.day });
  const account = await aMember(f, { role: 'desk', gym });
  const ids = {
    signOffId: newId(),
    traitId: newId(),
    supportId: newId(),
    athleteHelperId: newId(),
    guardianId: newId(),
    skillId: newId(),
    harderId: newId(),
    ruleId: newId(),
    overrideId: newId(),
    absenceId: newId(),
    markId: newId(),
    collectorId: newId(),
    outingId: newId(),
    staffMarkId: newId(),
    clientId: newId(),
    incidentId: newId(),
    attachmentId: newId(),
    followUpId: newId(),
    concussionId: newId(),
    questionId: newId(),
    termId: newId(),
    adaptationId: newId(),
    feedbackId: newId(),
    pairRequestId: newId(),
    stepDownId: newId(),
  };
  const from = '2026-01-01';
  const span = { startsAt: block.startsAt, endsAt: block.endsAt };

  return f.arrange(async (tx) => {
    const skill = { ...ours, id: ids.skillId, name: `Skill ${ids.skillId}`, apparatusId: f.apparatus.floor };
    await tx.insert(t.skills).values(skill);
    await tx
      .insert(t.signOffs)
      .values({ ...ours, id: ids.signOffId, personId, skillId: ids.skillId, level: 'alone', from });
    await tx.insert(t.athleteTraits).values({ ...ours, id: ids.traitId, athleteId, trait: 'new', from });
    await tx.insert(t.athleteSupports).values({ ...ours, id: ids.supportId, athleteId, from });
    await tx.insert(t.athleteHelpers).values({ ...ours, id: ids.athleteHelperId, athleteId, helperId: personId, from });
    await tx.insert(t.persons).values({ ...ours, id: ids.guardianId });
    await tx.insert(t.personNames).values({ ...ours, personId: ids.guardianId, given: 'Aoife', family: 'Walsh' });
    await tx.insert(t.guardianships).values({ ...ours, athleteId, guardianId: ids.guardianId, relation: 'mother' });
    await tx.insert(t.drills).values({
      ...ours,
      id: ids.harderId,
      name: `Drill ${ids.harderId}`,
      apparatusId: f.apparatus.floor,
      sayFirst: 'Look where you land.',
      spottingMode: 'none',
      secondsATurn: 20,
      places: 1,
    });
    await tx.insert(t.progressions).values({ ...ours, easierId, harderId: ids.harderId });
    const diagram = { title: 'Wedge', widthCm: 300, depthCm: 200, pieces: [], arrows: [], people: [] };
    await tx.update(t.drills).set({ diagram }).where(eq(t.drills.id, easierId));
    await tx.update(t.planStations).set({ diagram }).where(eq(t.planStations.id, stationId));
    await tx.insert(t.blockStepDowns).values({
      ...ours,
      id: ids.stepDownId,
      gymId: gym.id,
      blockId: block.id,
      stationId: station.id,
      drillId: easierId,
      spotting: { mode: 'none' },
      reason: 'nobody to spot',
    });
    await tx
      .insert(t.planVersions)
      .values({ ...ours, id: newId(), planId: session.plan.id, number: 2, state: 'draft' });
    await tx.insert(t.overrides).values({
      ...ours,
      ...span,
      id: ids.overrideId,
      gymId: gym.id,
      per: 'block',
      unitId: block.id,
      day: session.day,
      code: 'no-band',
      subjects: [],
      short: '1',
      reason: 'agreed by phone',
      createdBy: account.accountId,
    });
    await tx.insert(t.absences).values({ ...ours, ...span, id: ids.absenceId, personId });
    await tx.insert(t.ratioRules).values({
      ...ours,
      id: ids.ruleId,
      version: 1,
      gymId: gym.id,
      name: 'One coach to eight',
      from,
      body: {
        source: null,
        strength: 'warn',
        overridable: true,
        scope: {},
        except: null,
        per: 'block',
        agesOf: 'present',
        bands: [],
        mixed: { method: 'youngest' },
        plus: 0,
        floors: [],
        caps: [],
        counts: [],
        whileSpotting: 'counts',
        supervision: [],
        staffBelowYearsAreAthletes: null,
      },
    });
    const atSession = { ...ours, gymId: gym.id, sessionId: session.id, athleteId };
    const [came, recordedAt] = [block.startsAt, block.startsAt];
    await tx
      .insert(t.attendance)
      .values({ ...atSession, kind: 'enrolled', state: 'on-hold', since: came, findings: ['short'] });
    await tx.insert(t.attendanceMarks).values({ ...atSession, id: ids.markId, kind: 'hold', at: came, recordedAt });
    await tx
      .insert(t.collectors)
      .values({ ...ours, id: ids.collectorId, athleteId, name: 'Nuala Walsh', relation: 'aunt', from });
    await tx.insert(t.outings).values({ ...atSession, id: ids.outingId, why: 'water', outAt: came, recordedAt });
    const ofStaff = { ...ours, gymId: gym.id, personId, day: session.day };
    await tx.insert(t.staffMarks).values({ ...ofStaff, id: ids.staffMarkId, kind: 'in', at: came, recordedAt });
    await tx.insert(t.staffStays).values({ ...ofStaff, position: 1, kind: 'work', inAt: came });
    await tx.insert(t.offlineItems).values({
      ...ours,
      clientId: ids.clientId,
      gymId: gym.id,
      kind: 'in',
      fingerprint: 'none',
      at: came,
      recordedAt,
      outcome: 'refused',
      problem: 'invalid-request',
      detail: 'There is no such athlete at this gym.',
    });
    const ofNote = { ...ours, incidentId: ids.incidentId, createdBy: account.accountId };
    await tx.insert(t.incidents).values({
      ...ours,
      id: ids.incidentId,
      gymId: gym.id,
      kind: 'injury',
      occurredAt: block.startsAt,
      day: session.day,
      writtenBy: account.accountId,
      sessionId: session.id,
      blockId: block.id,
      what: 'Fell from the beam.',
      whereItHurts: 'left wrist',
      done: 'ice',
      told: 'the mother',
    });
    await tx
      .insert(t.incidentPeople)
      .values({ ...ours, incidentId: ids.incidentId, personId: athleteId, part: 'hurt' });
    const facts = { blockId: block.id, staff: [], athletes: [], cover: [], rules: [] };
    await tx
      .insert(t.incidentSnapshots)
      .values({ ...ours, incidentId: ids.incidentId, takenAt: block.startsAt, facts });
    await tx
      .insert(t.incidentFollowUps)
      .values({ ...ofNote, id: ids.followUpId, what: 'Check the mat.', dueOn: '2026-09-20' });
    await tx.insert(t.incidentConcussions).values({
      ...ofNote,
      id: ids.concussionId,
      athleteId,
      edition: '2023',
      observed: [],
      holdId: newId(),
    });
    await tx.insert(t.incidentAttachments).values({
      ...ofNote,
      id: ids.attachmentId,
      name: 'beam.pdf',
      mediaType: 'application/pdf',
      size: 5,
      sha256: '0'.repeat(64),
    });
    await tx
      .insert(t.incidentContents)
      .values({ ...ours, attachmentId: ids.attachmentId, content: Buffer.from('%PDF-') });
    await tx.insert(t.briefingQuestions).values({
      ...ours,
      id: ids.questionId,
      planVersionId: session.plan.versionId,
      askedBy: account.accountId,
      askedAt: block.startsAt,
      question: 'Is the wedge the long one?',
    });
    const said = { ...ours, gymId: gym.id, stationId };
    await tx.insert(t.adaptations).values({
      ...said,
      id: ids.adaptationId,
      per: 'block',
      unitId: block.id,
      kind: 'drop-step',
      step: 1,
      reason: 'It ran late.',
    });
    await tx.insert(t.stationFeedback).values({
      ...said,
      id: ids.feedbackId,
      blockId: block.id,
      answer: 'worked',
      answeredAt: block.endsAt,
      answeredBy: account.accountId,
    });
    await tx.insert(t.pairRequests).values({
      ...ours,
      id: ids.pairRequestId,
      gymId: gym.id,
      personId,
      skillId: ids.skillId,
      askedAt: block.startsAt,
    });
    const programmeId = session.plan.programme.id;
    await tx.insert(t.terms).values({ ...ours, id: ids.termId, programmeId, title: 'Autumn', startsOn: '2026-09-07' });
    await tx.insert(t.termWeeks).values({ ...ours, termId: ids.termId, number: 1, planId: session.plan.id, note: '' });
    const [employment] = await tx.select().from(t.employments).where(eq(t.employments.personId, personId));
    const [qualification] = await tx.select().from(t.qualifications).where(eq(t.qualifications.personId, personId));
    const [enrolment] = await tx.select().from(t.enrolments).where(eq(t.enrolments.athleteId, athleteId));
    const [role] = await tx.select().from(t.memberships).where(eq(t.memberships.accountId, account.accountId));
    return {
      ...ids,
      gymId: gym.id,
      areaId: gym.areas.floor,
      apparatusId: f.apparatus.floor,
      personId,
      athleteId,
      kindId: kind.id,
      accountId: account.accountId,
      programmeId,
      levelId: session.plan.programme.levels[0],
      stationId,
      drillId: easierId,
      easierId,
      planId: session.plan.id,
      classId: session.class.id,
      sessionId: session.id,
      blockId: block.id,
      assignmentId,
      employmentId: employment!.id,
      qualificationId: qualification!.id,
      enrolmentId: enrolment!.id,
      roleId: role!.id,
    };
  });
}
