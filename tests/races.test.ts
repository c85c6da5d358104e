import pg from 'pg';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { aFranchise } from './support/a-franchise.ts';
import { aPublishedPlan } from './support/a-plan.ts';
import { aRule, oneTo } from './support/a-rule.ts';
import { aClass, aSession, type TestBlock } from './support/a-session.ts';
import { type Answer, type Api, openApi } from './support/api.ts';
import { look } from './support/look.ts';
import { aQualificationKind, aStaffMember, athletes } from './support/people.ts';
import { type Random, random } from './support/random.ts';

// Many clients assign, release, confirm, enrol, fall ill, lose qualifications and change the rules at once, while a
// watcher takes snapshots. The invariant (DESIGN): at every commit, planned cover of every confirmed block that has not
// ended is met, and nobody is in two places. The watcher judges each snapshot twice: in plain SQL that shares nothing
// with the service, and with the slow judge.

const DAY = '2026-09-14';
const CLIENTS = 8;
const TURNS = 40;
const SEED = 20_260_914;

let api: Api;
beforeAll(async () => {
  api = await openApi();
});
afterAll(() => api.close());

async function aBusyAfternoon() {
  const f = await aFranchise(api, { confirmWindowDays: 0 });
  const kind = await aQualificationKind(f);
  const counting = {
    ...oneTo(3),
    counts: [{ who: { test: 'holds' as const, kind: kind.id, grade: 1 }, share: '1', maxOf: null }],
  };
  const ruleId = await aRule(f, { body: counting });
  const plan = await aPublishedPlan(f, { blocks: [{}, {}] });
  const everyone = await athletes(f, 14);
  const classes = [];
  const blocks: TestBlock[] = [];
  for (const [index, startsAt] of ['16:00', '16:20', '16:50'].entries()) {
    const its = await aClass(f, { programme: plan.programme, startsAt });
    const who = everyone.slice(index * 3, index * 3 + 3);
    const session = await aSession(f, { class: its, plan, groups: [who] });
    classes.push(its);
    blocks.push(...session.blocks);
  }
  const staff = [];
  for (let n = 0; n < 6; n += 1) staff.push(await aStaffMember(f, { holds: [{ kind, until: '2027-01-01' }] }));
  return { f, kind, ruleId, plan, everyone, classes, blocks, staff, gym: `/gyms/${f.gym.id}` };
}
type Afternoon = Awaited<ReturnType<typeof aBusyAfternoon>>;

/** One client's next request, at random. */
async function act(at: Afternoon, { below, pick }: Random): Promise<[string, Answer]> {
  const { f, gym, blocks, staff, classes, everyone, kind } = at;
  const owner = api.as(f.owner);
  const block = pick(blocks);
  const personId = pick(staff);
  switch (below(24)) {
    case 0:
      return ['absence', await owner.post(`${gym}/absences`, { personId, ...AFTERNOON })];
    case 1:
    case 2:
      return ['comes after all', await comesAfterAll(at)];
    case 3:
      return ['revoke', await revoke(at, personId)];
    case 4:
    case 5:
      return ['qualify', await owner.post(`${gym}/staff/${personId}/qualifications`, qualified(kind.id))];
    case 6:
      return ['rule', await changeRule(at, pick(['2', '3', '3', '4']))];
    case 7:
      return ['unconfirm', await owner.post(`${gym}/blocks/${block.id}/unconfirm`, { reason: 'a test' })];
    case 8:
    case 9:
      return ['enrol', await owner.post(`${gym}/classes/${pick(classes).id}/enrolments`, enrolling(pick(everyone)))];
    case 10:
      return ['unenrol', await unenrol(at, pick(classes).id)];
    case 11:
    case 12:
    case 13:
      return ['release', await release(at, block.id, pick)];
    case 14:
    case 15:
    case 16:
    case 17:
    case 18:
      return ['confirm', await owner.post(`${gym}/blocks/${block.id}/confirm`)];
    default:
      return ['assign', await owner.post(`${gym}/blocks/${block.id}/assignments`, placing(personId, below(4) === 0))];
  }
}

const NOTHING_TO_DO = { status: 0 } as Answer;
const enrolling = (athleteId: string) => ({ athleteId, from: '2026-09-01' });
const placing = (personId: string, givingUpOthers: boolean) => ({ personId, duty: 'lead', givingUpOthers });

async function release({ f, gym }: Afternoon, blockId: string, pick: <T>(from: readonly T[]) => T): Promise<Answer> {
  const owner = api.as(f.owner);
  const { body } = await owner.get(`${gym}/assignments?blockId=${blockId}&limit=200`);
  const held = body.items.filter(({ releasedAt }) => releasedAt === null);
  if (held.length === 0) return NOTHING_TO_DO;
  return owner.post(`${gym}/assignments/${pick(held).id}/release`, { reason: 'a test' });
}

async function unenrol({ f, gym }: Afternoon, classId: string): Promise<Answer> {
  const owner = api.as(f.owner);
  const { body } = await owner.get(`${gym}/classes/${classId}/enrolments?limit=200`);
  const open = body.items.find(({ until }) => until === null);
  if (!open) return NOTHING_TO_DO;
  return owner.post(`${gym}/classes/${classId}/enrolments/${open.id}/end`, { until: '2026-09-10' });
}

async function comesAfterAll({ f, gym }: Afternoon): Promise<Answer> {
  const owner = api.as(f.owner);
  const { body } = await owner.get(`${gym}/absences?limit=200`);
  const open = body.items.find(({ withdrawnAt }) => withdrawnAt === null);
  return open ? owner.post(`${gym}/absences/${open.id}/withdraw`) : NOTHING_TO_DO;
}

const qualified = (kindId: string) => ({ kindId, grade: 1, from: '2026-01-01', evidence: 'seen again' });

async function revoke({ f, gym }: Afternoon, personId: string): Promise<Answer> {
  const owner = api.as(f.owner);
  const { body } = await owner.get(`${gym}/staff/${personId}`);
  const held = (body.qualifications as { id: string; revokedFrom: string | null }[]).find((one) => !one.revokedFrom);
  if (!held) return NOTHING_TO_DO;
  return owner.post(`${gym}/staff/${personId}/qualifications/${held.id}/revoke`, { from: DAY, reason: 'a test' });
}

async function changeRule({ f, ruleId }: Afternoon, athletesPerCoach: string): Promise<Answer> {
  const owner = api.as(f.owner);
  const { body } = await owner.get(`/ratio-rules/${ruleId}`);
  const { name, rule } = (
    body.versions as { name: string; rule: { source: null; bands: { limits: object[] }[] } }[]
  )[0]!;
  const limits = [{ upToGroup: null, athletesPerCoach, when: null }];
  const bands = rule.bands.map((band) => ({ ...band, limits }));
  const { source: _source, ...asWritten } = rule;
  const change = { name, rule: { ...asWritten, bands }, from: '2026-09-07' };
  return owner.post(`/ratio-rules/${ruleId}/versions`, change, { ifMatch: body.revision });
}

const AFTERNOON = { startsAt: `${DAY}T10:00:00Z`, endsAt: `${DAY}T20:00:00Z` };

test('the invariant holds at every look while everything changes at once', { timeout: 120_000 }, async () => {
  const at = await aBusyAfternoon();
  const done = new Map<string, number>();
  const note = (what: string, { status, body }: Answer) => {
    const name = `${what} ${status}${status >= 400 ? ` ${body.type}` : ''}`;
    done.set(name, (done.get(name) ?? 0) + 1);
    expect(status, `${what}: ${JSON.stringify(body)}`).toBeLessThan(500);
  };
  let working = true;
  const watcher = new pg.Client({ connectionString: api.database.urls.owner });
  await watcher.connect();
  const looks = (async () => {
    const seen = { looks: 0, confirmed: 0 };
    while (working) {
      const { faults, confirmed } = await look(watcher, at.f.id, api.clock.now());
      expect(faults).toEqual([]);
      seen.looks += 1;
      seen.confirmed += confirmed;
    }
    return seen;
  })();
  const clients = Array.from({ length: CLIENTS }, async (_, client) => {
    const chance = random(SEED + client);
    for (let turn = 0; turn < TURNS; turn += 1) note(...(await act(at, chance)));
  });
  await Promise.race([Promise.all(clients), looks]);
  await Promise.all(clients);
  working = false;
  const seen = await looks;
  expect((await look(watcher, at.f.id, api.clock.now())).faults).toEqual([]);
  await watcher.end();

  // A run in which nothing was confirmed, or nothing refused, would prove nothing.
  console.log(`${seen.looks} looks, ${seen.confirmed} confirmed blocks in them;`, Object.fromEntries([...done].sort()));
  expect(seen.looks).toBeGreaterThan(20);
  expect(seen.confirmed).toBeGreaterThan(20);
  for (const what of [
    'assign 201',
    'release 200',
    'confirm 200',
    'enrol 201',
    'absence 201',
    'revoke 200',
    'rule 201',
  ]) {
    expect(done.get(what) ?? 0, what).toBeGreaterThan(0);
  }
});
