import { type Act, aSessionOf, type Client, idIn, items, settledIn } from './acts.ts';
import type { Told } from './caller.ts';
import { dayAfter, layOut, limitsOf, see } from './world.ts';

const because = { reason: 'a torture' };
const FEWEST_SESSIONS = 4;

async function enrol(client: Client) {
  const { world, chance, owner } = client;
  const its = chance.pick(world.classes);
  const body = { athleteId: chance.pick(world.athletes.get(its.gym.id)!), from: world.today };
  await owner.write('enrol', `/gyms/${its.gym.id}/classes/${its.id}/enrolments`, body, {
    told: ({ enrolment }) => [['schedule.enrolled', idIn(enrolment)]],
  });
}

async function unenrol(client: Client) {
  const { world, chance, owner } = client;
  const its = chance.pick(world.classes);
  const path = `/gyms/${its.gym.id}/classes/${its.id}/enrolments`;
  const standing = items((await owner.read(`${path}?limit=200`))?.items).filter(({ until }) => until === null);
  if (standing.length === 0) return;
  const { id } = chance.pick(standing);
  await owner.write(
    'unenrol',
    `${path}/${id}/end`,
    { until: world.today },
    {
      told: (made) => [['schedule.unenrolled', id], ...settledIn(made)],
    },
  );
}

/** Reads a session, so as to name the revision that was seen. */
async function aFreshSession(client: Client) {
  const known = aSessionOf(client);
  return known && see(client.world, client.owner, known.gymId, known.id);
}

async function regroup(client: Client) {
  const { world, chance, owner } = client;
  const session = await aFreshSession(client);
  if (!session || session.groups.length === 0) return;
  const path = `/gyms/${session.gymId}/sessions/${session.id}`;
  const groups = items((await owner.read(path))?.groups);
  const there = groups.flatMap(({ members }) => items(members).map(({ athleteId }) => String(athleteId)));
  const athleteId = there.length > 0 ? chance.pick(there) : chance.pick(world.athletes.get(session.gymId)!);
  const body = { moves: [{ athleteId, groupId: chance.pick(session.groups) }] };
  await owner.write('regroup', `${path}/regroup`, body, {
    ifMatch: session.revision,
    told: () => [['schedule.regrouped', session.id]],
  });
}

/** To another time of its day, or to another day; what is on today stays there, so that today stays crowded. */
async function move(client: Client) {
  const { world, chance, owner } = client;
  const session = await aFreshSession(client);
  if (!session) return;
  const day = session.day === world.today ? world.today : dayAfter(world.today, 7 + chance.below(2));
  const time = chance.pick(['15:40', '16:00', '16:20', '16:40', '17:00']);
  const path = `/gyms/${session.gymId}/sessions/${session.id}`;
  await owner.write(
    'move',
    `${path}/move`,
    { day, time },
    {
      ifMatch: session.revision,
      told: () => [['schedule.session-moved', session.id]],
    },
  );
  await see(world, owner, session.gymId, session.id);
}

/** Cancels one, and lays out another of its class instead. */
async function cancel(client: Client) {
  const { world, chance, owner } = client;
  const session = await aFreshSession(client);
  if (!session || session.day === world.today) return;
  await owner.write('cancel', `/gyms/${session.gymId}/sessions/${session.id}/cancel`, because, {
    told: (made) => [
      ['schedule.session-cancelled', session.id],
      ...items(made.released).map(({ assignmentId }): Told => ['staffing.released', String(assignmentId)]),
      ...settledIn(made),
    ],
  });
  await see(world, owner, session.gymId, session.id);
  const its = world.classes.find(({ id }) => id === session.classId)!;
  await layOut(world, owner, its, dayAfter(world.today, 7 * (1 + chance.below(8))));
}

/** Sees that there is always something ahead. */
async function addSession(client: Client) {
  const { world, chance, owner } = client;
  if (world.sessions.size > FEWEST_SESSIONS + 4) return;
  await layOut(world, owner, chance.pick(world.classes), dayAfter(world.today, 7 * (1 + chance.below(8))));
}

/** A new version of the plan, published. */
async function publish({ world, owner }: Client) {
  const path = `/lesson-plans/${world.planId}`;
  const { status, body: made } = await owner.write('start plan version', `${path}/versions`, undefined, {
    told: ({ id }) => [['curriculum.plan-drafted', id]],
  });
  const draft = status < 300 ? made : await owner.read(`${path}/draft`);
  if (draft === null) return;
  await owner.write(
    'publish',
    `${path}/draft/publish`,
    {},
    {
      ifMatch: draft.revision,
      told: ({ id }) => [['curriculum.plan-published', id]],
    },
  );
}

async function takeVersion(client: Client) {
  const session = await aFreshSession(client);
  if (!session) return;
  const path = `/gyms/${session.gymId}/sessions/${session.id}`;
  await client.owner.write(
    'take plan version',
    `${path}/take-plan-version`,
    {},
    {
      ifMatch: session.revision,
      told: () => [['schedule.plan-version-taken', session.id]],
    },
  );
}

/** The newest but one is taken back for safety, so that there is one to go to. */
async function withdrawVersion({ world, owner }: Client) {
  const path = `/lesson-plans/${world.planId}/versions`;
  const published = items((await owner.read(`${path}?limit=200`))?.items).filter(({ state }) => state === 'published');
  const before = published[1];
  if (!before) return;
  await owner.write('withdraw plan version', `${path}/${before.number}/withdraw`, because, {
    told: (made) => [['curriculum.plan-withdrawn', before.id], ...settledIn(made)],
  });
}

/** Tighter, looser, or as it was; the franchise's rule or the gym's. */
async function changeRule({ world, chance, owner }: Client) {
  const isFranchise = chance.below(2) === 0;
  const ruleId = isFranchise ? world.franchiseRule : world.gymRule;
  const read = await owner.read(`/ratio-rules/${ruleId}`);
  if (read === null) return;
  const rule = partsOf(read.rule);
  const written = isFranchise
    ? { ...rule, bands: limitsOf(chance.pick(['2', '3', '3', '4'])) }
    : { ...rule, floors: items(rule.floors).map(withPeople(chance.pick([1, 1, 2]))) };
  const path = isFranchise ? `/ratio-rules/${ruleId}` : `/gyms/${world.f.gym.id}/ratio-rules/${ruleId}`;
  const body = { name: String(read.name), rule: written, from: world.today };
  await owner.write(isFranchise ? 'change rule' : 'change gym rule', `${path}/versions`, body, {
    ifMatch: read.revision,
    told: (made) => [['ratios.rule-changed', ruleId], ...settledIn(made)],
  });
}
const partsOf = (value: unknown): Record<string, unknown> =>
  typeof value === 'object' && value !== null ? { ...value } : {};
const withPeople = (people: number) => (floor: Record<string, unknown>) => ({
  ...floor,
  posts: items(floor.posts).map((post) => ({ ...post, people })),
});

export const scheduleActs: Act[] = [
  [6, enrol],
  [4, unenrol],
  [3, regroup],
  [2, move],
  [1, cancel],
  [1, addSession],
  [1, publish],
  [2, takeVersion],
  [1, withdrawVersion],
  [3, changeRule],
];
