/**
 * Everything that can happen, by name, with what its event carries beside gym and subject. Ids and numbers only, no
 * names, contacts or anybody's words, so that an event never needs erasing. That there is a hold, a note or an alert is
 * told; what somebody suffers from never is.
 */
export interface Happenings {
  'franchise.created': Record<never, never>;
  'franchise.changed': { fields: string[] };
  'users.invited': { accountId: string; role: string };
  'users.role-given': { accountId: string; role: string };
  'users.role-taken': { accountId: string; role: string };
  'users.reset-link-made': { accountId: string };
  'users.joined': { accountId: string };
  'users.person-set': { accountId: string; personId: string | null };
  'users.password-changed': { accountId: string };
  'users.token-reused': { accountId: string; signInId: string };
  'users.deactivated': { accountId: string };
  'users.reactivated': { accountId: string };
  'gyms.added': Record<never, never>;
  'gyms.changed': { fields: string[] };
  'gyms.area-added': { areaId: string };
  'gyms.area-changed': { areaId: string };
  'gyms.apparatus-added': Record<never, never>;
  'gyms.apparatus-changed': Record<never, never>;
  'gyms.out-of-use': { areaId: string; apparatusId: string; items: number };
  'gyms.stations-short': { apparatusId: string; stationsCount: number; sessionIds: string[] };
  'people.staff-added': { personId: string };
  'people.staff-changed': { personId: string; fields: string[] };
  'people.employed': { personId: string; employmentId: string; from: string; until: string | null };
  'people.employment-ended': { personId: string; employmentId: string; until: string; revision: number };
  'people.qualification-kind-added': { kindId: string };
  'people.qualification-kind-changed': { kindId: string };
  'people.qualified': {
    personId: string;
    qualificationId: string;
    kindId: string;
    grade: number;
    from: string;
    until: string | null;
  };
  'people.qualification-revoked': {
    personId: string;
    qualificationId: string;
    kindId: string;
    from: string;
    revision: number;
  };
  'people.signed-off': { personId: string; signOffId: string; skillId: string; level: string };
  'people.sign-off-ended': {
    personId: string;
    signOffId: string;
    skillId: string;
    until: string;
    revision: number;
  };
  /** The whole rule, so that who was admissible on an earlier day can still be told. */
  'people.duty-rule-set': { duty: string; who: object; revision: number };
  'people.athlete-added': { athleteId: string };
  'people.athlete-changed': { athleteId: string; fields: string[] };
  'people.trait-changed': { athleteId: string; traitId: string };
  'people.stature-set': { athleteId: string };
  'people.health-changed': { athleteId: string };
  'people.health-read': { athleteIds: string[] };
  'people.support-changed': { athleteId: string };
  'people.guardian-linked': { athleteId: string; guardianId: string; mayCollect: boolean };
  'people.guardian-changed': { athleteId: string; guardianId: string; mayCollect: boolean };
  'people.guardian-unlinked': { athleteId: string; guardianId: string; mayCollect: boolean };
  'curriculum.programme-added': { programmeId: string };
  'curriculum.programme-changed': { programmeId: string };
  'curriculum.skill-added': { skillId: string };
  'curriculum.drill-added': { drillId: string };
  'curriculum.drill-changed': { drillId: string };
  'curriculum.drill-retired': { drillId: string };
  'curriculum.drill-restored': { drillId: string };
  'curriculum.drills-imported': { added: number; changed: number };
  'curriculum.plans-imported': { added: number; changed: number };
  'curriculum.progression-added': { easierId: string; harderId: string };
  'curriculum.progression-removed': { easierId: string; harderId: string };
  'curriculum.plan-drafted': { planId: string; number: number };
  'curriculum.plan-edited': { planId: string; fields: string[] };
  'curriculum.plan-changed': { planId: string; number: number };
  'curriculum.plan-published': { planId: string; number: number };
  'curriculum.plan-withdrawn': { planId: string; number: number };
  'curriculum.briefing-seen': { planId: string; number: number };
  'curriculum.briefing-asked': { planId: string; number: number; questionId: string };
  'curriculum.briefing-answered': { planId: string; number: number; questionId: string };
  'curriculum.term-added': { termId: string; programmeId: string };
  'curriculum.term-changed': { termId: string; programmeId: string };
  'curriculum.settings-changed': Record<string, never>;
  'ratios.rule-added': { ruleId: string; version: number; standard: string | null };
  'ratios.rule-changed': { ruleId: string; version: number };
  'ratios.rule-retired': { ruleId: string; version: number };
  'schedule.class-added': { classId: string };
  'schedule.class-changed': { classId: string; fields: string[] };
  'schedule.sessions-laid-out': { classId: string; sessionIds: string[] };
  'schedule.session-cancelled': { sessionId: string; reason: string };
  'schedule.session-moved': { sessionId: string; from: string; to: string };
  'schedule.blocks-laid-out': { sessionId: string; planVersionId: string; blockIds: string[] };
  'schedule.plan-version-taken': { sessionId: string; planVersionId: string; steppedBack: string[] };
  'schedule.term-place-set': { termId: string; classId: string; fromDay: string; week: number };
  'schedule.regrouped': { sessionId: string; athleteIds: string[] };
  'schedule.enrolled': { classId: string; athleteId: string; from: string };
  'schedule.unenrolled': { classId: string; athleteId: string; until: string };
  'staffing.assigned': { personId: string; duty: string; unit: { per: string; id: string } };
  'staffing.released': { personId: string; duty: string; unit: { per: string; id: string }; why: string };
  'staffing.swapped': { personIds: string[]; from: string; until: string };
  'staffing.confirmed': { blockId: string; by: 'hand' | 'sweep' };
  'staffing.unconfirmed': { blockId: string; why: string };
  'staffing.confirmation-lost': { blockId: string; codes: string[] };
  'staffing.override-accepted': {
    unit: { per: string; id: string };
    code: string;
    ruleId: string | null;
    short: string;
    reason: string;
  };
  'staffing.stepped-down': { blockId: string; stationId: string; drillId: string };
  'staffing.step-down-undone': { blockId: string; stationId: string };
  'staffing.override-withdrawn': { overrideId: string };
  'staffing.absence-recorded': { personId: string; from: string; until: string };
  'staffing.absence-withdrawn': { personId: string };
  'teaching.adapted': { kind: string; unit: { per: string; id: string }; stationId: string; drillId: string | null };
  'teaching.adaptation-undone': { stationId: string };
  'teaching.answered': { blockId: string; stationIds: string[] };
  'teaching.replied': { stationId: string };
  'teaching.pair-asked': { personId: string; skillId: string };
  'teaching.pair-settled': { personId: string; skillId: string };
  'teaching.ticked': { blockId: string; stationIds: string[] };
  'teaching.skill-shown': { blockId: string; skillId: string; athleteIds: string[] };
  'teaching.criteria-set': { levelId: string; skillIds: string[] };
  'teaching.moved-up': { athleteId: string; levelId: string };
  'attendance.checked-in': { sessionId: string; athleteId: string; markId: string; at: string; codes: string[] };
  'attendance.held': { sessionId: string; athleteId: string; markId: string; at: string; codes: string[] };
  'attendance.released': { sessionId: string; athleteId: string; markId: string; at: string; codes: string[] };
  'attendance.over-limit': { sessionId: string; athleteId: string; codes: string[]; door: string };
  'attendance.checked-out': {
    sessionId: string;
    athleteId: string;
    markId: string;
    at: string;
    collectorId: string | null;
    onRecord: boolean;
  };
  'attendance.went-on': { sessionId: string; athleteId: string; markId: string; at: string };
  'attendance.absent': { sessionId: string; athleteId: string; markId: string; at: string };
  'attendance.late': { sessionId: string; athleteId: string; markId: string; at: string };
  'attendance.undone': { sessionId: string; athleteId: string; markId: string; kind: string };
  /** By name and birth date, at that gym's door; told at the athlete's own gym too. Null: nobody was found. */
  'attendance.looked-up': { athleteId: string | null; atGymId: string };
  'attendance.collector-added': { athleteId: string; collectorId: string };
  'attendance.collector-ended': { athleteId: string; collectorId: string };
  'attendance.custody-note-changed': { athleteId: string };
  'attendance.activity-held': { athleteId: string; holdId: string };
  'attendance.activity-cleared': { athleteId: string; holdId: string; clearanceId: string };
  'attendance.roll-taken': { rollId: string; blockId: string; here: number; missing: number; counted: number | null };
  'attendance.headcount': { rollId: string; blockId: string; counted: number; onRoll: number };
  'attendance.roll-differs': { rollId: string; blockId: string; athleteIds: string[] };
  'attendance.outing': { outingId: string; sessionId: string; athleteId: string; outAt: string };
  'attendance.outing-ended': { outingId: string; sessionId: string; athleteId: string; backAt: string };
  'attendance.outing-undone': { outingId: string; sessionId: string; athleteId: string };
  'attendance.staff-marked': { personId: string; markId: string; kind: string; at: string };
  'attendance.staff-mark-undone': { personId: string; markId: string; kind: string };
  'attendance.item-settled': { clientId: string };
  'attendance.item-refused': { clientId: string; kind: string; problem: string };
  'incidents.drafted': Record<never, never>;
  'incidents.changed': { fields: string[] };
  'incidents.completed': Record<never, never>;
  'incidents.sent': Record<never, never>;
  'incidents.amended': { amendmentId: string; what: string };
  'incidents.attached': { attachmentId: string };
  'incidents.concussion-suspected': { concussionId: string };
  'incidents.cleared': { clearanceId: string };
  'incidents.follow-up-added': { followUpId: string; dueOn: string };
  'incidents.follow-up-done': { followUpId: string };
  'incidents.reviewed': { amendmentId: string; keepUntil: string };
  /** Somebody was shown it; `attachmentId` of one file of it. */
  'incidents.read': { attachmentId: string | null };
  'incidents.listed': { incidentIds: string[] };
  /** Somebody was shown the rolls, contacts and alerts of these sessions. */
  'live.day-sheet-read': { day: string; sessionIds: string[] };
}

export type Happening = keyof Happenings;

/** What an event is about. */
export interface About {
  subjectId: string;
  gymId?: string | null;
  revision?: number;
}
