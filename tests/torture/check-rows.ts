/** What must find nothing. `$1` is the franchise; `$2`, the transaction before which all was arranged. */
export interface RowCheck {
  what: string;
  sql: string;
}

/** As many events of these names as `when` says, for each row: by its id as the subject, or in the event's data. */
function explained(table: string, names: string, { by, when = 'true' }: { by?: string; when?: string } = {}): RowCheck {
  const subject = by ?? 'e.subject_id = r.id';
  return {
    what: `${table}: not one event ${names} for each row where ${when}`,
    sql: `SELECT r.* FROM ${table} r
      WHERE r.franchise_id = $1 AND r.xmin::text::int >= $2 AND (${when})::int <>
        (SELECT count(*) FROM events e WHERE e.franchise_id = $1 AND e.name IN (${names}) AND ${subject})`,
  };
}

/** Every event of that name has its row. */
const rooted = (name: string, table: string, id = 'e.subject_id', also = 'true'): RowCheck => ({
  what: `an event ${name} without its row in ${table}`,
  sql: `SELECT e.* FROM events e WHERE e.franchise_id = $1 AND e.name = '${name}'
    AND NOT EXISTS (SELECT FROM ${table} r WHERE r.franchise_id = $1 AND r.id = ${id} AND ${also})`,
});

const dataId = (name: string) => `(e.data->>'${name}')::uuid`;
const MARKED = ['checked-in', 'held', 'released', 'checked-out', 'went-on', 'absent', 'late'];

const assignments = [
  explained('assignments', "'staffing.assigned'"),
  explained('assignments', "'staffing.released'", { when: 'r.released_at IS NOT NULL' }),
  rooted(
    'staffing.assigned',
    'assignments',
    'e.subject_id',
    `r.person_id = ${dataId('personId')} AND r.duty = e.data->>'duty'`,
  ),
  rooted('staffing.released', 'assignments', 'e.subject_id', `r.released_why = e.data->>'why'`),
];

const dated = [
  explained('enrolments', "'schedule.enrolled'"),
  rooted('schedule.enrolled', 'enrolments', 'e.subject_id', `r.athlete_id = ${dataId('athleteId')}`),
  {
    what: 'an enrolment that ends on another day than was last said',
    sql: `SELECT r.* FROM enrolments r WHERE r.franchise_id = $1 AND r.until_day::text IS DISTINCT FROM
      (SELECT e.data->>'until' FROM events e WHERE e.subject_id = r.id AND e.name = 'schedule.unenrolled'
        ORDER BY e.subject_revision DESC LIMIT 1)`,
  },
  explained('overrides', "'staffing.override-accepted'"),
  explained('overrides', "'staffing.override-withdrawn'", { when: 'r.withdrawn_at IS NOT NULL' }),
  rooted('staffing.override-accepted', 'overrides'),
  rooted('staffing.override-withdrawn', 'overrides'),
  explained('absences', "'staffing.absence-recorded'"),
  explained('absences', "'staffing.absence-withdrawn'", { when: 'r.withdrawn_at IS NOT NULL' }),
  rooted('staffing.absence-recorded', 'absences', 'e.subject_id', `r.person_id = ${dataId('personId')}`),
  explained('qualifications', "'people.qualified'", {
    by: `${dataId('qualificationId')} = r.id`,
    when: "r.evidence = 'seen again'",
  }),
  explained('qualifications', "'people.qualification-revoked'", {
    by: `${dataId('qualificationId')} = r.id`,
    when: 'r.revoked_from_day IS NOT NULL',
  }),
  rooted('people.qualified', 'qualifications', dataId('qualificationId')),
  explained('sign_offs', "'people.signed-off'", { by: `${dataId('signOffId')} = r.id` }),
  {
    what: 'a sign-off that ends on another day than was last said',
    sql: `SELECT r.* FROM sign_offs r WHERE r.franchise_id = $1 AND r.until_day::text IS DISTINCT FROM
      (SELECT e.data->>'until' FROM events e WHERE ${dataId('signOffId')} = r.id AND e.name = 'people.sign-off-ended'
        ORDER BY e.subject_revision DESC LIMIT 1)`,
  },
  rooted('people.signed-off', 'sign_offs', dataId('signOffId')),
];

const versioned = [
  explained('ratio_rules', "'ratios.rule-changed'", {
    by: `${dataId('ruleId')} = r.id AND (e.data->>'version')::int = r.version`,
  }),
  rooted('ratios.rule-changed', 'ratio_rules', dataId('ruleId'), `r.version = (e.data->>'version')::int`),
  explained('plan_versions', "'curriculum.plan-drafted'", { when: 'r.number > 1' }),
  explained('plan_versions', "'curriculum.plan-published'", {
    when: "r.number > 1 AND r.state IN ('published', 'withdrawn')",
  }),
  explained('plan_versions', "'curriculum.plan-withdrawn'", { when: "r.state = 'withdrawn'" }),
  rooted('curriculum.plan-drafted', 'plan_versions'),
];

const marks = [
  explained('attendance_marks', MARKED.map((name) => `'attendance.${name}'`).join(), {
    by: `${dataId('markId')} = r.id`,
  }),
  explained('attendance_marks', "'attendance.undone'", {
    by: `${dataId('markId')} = r.id`,
    when: 'r.undone_at IS NOT NULL',
  }),
  ...[...MARKED, 'undone'].map((name) => rooted(`attendance.${name}`, 'attendance_marks', dataId('markId'))),
  {
    what: 'somebody present without an open stay, or with one and not present',
    sql: `SELECT r.* FROM attendance r WHERE r.franchise_id = $1 AND (r.state = 'present') <>
      EXISTS (SELECT FROM stays s WHERE s.session_id = r.session_id AND s.athlete_id = r.athlete_id
        AND s.in_at IS NOT NULL AND s.out_at IS NULL)`,
  },
];

const CONFIRMATION = `e.name IN ('staffing.confirmed', 'staffing.unconfirmed', 'staffing.confirmation-lost')`;
const blocks = [
  {
    what: 'a block that is confirmed, or not, against its last event',
    sql: `SELECT r.* FROM blocks r WHERE r.franchise_id = $1 AND (r.confirmed_at IS NOT NULL) <> coalesce(
      (SELECT e.name = 'staffing.confirmed' FROM events e WHERE e.subject_id = r.id AND ${CONFIRMATION}
        ORDER BY e.subject_revision DESC LIMIT 1), false)`,
  },
  {
    what: 'a block confirmed, or unconfirmed, twice running',
    sql: `SELECT * FROM (SELECT e.subject_id, e.name, e.subject_revision, e.name = 'staffing.confirmed' AS on,
        lag(e.name = 'staffing.confirmed', 1, false) OVER (PARTITION BY e.subject_id ORDER BY e.subject_revision) AS was
      FROM events e WHERE e.franchise_id = $1 AND ${CONFIRMATION}) x WHERE x.on = x.was`,
  },
  {
    what: 'two events about one revision of a block',
    sql: `SELECT subject_id, subject_revision FROM events e WHERE e.franchise_id = $1 AND ${CONFIRMATION}
      GROUP BY 1, 2 HAVING count(*) > 1`,
  },
  {
    what: 'a block that is held back, or not, against its last event',
    sql: `SELECT r.* FROM blocks r WHERE r.franchise_id = $1 AND r.held_why IS NOT NULL AND NOT EXISTS
      (SELECT FROM events e WHERE e.subject_id = r.id AND e.name = 'staffing.unconfirmed' AND e.data->>'why' = r.held_why)`,
  },
];

const sessions = [
  {
    what: 'a session that was laid out by nobody, or twice',
    sql: `SELECT r.* FROM sessions r WHERE r.franchise_id = $1 AND 1 <> (SELECT count(*) FROM events e
      WHERE e.name = 'schedule.sessions-laid-out' AND e.data->'sessionIds' ? r.id::text)`,
  },
  explained('sessions', "'schedule.session-cancelled'", { when: 'r.cancelled_at IS NOT NULL' }),
  {
    what: 'a session elsewhere than it was last moved to',
    sql: `SELECT r.* FROM sessions r JOIN LATERAL (SELECT e.data->>'to' AS "to" FROM events e
        WHERE e.subject_id = r.id AND e.name = 'schedule.session-moved' ORDER BY e.subject_revision DESC LIMIT 1) moved
      ON true WHERE r.franchise_id = $1 AND r.starts_at <> moved."to"::timestamptz`,
  },
  {
    what: 'a place in a group of another time than its session',
    sql: `SELECT m.* FROM group_members m JOIN sessions s ON s.id = m.session_id WHERE m.franchise_id = $1
      AND m.released_at IS NULL AND (m.starts_at <> s.starts_at OR m.ends_at <> s.ends_at)`,
  },
  {
    what: 'a standing place in what was cancelled',
    sql: `SELECT m.id FROM group_members m JOIN sessions s ON s.id = m.session_id
      WHERE m.franchise_id = $1 AND m.released_at IS NULL AND s.cancelled_at IS NOT NULL
      UNION ALL SELECT a.id FROM assignments a JOIN blocks b ON b.id = a.block_id JOIN sessions s ON s.id = b.session_id
      WHERE a.franchise_id = $1 AND a.released_at IS NULL AND (s.cancelled_at IS NOT NULL OR b.superseded_at IS NOT NULL)`,
  },
  {
    what: 'a standing place outside its block',
    sql: `SELECT a.* FROM assignments a JOIN blocks b ON b.id = a.block_id WHERE a.franchise_id = $1
      AND a.released_at IS NULL AND (a.day <> b.day OR a.starts_at < b.starts_at OR a.ends_at > b.ends_at)`,
  },
];

/** Written by no transaction that left an event: nothing that matters is written in silence. */
const SILENT = ['assignments', 'enrolments', 'group_members', 'blocks', 'overrides', 'absences', 'attendance', 'stays']
  .concat(['attendance_marks', 'qualifications', 'sign_offs', 'ratio_rules', 'plan_versions', 'plan_stations'])
  .concat(['sessions', 'groups', 'athletes', 'staff_members', 'employments', 'duty_rules', 'gyms', 'classes']);
const silent: RowCheck[] = SILENT.map((table) => ({
  what: `a row of ${table} written by a transaction without an event`,
  sql: `SELECT r.* FROM ${table} r WHERE r.franchise_id = $1 AND r.xmin::text::int >= $2
    AND NOT EXISTS (SELECT FROM events e WHERE e.franchise_id = $1 AND e.xmin = r.xmin)`,
}));

export const ROWS: readonly RowCheck[] = [
  ...assignments,
  ...dated,
  ...versioned,
  ...marks,
  ...blocks,
  ...sessions,
  ...silent,
];
