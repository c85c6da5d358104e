import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { newId } from '../../src/platform/ids.ts';
import * as t from '../../src/tables/index.ts';
import { aDoor, aGuardian, type Door } from '../support/a-door.ts';
import { aFranchise, type Franchise, type Member } from '../support/a-franchise.ts';
import { aPublishedPlan } from '../support/a-plan.ts';
import { aRule, oneTo } from '../support/a-rule.ts';
import { aClass, anAssignment, aSession } from '../support/a-session.ts';
import { type Api, openApi } from '../support/api.ts';
import { type Browser, findBrowser, openBrowser } from '../support/browser.ts';
import { anAthlete, aQualificationKind, aStaffMember, athletes } from '../support/people.ts';

let api: Api;
beforeAll(async () => {
  api = await openApi();
});
afterAll(() => api.close());

interface Sheet {
  printedAt: string;
  sessions: {
    sessionId: string;
    counts: Record<string, number>;
    blocks: Record<string, unknown>[];
    roll: ({ athleteId: string; custodyNote: string | null; alerts: string | null } & Record<string, unknown>)[];
    athletesLeftOut: number;
  }[];
  sessionsLeftOut: number;
  staff: Record<string, unknown>[];
  onPremises: Record<string, unknown>[];
}

const DAY = '2026-09-14';
const sheetAt = (gym: string, day = DAY) => `${gym}/days/${day}/sheet`;
const sheetOf = async (door: Door, as = door.desk) => (await as.get<Sheet>(sheetAt(door.gym))).body;
const pageOf = (door: Door, query = '') => door.desk.get(`${sheetAt(door.gym)}.html${query}`);

const withHealth = (f: Franchise, personId: string, alerts: string) =>
  f.arrange((tx) => tx.insert(t.personHealth).values({ franchiseId: f.id, personId, alerts }));
const withPhone = (f: Franchise, personId: string, phone: string) =>
  f.arrange((tx) => tx.insert(t.personContacts).values({ franchiseId: f.id, personId, email: null, phone }));
const withCustody = (f: Franchise, athleteId: string, note: string) =>
  f.arrange((tx) => tx.insert(t.custodyNotes).values({ franchiseId: f.id, athleteId, note }));

const events = async (f: Franchise) => {
  const { rows } = await api.database.ownerPool.query(
    'SELECT name, gym_id, subject_id, account_id, data FROM events WHERE franchise_id = $1 ORDER BY id',
    [f.id],
  );
  return rows;
};

describe('what is on it', () => {
  test('the roll, who may collect, whom to call, who teaches what, and how many that allows', async () => {
    const door = await aDoor(api, { oneTo: 8 });
    const { f, session, coach } = door;
    const [aoife, brian, clodagh] = door.children as [string, string, string];
    const mother = await aGuardian(f, [aoife, brian]);
    await withPhone(f, mother, '+353 1 555 0101');
    const father = await aGuardian(f, [aoife], false);
    await withHealth(f, aoife, 'Nut allergy: pen in the red bag');
    await withCustody(f, aoife, 'Court order: not to the father.');
    await withPhone(f, coach, '+353 1 555 0199');
    const collector = await door.desk.post(`${door.gym}/athletes/${aoife}/collectors`, {
      name: 'Nuala Walsh',
      relation: 'aunt',
      from: '2026-09-01',
    });
    await door.desk.post(`${door.gym}/athletes/${brian}/collectors`, {
      name: 'Was Once',
      relation: 'neighbour',
      from: '2026-09-01',
      until: DAY,
    });
    await door.desk.post(`${door.gym}/check-ins`, { arrivals: [{ athleteId: aoife }] });
    await door.desk.post(`${door.gym}/not-coming`, { athletes: [{ athleteId: clodagh, sessionId: session.id }] });
    const guest = await door.desk.post<{ items: { attendance: { athleteId: string } }[] }>(`${door.gym}/guests`, {
      given: 'Walter',
      family: 'Kin',
      born: '2017-09-15',
      phone: '+353 1 555 0150',
      sessionId: session.id,
    });
    expect(guest.status).toBe(201);

    const sheet = await sheetOf(door);
    const [block] = session.blocks;
    expect(sheet).toMatchObject({
      gymId: f.gym.id,
      gymName: 'Gym 1',
      zone: 'Europe/Dublin',
      day: DAY,
      printedAt: '2026-09-14T15:50:00.000Z',
      sessionsLeftOut: 0,
      onPremisesLeftOut: 0,
      staff: [
        {
          personId: coach,
          phone: '+353 1 555 0199',
          here: 'not-yet',
          places: [{ per: 'block', sessionId: session.id, duty: 'lead', startsAt: '2026-09-14T16:00:00.000Z' }],
        },
      ],
      sessions: [
        {
          sessionId: session.id,
          className: 'Monday tumblers',
          startsAt: '2026-09-14T16:00:00.000Z',
          counts: { onRoll: 4, present: 2, onHold: 0, absent: 1, left: 0 },
          blocks: [
            {
              blockId: block?.id,
              group: 'Group 1',
              areas: ['floor'],
              staff: [{ personId: coach, name: 'Niamh Byrne', duty: 'lead' }],
              spotting: [],
              athletes: 3,
              needed: 1,
              counted: '1',
              covered: true,
              why: [],
              atMost: 8,
            },
          ],
          athletesLeftOut: 0,
        },
      ],
    });
    const [roll] = sheet.sessions.map((one) => one.roll);
    expect(roll?.map(({ family, state, kind, age }) => [family, state, kind, age])).toEqual([
      ['Kin', 'present', 'guest', 8],
      ['Nolan', 'absent', 'enrolled', 8],
      ['Walsh', 'present', 'enrolled', 8],
      ['Walsh', 'expected', 'enrolled', 8],
    ]);
    const names = { given: 'Maeve', family: 'Walsh', relation: 'mother' };
    expect(roll?.[2]).toMatchObject({
      athleteId: aoife,
      group: 'Group 1',
      inAt: '2026-09-14T15:50:00.000Z',
      alerts: 'Nut allergy: pen in the red bag',
      guardians: [
        { guardianId: mother, ...names, mayCollect: true, phone: '+353 1 555 0101' },
        { guardianId: father, ...names, mayCollect: false, phone: null },
      ],
      others: [{ collectorId: collector.body.collectorId, name: 'Nuala Walsh', relation: 'aunt' }],
      custodyNote: 'Court order: not to the father.',
    });
    expect(roll?.[3]).toMatchObject({ others: [], custodyNote: null, alerts: null, stopped: false });
    expect(sheet.onPremises.map(({ family, state, out }) => [family, state, out])).toEqual([
      ['Kin', 'present', null],
      ['Walsh', 'present', null],
    ]);

    const { text } = await pageOf(door);
    for (const said of [
      'Nut allergy: pen in the red bag',
      'MAY NOT COLLECT:',
      'Custody:',
      'Court order: not to the father.',
      '+353 1 555 0101',
      '+353 1 555 0150',
      'Nuala Walsh',
      'at most <b>8</b>',
      'Printed Monday 14 September 2026, 16:50 (Europe/Dublin, UTC+01:00)',
      '17:00–17:20',
      'no medical or legal advice',
    ]) {
      expect(text).toContain(said);
    }
    expect(text).not.toContain('Was Once');
  });

  test('who is out of the hall and with whom, who was not collected, and who may not take part', async () => {
    const door = await aDoor(api);
    const [aoife, brian] = door.children as [string, string];
    await door.desk.post(`${door.gym}/check-ins`, { arrivals: [{ athleteId: aoife }, { athleteId: brian }] });
    const { f, session, coach } = door;
    const when = new Date('2026-09-14T15:55:00Z');
    await f.arrange(async (tx) => {
      await tx.insert(t.outings).values({
        franchiseId: f.id,
        id: newId(),
        gymId: f.gym.id,
        sessionId: session.id,
        athleteId: aoife,
        withPersonId: coach,
        why: 'toilet',
        outAt: when,
        recordedAt: when,
      });
      await tx
        .insert(t.activityHolds)
        .values({ franchiseId: f.id, id: newId(), athleteId: brian, since: when, why: 'a knock on the head' });
    });
    api.clock.set('2026-09-14T17:00:00Z');
    const sheet = await sheetOf(door);
    expect(sheet.onPremises).toMatchObject([
      { athleteId: aoife, out: { since: '2026-09-14T15:55:00.000Z', with: 'Niamh Byrne' } },
      { athleteId: brian, out: null },
    ]);
    expect(sheet.sessions[0]?.roll.map(({ given, stopped }) => [given, stopped])).toEqual([
      ['Clodagh', false],
      ['Aoife', false],
      ['Brian', true],
    ]);
    const { text } = await pageOf(door);
    expect(text).toContain('out of the hall 16:55, with Niamh Byrne');
    expect(text).toContain('NOT COLLECTED');
    expect(text).toContain('NO ACTIVITY: clearance is missing');
  });

  test('whoever is in two sessions is on the premises once', async () => {
    const door = await aDoor(api);
    const next = await aSession(door.f, { class: door.session.class, plan: door.session.plan, startsAt: '18:00' });
    for (const sessionId of [door.session.id, next.id]) {
      const arrivals = [{ athleteId: door.children[0], sessionId }];
      expect((await door.desk.post(`${door.gym}/check-ins`, { arrivals })).status).toBe(201);
      api.clock.advance({ minutes: 1 });
    }
    const sheet = await sheetOf(door);
    expect(sheet.onPremises.map(({ athleteId, sessionId }) => [athleteId, sessionId])).toEqual([
      [door.children[0], next.id],
    ]);
  });

  test('whoever was not marked out is in the building until the night is over, and no longer', async () => {
    const door = await aDoor(api);
    const arrivals = [{ athleteId: door.children[0], sessionId: door.session.id }];
    await door.desk.post(`${door.gym}/check-ins`, { arrivals });
    const inside = async (day: string) =>
      (await door.desk.get<{ onPremises: unknown[] }>(`${door.gym}/days/${day}/sheet`)).body.onPremises.length;
    api.clock.set('2026-09-15T00:30:00Z');
    expect(await inside('2026-09-15')).toBe(1);
    api.clock.set('2026-09-15T07:00:00Z');
    expect(await inside('2026-09-15')).toBe(0);
  });

  test('a block that is short says so and why, and states no limit', async () => {
    const door = await aDoor(api, { oneTo: 2 });
    const sheet = await sheetOf(door);
    expect(sheet.sessions[0]?.blocks).toMatchObject([
      { covered: false, needed: 2, counted: '1', atMost: null, why: [expect.stringContaining('need 2 coaches')] },
    ]);
    const { text } = await pageOf(door);
    expect(text).toContain('NOT COVERED: 1 of 1 blocks.');
    expect(text).toContain('need 2 coaches');
  });

  test('stations that are spotted say how, and by whom', async () => {
    const f = await aFranchise(api);
    const kind = await aQualificationKind(f, { name: 'Hand spotting' });
    const plan = await aPublishedPlan(f, {
      blocks: [{ stations: [{ apparatus: 'beam', handsOn: { kind, grade: 2 } }] }],
    });
    await aSession(f, { plan, groups: [2] });
    const { body } = await api.as(f.owner).get<Sheet>(sheetAt(`/gyms/${f.gym.id}`));
    expect(body.sessions[0]?.blocks).toMatchObject([
      { staff: [], spotting: [{ mode: 'hands-on', kind: 'Hand spotting, full' }] },
    ]);
  });

  test('a day without sessions is a first page; a cancelled session is not on it', async () => {
    const door = await aDoor(api);
    const empty = await door.desk.get(`${sheetAt(door.gym, '2026-09-15')}.html`);
    expect(empty.text.match(/<section/g)).toHaveLength(1);
    await door.f.arrange((tx) => tx.update(t.sessions).set({ cancelledAt: api.clock.now(), cancelledWhy: 'storm' }));
    expect((await sheetOf(door)).sessions).toEqual([]);
  });

  test('somebody whose name was erased still has a line', async () => {
    const door = await aDoor(api, { names: [['Aoife', 'Walsh']] });
    await door.f.arrange((tx) => tx.delete(t.personNames));
    expect((await pageOf(door)).text).toContain('(name erased)');
  });
});

test('of each block it says what the day’s cover says', async () => {
  const f = await aFranchise(api);
  await aRule(f, { body: oneTo(5) });
  await aRule(f, { body: { ...oneTo(6), per: 'premises' } });
  await aRule(f, { body: { ...oneTo(7), per: 'session', agesOf: 'enrolled' } });
  const plan = await aPublishedPlan(f, { blocks: [{}, {}] });
  const brothers = await athletes(f, 2);
  for (const [index, startsAt] of ['15:00', '15:20', '15:40', '16:10', '16:50'].entries()) {
    const of = await aClass(f, { programme: plan.programme, startsAt });
    const both = index === 0 || index === 4 ? brothers : [];
    const session = await aSession(f, {
      plan,
      class: of,
      confirmed: true,
      groups: [index + 2, [...both, ...(await athletes(f, 3))]],
    });
    for (const { blocks } of session.groups.slice(index % 2)) {
      const coach = await aStaffMember(f);
      for (const block of blocks) await anAssignment(f, block, coach);
    }
  }
  const owner = api.as(f.owner);
  interface Line {
    blockId: string;
    athletes: number;
    needed: number;
    counted: string;
    covered: boolean;
    findings: { sentence: string }[];
    headroom: { more: number; bindingRuleId: string | null } | null;
  }
  const { body } = await owner.get<{ items: Line[] }>(`/gyms/${f.gym.id}/days/${DAY}/cover?limit=200`);
  const sheet = (await owner.get<Sheet>(sheetAt(`/gyms/${f.gym.id}`))).body;
  const said = body.items.map(({ blockId, athletes: count, needed, counted, covered, findings, headroom }) => ({
    blockId,
    athletes: count,
    needed,
    counted,
    covered,
    why: findings.map(({ sentence }) => sentence),
    atMost: covered && headroom?.bindingRuleId ? count + headroom.more : null,
  }));
  const byId = (a: { blockId?: unknown }, b: { blockId?: unknown }) => (String(a.blockId) < String(b.blockId) ? -1 : 1);
  const printed = sheet.sessions.flatMap(({ blocks }) => blocks);
  expect(said).toHaveLength(20);
  expect(new Set(said.map(({ covered }) => covered))).toEqual(new Set([true, false]));
  expect(printed.sort(byId)).toEqual(said.sort(byId).map((line) => expect.objectContaining(line)));
});

describe('who may have it', () => {
  test('the desk, the manager and the owner; custody notes only where the desk reads them', async () => {
    const door = await aDoor(api);
    const [aoife] = door.children as [string];
    await withCustody(door.f, aoife, 'Only to the mother.');
    const custody = async (as: Door['desk']) =>
      (await sheetOf(door, as)).sessions[0]?.roll.find(({ athleteId }) => athleteId === aoife)?.custodyNote;
    expect(await custody(door.desk)).toBe('Only to the mother.');
    expect(await custody(door.manager)).toBe('Only to the mother.');
    expect(await custody(api.as(door.f.owner))).toBeNull();
    const owners = await api.as(door.f.owner).get(`${sheetAt(door.gym)}.html`);
    expect(owners.status).toBe(200);
    expect(owners.text).not.toContain('Only to the mother.');
  });

  test.each(['', '.html'])('no coach, no programme lead, nobody from elsewhere (sheet%s)', async (as) => {
    const door = await aDoor(api);
    const [f, other] = [await aFranchise(api, { gyms: 2 }), await aFranchise(api)];
    const asked = async (member: Member, gym: string, query = '') =>
      (await api.as(member).get(`${sheetAt(gym)}${as}${query}`)).status;
    expect(await asked(door.f.coachOf(door.f.gym), door.gym)).toBe(403);
    expect(await asked(door.f.lead, door.gym)).toBe(403);
    expect(await asked(other.owner, door.gym)).toBe(404);
    expect(await asked(f.deskOf(f.gym), `/gyms/${f.gyms[1]?.id}`)).toBe(404);
    expect(await asked(f.deskOf(f.gym), `/gyms/${f.gym.id}`, `?sessionId=${door.session.id}`)).toBe(404);
    expect((await api.anyone.get(`${sheetAt(door.gym)}${as}`)).status).toBe(401);
    expect((await door.desk.get(`${sheetAt(door.gym)}${as}?sessionId=none`)).status).toBe(422);
    expect((await door.desk.get(`${sheetAt(door.gym, '2026-09-31')}${as}`)).status).toBe(404);
    expect((await door.desk.get(`${sheetAt(door.gym, '2026-09-15')}${as}?sessionId=${door.session.id}`)).status).toBe(
      404,
    );
  });

  test('each reading leaves its lines in the audit trail; a refused one none', async () => {
    const door = await aDoor(api);
    const { f, session } = door;
    const [aoife] = door.children as [string];
    await withHealth(f, aoife, 'Asthma');
    await api.as(f.coachOf(f.gym)).get(sheetAt(door.gym));
    expect(await events(f)).toEqual([]);
    await sheetOf(door);
    await pageOf(door);
    const by = { gym_id: f.gym.id, subject_id: f.gym.id, account_id: f.deskOf(f.gym).accountId };
    const lines = [
      { ...by, name: 'live.day-sheet-read', data: { day: DAY, sessionIds: [session.id] } },
      { ...by, name: 'people.health-read', data: { athleteIds: [aoife] } },
    ];
    expect(await events(f)).toEqual([...lines, ...lines]);
  });
});

describe('its bounds', () => {
  test('the sheet of a day has at most 60 athletes of a session, and says how many it leaves out; one session has all', async () => {
    const f = await aFranchise(api);
    const session = await aSession(f, { groups: [30, 31] });
    const desk = api.as(f.deskOf(f.gym));
    const at = sheetAt(`/gyms/${f.gym.id}`);
    const [whole] = (await desk.get<Sheet>(at)).body.sessions;
    expect([whole?.roll.length, whole?.athletesLeftOut, whole?.counts.onRoll]).toEqual([60, 1, 61]);
    expect((await desk.get(`${at}.html`)).text).toContain('On the roll and NOT on this sheet: 1 more.');
    const [alone] = (await desk.get<Sheet>(`${at}?sessionId=${session.id}`)).body.sessions;
    expect([alone?.roll.length, alone?.athletesLeftOut]).toEqual([61, 0]);
  });

  test('at most 60 sessions; and not a statement more than for one', async () => {
    const f = await aFranchise(api);
    await aRule(f, { body: oneTo(8) });
    const plan = await aPublishedPlan(f);
    const at = sheetAt(`/gyms/${f.gym.id}`);
    const owner = api.as(f.owner);
    const statements = async () => {
      const before = api.database.statements.length;
      const { body } = await owner.get<Sheet>(at);
      return { body, sent: api.database.statements.length - before };
    };
    let forOne = 0;
    for (let made = 0; made < 61; made += 1) {
      const startsAt = `${String(6 + Math.floor(made / 4)).padStart(2, '0')}:${String((made % 4) * 15).padStart(2, '0')}`;
      await aSession(f, { plan, class: await aClass(f, { programme: plan.programme }), startsAt, groups: [1] });
      if (made === 0) forOne = (await statements()).sent;
    }
    const all = await statements();
    const one = (await owner.get<Sheet>(`${at}?sessionId=${all.body.sessions[7]?.sessionId}`)).body;
    expect([all.body.sessions.length, all.body.sessionsLeftOut]).toEqual([60, 1]);
    expect(one.sessions.map(({ sessionId }) => sessionId)).toEqual([all.body.sessions[7]?.sessionId]);
    expect(forOne).toBeGreaterThan(0);
    expect(all.sent).toBe(forOne);
    expect((await owner.get(`${at}.html`)).text).toContain('Not on this sheet: sessions of this day: 1 more.');
  });
});

const HOSTILE = '<script>alert(1)</script>"\'&';

test('names, notes and titles are text: nothing in them becomes markup', async () => {
  const door = await aDoor(api, { names: [[HOSTILE, `</style><img src=x onerror=1>${HOSTILE}`]] });
  const [child] = door.children as [string];
  await withHealth(door.f, child, HOSTILE);
  await withCustody(door.f, child, HOSTILE);
  await door.f.arrange(async (tx) => {
    await tx.update(t.classes).set({ name: HOSTILE });
    await tx.update(t.groups).set({ name: HOSTILE });
    await tx.update(t.gyms).set({ name: `</title>${HOSTILE}` });
  });
  const { text, headers, status } = await pageOf(door);
  expect(status).toBe(200);
  expect(headers.get('Content-Type')).toBe('text/html; charset=utf-8');
  expect(headers.get('Cache-Control')).toBe('no-store');
  expect(headers.get('Content-Security-Policy')).toMatch(
    /^default-src 'none'; style-src 'sha256-[\w+/]{43}='; img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'$/,
  );
  expect(text).not.toMatch(/<script|<img|\sstyle=|\son\w+="/i);
  expect(text.match(/<\/style>/g)).toHaveLength(1);
  expect(text.match(/<\/title>/g)).toHaveLength(1);
  expect(text).toContain('&lt;script&gt;alert(1)&lt;/script&gt;&quot;&#39;&amp;');
});

const executable = findBrowser();

// Invented; over sixty characters, or of scripts that are written otherwise, or that nothing breaks.
const LONG: [given: string, family: string][] = [
  ['Maximiliana-Konstantina Wilhelmina', 'Oyelaran-Hohenfels von der Sternenbrücke'],
  ['عبد الرحمن محمد صلاح الدين', 'بن عبد العزيز آل المنصوري الحسيني'],
  ['श्रीलक्ष्मीनारायणी', 'विश्वनाथसुब्रह्मण्यम् रामचन्द्रन'],
  ['Þórbjörg Ragnheiður Sigríður', 'Guðmundsdóttir Þorvaldsdóttir Breiðfjörð'],
  ['N̈a͟n̂ḡo̊l̃ȩ̀s̱á̱m̐', 'Ọ̀lọ́runfẹ́mi-Adébọ̀wálé Akínwùmíjú-Ọlátúnjí'],
  ['Aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa', 'Wwwwwwwwwwwwwwwwwwwwwwwwwwwwwwww'],
  ['Анастасия-Елизавета Всеволодовна', 'Рождественская-Преображенская'],
  [HOSTILE, 'O’Shaughnessy-Fitzgerald MacGillycuddy-Montgomery'],
];

/** A Monday with a full session of 24 (long names, alerts, guardians, two groups of four blocks) and a small one. */
async function aFullDay() {
  api.clock.set('2026-09-14T15:50:00Z');
  const f = await aFranchise(api, { name: 'Saltmarsh' });
  await aRule(f, { body: oneTo(8) });
  const kind = await aQualificationKind(f, { name: 'Hand spotting' });
  const plan = await aPublishedPlan(f, {
    blocks: [
      { title: 'Warm-up and landings', activity: 'warm-up', minutes: 15 },
      { title: 'Beam: walks and mounts', stations: [{ apparatus: 'beam', handsOn: { kind } }] },
      { title: 'Vault: run and rebound', stations: [{ apparatus: 'vault', standBy: { kind } }] },
      { title: 'Bars: swings', stations: [{ apparatus: 'bars', handsOn: { kind, grade: 2 } }] },
    ],
  });
  const ids: string[] = [];
  for (let made = 0; made < 24; made += 1) {
    const [given, family] = LONG[made % LONG.length] ?? ['', ''];
    const id = await anAthlete(f, { given, family, born: made === 5 ? null : '2018-06-10' });
    ids.push(id);
    const guardianId = newId();
    const ours = { franchiseId: f.id };
    await f.arrange(async (tx) => {
      await tx.insert(t.persons).values({ ...ours, id: guardianId });
      const [theirs] = LONG[(made + 3) % LONG.length] ?? [''];
      await tx.insert(t.personNames).values({ ...ours, personId: guardianId, given: theirs, family: 'Walsh' });
      await tx.insert(t.guardianships).values({ ...ours, athleteId: id, guardianId, relation: 'mother' });
      await tx
        .insert(t.personContacts)
        .values({ ...ours, personId: guardianId, email: null, phone: `+353 1 555 01${String(made).padStart(2, '0')}` });
    });
    if (made % 6 === 0) await withHealth(f, id, 'Nut allergy: pen in the red bag');
  }
  const [first] = ids;
  if (first) await withCustody(f, first, 'Only to the mother.');
  const of = await aClass(f, { programme: plan.programme, durationMinutes: 75 });
  const session = await aSession(f, { class: of, plan, groups: [ids.slice(0, 12), ids.slice(12)] });
  const coaches = [
    await aStaffMember(f, { given: 'Ciarán', family: 'Ó Maolalaidh-Fitzsimons', holds: [{ kind, grade: 3 }] }),
    await aStaffMember(f, { given: 'Sadhbh', family: 'Nic Giolla Phádraig', holds: [{ kind, grade: 3 }] }),
    await aStaffMember(f, { holds: [{ kind, grade: 2 }] }),
    await aStaffMember(f, { given: 'Oisín', family: 'Keane' }),
  ];
  for (const [index, group] of session.groups.entries()) {
    for (const block of group.blocks) {
      await anAssignment(f, block, coaches[index * 2] ?? '');
      await anAssignment(f, block, coaches[index * 2 + 1] ?? '', { duty: 'assist' });
    }
  }
  for (const [index, coach] of coaches.entries()) await withPhone(f, coach, `+353 1 555 019${index}`);
  await f.arrange((tx) => tx.update(t.programmes).set({ name: 'Recreational' }));
  const small = await aClass(f, { programme: plan.programme, startsAt: '19:00' });
  await aSession(f, { class: small, plan, groups: [await athletes(f, 6)] });
  const desk = f.deskOf(f.gym);
  const arrivals = ids.slice(0, 9).map((athleteId) => ({ athleteId, sessionId: session.id }));
  const came = await api.as(desk).post(`/gyms/${f.gym.id}/check-ins`, { arrivals });
  expect(came.status).toBe(201);
  return { f, desk, url: `${api.url}/v1${sheetAt(`/gyms/${f.gym.id}`)}.html` };
}

const pagesIn = (pdf: Buffer) => pdf.toString('latin1').match(/\/Type\s*\/Page\b(?!s)/g)?.length;

describe.runIf(executable !== null)('in a browser', () => {
  let browser: Browser;
  let day: Awaited<ReturnType<typeof aFullDay>>;
  beforeAll(async () => {
    browser = await openBrowser(executable ?? '');
    day = await aFullDay();
  });
  afterAll(() => browser.close());

  const open = (width?: number) =>
    browser.open(day.url, {
      headers: { Authorization: `Bearer ${api.tokens.issue(day.desk)}` },
      ...(width === undefined ? {} : { width }),
    });

  test.each(['A4', 'Letter'])('a first page and one for each session on %s, with 24 long names', async (format) => {
    const { page, complaints } = await open();
    const pdf = await page.pdf({ format });
    expect(pagesIn(pdf)).toBe(3);
    expect(complaints).toEqual([]);
  });

  test.each([
    ['A4', 210],
    ['Letter', 216],
  ])(
    'as wide as %s less its margins, nothing runs over the edge, and nothing needs a colour',
    async (_, millimetres) => {
      const { page, complaints } = await open(Math.floor(((millimetres - 20) * 96) / 25.4));
      await page.emulateMedia({ media: 'print' });
      const seen = await page.evaluate<{ over: string[]; colours: string[] }>(`(() => {
      const wide = document.documentElement.clientWidth;
      const all = [...document.body.querySelectorAll('*')];
      const grey = (colour) => { const [r, g, b] = colour.match(/[\\d.]+/g); return r === g && g === b; };
      return {
        over: all.filter((one) => one.getBoundingClientRect().right > wide + 1 || one.scrollWidth > one.clientWidth + 1 && one.clientWidth > 0)
          .map((one) => one.outerHTML.slice(0, 120)),
        colours: all.flatMap((one) => { const { color, borderTopColor } = getComputedStyle(one); return [color, borderTopColor]; })
          .filter((colour) => !grey(colour)),
      };
    })()`);
      expect(seen).toEqual({ over: [], colours: [] });
      expect(complaints).toEqual([]);
    },
  );

  test('on a narrow screen the page itself does not scroll sideways', async () => {
    const { page, complaints } = await open(360);
    const over = await page.locator('html').evaluate(({ scrollWidth, clientWidth }) => scrollWidth - clientWidth);
    expect(over).toBeLessThanOrEqual(0);
    expect(complaints).toEqual([]);
  });

  test.each([12, 24])('the number of a row is on one line, of %i', async (size) => {
    const f = await aFranchise(api);
    await aSession(f, { groups: [await athletes(f, size)] });
    const headers = { Authorization: `Bearer ${api.tokens.issue(f.deskOf(f.gym))}` };
    const width = Math.floor((190 * 96) / 25.4);
    const { page } = await browser.open(`${api.url}/v1${sheetAt(`/gyms/${f.gym.id}`)}.html`, { headers, width });
    await page.emulateMedia({ media: 'print' });
    const lines = await page.evaluate<number[]>(`[...document.querySelectorAll('.roll .num')].map((cell) => {
      const text = document.createRange();
      text.selectNodeContents(cell);
      return text.getClientRects().length;
    })`);
    expect(lines).toEqual(Array.from({ length: size }, () => 1));
  });

  test.each(['A4', 'Letter'])('24 children with two guardians each are one page on %s', async (format) => {
    const f = await aFranchise(api);
    const children = await athletes(f, 24);
    for (const child of children) {
      await aGuardian(f, [child]);
      await aGuardian(f, [child]);
    }
    await aSession(f, { groups: [children] });
    const headers = { Authorization: `Bearer ${api.tokens.issue(f.deskOf(f.gym))}` };
    const { page } = await browser.open(`${api.url}/v1${sheetAt(`/gyms/${f.gym.id}`)}.html`, { headers });
    expect(pagesIn(await page.pdf({ format }))).toBe(2);
  });

  test('with more athletes the roll goes on overleaf, under its heads again', async () => {
    const f = await aFranchise(api);
    await aSession(f, { groups: [29, 29] });
    const headers = { Authorization: `Bearer ${api.tokens.issue(f.deskOf(f.gym))}` };
    const { page } = await browser.open(`${api.url}/v1${sheetAt(`/gyms/${f.gym.id}`)}.html`, { headers });
    expect(pagesIn(await page.pdf({ format: 'A4' }))).toBe(3);
    await page.emulateMedia({ media: 'print' });
    const display = await page
      .locator('.roll thead')
      .evaluate((head) => head.computedStyleMap().get('display')?.toString());
    expect(display).toBe('table-header-group');
  });
});
