import { eq, sql } from 'drizzle-orm';
import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import type { z } from 'zod';
import type { MarkedList } from '../../src/features/attendance/schema.ts';
import type { Incident } from '../../src/features/incidents/schema.ts';
import { newId } from '../../src/platform/ids.ts';
import * as t from '../../src/tables/index.ts';
import { aFranchise, type Franchise, type Member } from '../support/a-franchise.ts';
import { aRule, oneTo } from '../support/a-rule.ts';
import { anAssignment, aSession, type TestSession } from '../support/a-session.ts';
import { type Answer, type Api, openApi } from '../support/api.ts';
import { aSkill } from '../support/drills.ts';
import { anAthlete } from '../support/people.ts';
import { headOf } from '../support/second-chain.ts';
import { endPrograms, startProgram } from '../support/service.ts';

let api: Api;
let f: Franchise;
let session: TestSession;
let child: string;
let coach: Member & { personId: string };
let manager: Member;
let desk: Member;
let at: string;

/** Monday 14 September 2026, in the class's first block: 17:05 in Dublin. */
const THEN = '2026-09-14T16:05:00Z';
beforeAll(async () => {
  api = await openApi({ now: THEN });
});
afterAll(() => {
  endPrograms();
  return api.close();
});
beforeEach(async () => {
  api.clock.set(THEN);
  f = await aFranchise(api, { confirmWindowDays: 0 });
  await aRule(f, { body: oneTo(8) });
  child = await anAthlete(f, { given: 'Saoirse', family: 'Walsh', born: '2018-06-10' });
  session = await aSession(f, { groups: [[child]] });
  coach = f.coachOf(f.gym);
  manager = f.managerOf(f.gym);
  desk = f.deskOf(f.gym);
  await anAssignment(f, session.blocks[0]!, coach.personId);
  at = `/gyms/${f.gym.id}/incidents`;
});

const problem = (answer: { status: number; body: unknown }) => {
  const { status, body } = answer as Answer;
  return [status, body.type.replace('/problems/', '')];
};
const pointers = (answer: { body: unknown }) => (answer as Answer).body.errors.map(({ pointer }) => pointer);
const write = async (note: object = {}, by: Member = coach) => {
  const whole = { kind: 'injury', what: 'Fell from the beam.', people: [{ personId: child, part: 'hurt' }], ...note };
  const { status, body } = await api.as(by).post<Incident>(at, whole);
  expect(status).toBe(201);
  return body;
};
const read = async (id: string) => (await api.as(manager).get<Incident>(`${at}/${id}`)).body;
const send = ({ id, revision }: { id: string; revision: number }) =>
  api.as(manager).post(`${at}/${id}/send`, { signedAs: 'Ciara Doyle' }, { ifMatch: revision });
const sent = async (note: object = {}) => {
  const draft = await write(note);
  expect((await send(draft)).status).toBe(200);
  return read(draft.id);
};
const complete = (note: { id: string; revision: number }, completion: object) =>
  api.as(manager).put<Incident>(`${at}/${note.id}/completion`, completion, { ifMatch: note.revision });
const amend = (id: string, amendment: object, by: Member = manager) =>
  api.as(by).post<Incident>(`${at}/${id}/amendments`, { said: 'As told.', signedAs: 'Ciara Doyle', ...amendment });
const attach = (id: string, content: string | Buffer, by: Member = coach) =>
  api.as(by).post(`${at}/${id}/attachments`, { name: 'photo', content: Buffer.from(content).toString('base64') });
const chain = async () => (await api.as(manager).get(`/gyms/${f.gym.id}/incident-chain`)).body;
/** Where the child stands after the desk has checked them in. */
const checkedIn = async (sessionId: string) => {
  const arrivals = [{ athleteId: child, sessionId }];
  const { body } = await api.as(desk).post<z.output<typeof MarkedList>>(`/gyms/${f.gym.id}/check-ins`, { arrivals });
  return body.items[0]!.attendance;
};
/** Is a statement of this database held up by a lock? */
const somebodyWaits = async () =>
  (
    await asOwner(
      'SELECT FROM pg_locks JOIN pg_stat_activity USING (pid) WHERE NOT granted AND datname = current_database()',
    )
  ).rows.length > 0;
const asOwner = (text: string, ...values: unknown[]) => api.database.ownerPool.query(text, values);
const clearance = (more: object = {}) => ({
  professional: 'Dr Maeve Quinn',
  profession: 'physician',
  licence: '123456',
  licensedBy: 'the medical council',
  examinedOn: '2026-09-14',
  stages: [],
  ...more,
});

describe('completion', () => {
  test('is kept with its codes as they are: 0 is a value, null is not coded', async () => {
    const note = await write();
    const station = session.plan.blocks[0]?.stations[0]?.id;
    const injuries = [{ personId: child, bodyPart: 0, diagnosis: 62, disposition: 0, product: 1272, daysOut: 0 }];
    const answer = await complete(note, {
      stationId: station,
      skillWas: 'new',
      handsOn: false,
      setUpAsPlanned: true,
      injuries,
      witnesses: [{ name: 'Ana Reyes', said: 'She slipped.' }],
      acknowledged: { who: 'Aoife Walsh', at: '2026-09-14T16:00:00Z' },
    });
    expect([answer.status, answer.body.revision]).toEqual([200, 2]);
    expect((await read(note.id)).completion).toEqual({
      stationId: station,
      skillId: null,
      skillWas: 'new',
      handsOn: false,
      setUpAsPlanned: true,
      setUpNote: '',
      injuries,
      takenToHospital: null,
      witnesses: [{ name: 'Ana Reyes', said: 'She slipped.' }],
      acknowledged: { who: 'Aoife Walsh', at: '2026-09-14T16:00:00Z' },
      familyCalled: null,
    });
  });

  test.each([
    ['a disposition 3, which there is not', { disposition: 3 }, '/injuries/0/disposition'],
    ['a disposition 7, which there is not', { disposition: 7 }, '/injuries/0/disposition'],
    ['a diagnosis 0, which only the other tables have', { diagnosis: 0 }, '/injuries/0/diagnosis'],
    ['a body part of no table', { bodyPart: 78 }, '/injuries/0/bodyPart'],
    ['a product of no table', { product: 1 }, '/injuries/0/product'],
    ['somebody who is not in the note', { personId: newId() }, '/injuries/0/personId'],
  ])('is refused with %s', async (_, injury, pointer) => {
    const note = await write();
    const refused = await complete(note, { injuries: [{ personId: child, ...injury }] });
    expect([problem(refused), pointers(refused)]).toEqual([[422, 'invalid-request'], [pointer]]);
  });

  test('names a station of the plan that the block was taught from, and a skill that there is', async () => {
    const note = await write();
    const other = await aSession(f, { startsAt: '09:00' });
    expect(pointers(await complete(note, { stationId: other.plan.blocks[0]?.stations[0]?.id }))).toEqual([
      '/stationId',
    ]);
    expect(pointers(await complete(note, { skillId: newId() }))).toEqual(['/skillId']);
    expect(problem(await api.as(coach).put(`${at}/${note.id}/completion`, {}, { ifMatch: 1 }))).toEqual([
      403,
      'not-allowed',
    ]);
  });

  test('names no station of another version of the same plan', async () => {
    const note = await write();
    const [taught] = session.plan.blocks;
    const [versionId, planBlockId, stationId] = [newId(), newId(), newId()];
    await f.arrange(async (tx) => {
      const [version] = await tx.select().from(t.planVersions).where(eq(t.planVersions.id, session.plan.versionId));
      const [block] = await tx.select().from(t.planBlocks).where(eq(t.planBlocks.id, taught!.id));
      const [station] = await tx.select().from(t.planStations).where(eq(t.planStations.id, taught!.stations[0]!.id));
      await tx.insert(t.planVersions).values({ ...version!, id: versionId, number: 2 });
      await tx.insert(t.planBlocks).values({ ...block!, id: planBlockId, planVersionId: versionId });
      await tx.insert(t.planStations).values({ ...station!, id: stationId, planBlockId });
    });
    expect(pointers(await complete(note, { stationId }))).toEqual(['/stationId']);
    expect((await complete(note, { stationId: taught?.stations[0]?.id })).status).toBe(200);
  });

  test('keeps a skill that was known, hands on, and a later call to the family', async () => {
    const note = await write();
    const completion = {
      skillId: await aSkill(api.as(f.lead), f),
      skillWas: 'known',
      handsOn: true,
      familyCalled: { who: 'Aoife Walsh', at: '2026-09-14T16:04:00Z', said: 'Sore, and in good spirits.' },
    };
    expect((await complete(note, completion)).status).toBe(200);
    expect((await read(note.id)).completion).toMatchObject(completion);
  });

  test('brings up thresholds for reporting with source, time and the advice to check the law', async () => {
    const { body } = await complete(await write(), {
      injuries: [{ personId: child, bodyPart: 34, diagnosis: 57, disposition: 1 }],
      takenToHospital: true,
    });
    expect(body.prompts.map(({ id, by, check }) => [id, by, /Check your local law/.test(check)])).toEqual([
      ['riddor-hospital', '2026-09-24T16:05:00.000Z', true],
      ['british-gymnastics-hospital', null, true],
    ]);
  });

  test('the code tables can be asked for', async () => {
    const { body } = await api.as(coach).get('/injury-codes');
    expect(body.disposition).toEqual(expect.arrayContaining([{ code: 0, label: 'No injury' }]));
    expect(body.observations).toHaveLength(19);
  });
});

describe('a sent note', () => {
  test('is amended with a signature, never edited', async () => {
    const note = await sent();
    expect(note.sent).toEqual({ at: '2026-09-14T16:05:00.000Z', by: manager.accountId, signedAs: 'Ciara Doyle' });
    const refused = [
      await api.as(manager).patch(`${at}/${note.id}`, { what: 'Nothing.' }, { ifMatch: note.revision }),
      await complete(note, {}),
      await send(note),
    ];
    expect(refused.map(problem)).toEqual(Array(3).fill([409, 'conflict']));
    const amended = await amend(note.id, { what: 'correction', said: 'It was the low beam.' }, coach);
    expect(amended.status).toBe(201);
    expect(amended.body.what).toBe('Fell from the beam.');
    expect(amended.body.amendments).toEqual([
      {
        id: expect.any(String),
        what: 'correction',
        said: 'It was the low beam.',
        who: null,
        at: null,
        completion: null,
        readers: [],
        keepUntil: null,
        signedAs: 'Ciara Doyle',
        writtenBy: coach.accountId,
        writtenAt: '2026-09-14T16:05:00.000Z',
      },
    ]);
    expect(problem(await amend(note.id, { what: 'correction' }, desk))).toEqual([404, 'not-found']);
  });

  test('is completed, and told of, afterwards by amendments that say who and when', async () => {
    const note = await sent();
    const completion = { injuries: [{ personId: child, disposition: 0 }] };
    expect(problem(await amend(note.id, { what: 'completion', completion }, coach))).toEqual([403, 'not-allowed']);
    expect((await amend(note.id, { what: 'completion', completion })).body.completion?.injuries[0]?.disposition).toBe(
      0,
    );
    expect(pointers(await amend(note.id, { what: 'completion' }))).toEqual(['/completion']);
    expect(pointers(await amend(note.id, { what: 'completion', completion: { skillId: newId() } }))).toEqual([
      '/completion/skillId',
    ]);
    for (const what of ['told', 'family-call', 'acknowledgement']) {
      const who = 'Aoife Walsh';
      expect(pointers(await amend(note.id, { what, at: THEN }))).toEqual(['/who']);
      expect(pointers(await amend(note.id, { what, who }))).toEqual(['/at']);
      expect(pointers(await amend(note.id, { what, who, at: '2026-09-14T16:06:00Z' }))).toEqual(['/at']);
      expect((await amend(note.id, { what, who, at: THEN })).status).toBe(201);
    }
    expect((await read(note.id)).amendments).toHaveLength(4);
  });

  test.each([
    [
      200,
      'amendments',
      'INSERT INTO incident_amendments (franchise_id, id, incident_id, what, said, created_by, signed_as)',
      "'told', 'x', i.written_by, 'x'",
      { what: 'correction', said: 'x', signedAs: 'x' },
    ],
    [
      200,
      'follow-ups',
      'INSERT INTO incident_follow_ups (franchise_id, id, incident_id, what, due_on, created_by)',
      "'x', i.day, i.written_by",
      { what: 'x', dueOn: '2026-09-20' },
    ],
    [
      50,
      'suspected-concussions',
      'INSERT INTO incident_concussions (franchise_id, id, incident_id, athlete_id, edition, observed, hold_id, created_by)',
      "(SELECT person_id FROM incident_people p WHERE p.incident_id = i.id), '2023', '{}', gen_random_uuid(), i.written_by",
      { observed: [] },
    ],
  ])('takes at most %i %s', async (most, path, insert, values, body) => {
    const note = await sent();
    const full = `${insert} SELECT i.franchise_id, gen_random_uuid(), i.id, ${values}
      FROM incidents i CROSS JOIN generate_series(2, $2) WHERE i.id = $1`;
    await asOwner(full, note.id, most);
    const add = () =>
      api.as(manager).post(`${at}/${note.id}/${path}`, 'observed' in body ? { ...body, athleteId: child } : body);
    expect((await add()).status).toBe(201);
    expect(problem(await add())).toEqual([409, 'conflict']);
  });

  test('cannot be amended while it is a draft', async () => {
    expect(problem(await amend((await write()).id, { what: 'correction' }))).toEqual([409, 'conflict']);
  });

  test.each([
    ['incidents', ['DELETE']],
    ['incident_snapshots', ['UPDATE', 'DELETE']],
    ['incident_amendments', ['UPDATE', 'DELETE']],
    ['incident_concussions', ['UPDATE', 'DELETE']],
    ['incident_clearances', ['UPDATE', 'DELETE']],
    ['incident_attachments', ['UPDATE', 'DELETE']],
    ['incident_contents', ['UPDATE', 'DELETE']],
    ['incident_links', ['UPDATE', 'DELETE']],
  ])('is not the service’s to change or to delete in the database: %s', async (table, commands) => {
    for (const command of commands) {
      const { rows } = await asOwner(`SELECT has_table_privilege('matside_service', $1, $2) AS may`, table, command);
      expect(rows).toEqual([{ may: false }]);
    }
  });
});

describe('follow-ups', () => {
  test('have a due date, and an outcome once', async () => {
    const note = await write();
    const added = await api
      .as(manager)
      .post(`${at}/${note.id}/follow-ups`, { what: 'Look at the mat.', dueOn: '2026-09-20' });
    expect(added.status).toBe(201);
    const due = async (query: string) =>
      (await api.as(manager).get(`/gyms/${f.gym.id}/incident-follow-ups?${query}`)).body.items;
    expect(await due('open=true&dueBy=2026-09-19')).toEqual([]);
    expect(await due('open=true&dueBy=2026-09-20')).toEqual([added.body]);
    const done = `${at}/${note.id}/follow-ups/${added.body.id}/done`;
    const finished = await api.as(manager).post(done, { outcome: 'Replaced.' });
    expect(finished.body).toEqual({
      ...added.body,
      doneAt: '2026-09-14T16:05:00.000Z',
      outcome: 'Replaced.',
      revision: 2,
    });
    expect(problem(await api.as(manager).post(done, { outcome: 'Again.' }))).toEqual([409, 'conflict']);
    expect(await due('open=true')).toEqual([]);
    expect((await read(note.id)).followUps).toEqual([finished.body]);
    expect(await chain()).toMatchObject({ intact: true, links: 2 });
    const { hash } = await headOf(api.database.ownerPool, f.gym.id);
    expect((await chain()).head).toBe(hash);
  });

  test.each([
    ['what was agreed', 1, "what = 'Nothing.'"],
    ['by when', 1, 'due_on = due_on + 30'],
    ['what came of it', 2, "outcome = 'Bought new ones.'"],
    ['that it was done', 2, 'done_at = NULL, done_by = NULL, outcome = NULL'],
  ])('are vouched for: the chain shows a change of %s', async (_, number, change) => {
    const note = await write();
    const path = `${at}/${note.id}/follow-ups`;
    const { body } = await api.as(manager).post(path, { what: 'Look at the mat.', dueOn: '2026-09-20' });
    await api.as(manager).post(`${path}/${body.id}/done`, { outcome: 'Replaced.' });
    await asOwner(`UPDATE incident_follow_ups SET ${change} WHERE id = $1`, body.id);
    expect((await chain()).broken).toMatchObject({ number, incidentId: note.id });
  });
});

describe('attachments', () => {
  const PNG = Buffer.from('89504e470d0a1a0a0000', 'hex');
  test.each([
    ['JPEG', Buffer.from('ffd8ffe000', 'hex'), 'image/jpeg'],
    ['PNG', PNG, 'image/png'],
    ['WebP', Buffer.from('RIFF....WEBPVP8 '), 'image/webp'],
    ['HEIC', Buffer.from('....ftypheic'), 'image/heic'],
    ['PDF', Buffer.from('%PDF-1.7'), 'application/pdf'],
  ])('%s is known by its content, and comes back as it went in', async (_, content, mediaType) => {
    const note = await write();
    const { status, body } = await attach(note.id, content);
    expect([status, body.mediaType, body.size]).toEqual([201, mediaType, content.length]);
    const shown = await api.as(manager).get(`${at}/${note.id}/attachments/${body.id}`);
    expect(shown.body).toEqual({ ...body, content: content.toString('base64') });
    expect((await read(note.id)).attachments).toEqual([body]);
  });

  test('of another kind, broken or too large are refused', async () => {
    const { id } = await write();
    const refused = [
      await attach(id, '<html><script>'),
      await attach(id, 'MZ a program'),
      await api.as(coach).post(`${at}/${id}/attachments`, { name: 'x', content: 'iVBORw0KGgoB' + 'A' }),
      await attach(id, Buffer.concat([PNG, Buffer.alloc(720 * 1024)])),
    ];
    expect(refused.map((answer) => [answer.status, pointers(answer)])).toEqual(Array(4).fill([422, ['/content']]));
    const largest = Buffer.concat([PNG, Buffer.alloc(720 * 1024 - PNG.length)]);
    expect((await attach(id, largest)).status).toBe(201);
  });

  test('are at most twenty, and shown only to those who may read the note', async () => {
    const { id } = await write();
    const first = await attach(id, PNG);
    for (let more = 1; more < 20; more += 1) await attach(id, PNG);
    expect(problem(await attach(id, PNG))).toEqual([409, 'conflict']);
    expect(problem(await api.as(desk).get(`${at}/${id}/attachments/${first.body.id}`))).toEqual([404, 'not-found']);
    expect(problem(await api.as(f.lead).get(`${at}/${id}/attachments/${first.body.id}`))).toEqual([403, 'not-allowed']);
  });
});

describe('the chain', () => {
  /** Five links: a suspicion, a file, the note, an amendment, a clearance. */
  const fiveLinks = async () => {
    const draft = await write({ suspectedConcussions: [{ athleteId: child, observed: ['repeated_vomiting'] }] });
    const file = await attach(draft.id, '%PDF-1.7 paper');
    await send(await read(draft.id));
    await amend(draft.id, { what: 'told', who: 'Aoife "the mother" Walsh 👩', at: THEN });
    const { concussions } = await read(draft.id);
    const stages = [{ words: 'Walk, then jog.', notBefore: null }];
    const path = `${at}/${draft.id}/suspected-concussions/${concussions[0]?.id}/clearance`;
    const cleared = await api.as(manager).post(path, clearance({ stages, attachmentId: file.body.id }));
    expect(cleared.status).toBe(201);
    return draft.id;
  };

  test('of a gym without notes is whole', async () => {
    expect(await chain()).toEqual({ intact: true, links: 0, head: '0'.repeat(64), broken: null });
  });

  test('verifies, and a second implementation comes to the same head', async () => {
    await fiveLinks();
    const { intact, links, head } = await chain();
    expect([intact, links]).toEqual([true, 5]);
    expect(await headOf(api.database.ownerPool, f.gym.id)).toEqual({ number: 5, hash: head });
  });

  test.each([
    ['a word of the note', 3, "UPDATE incidents SET what = 'Nothing happened.' WHERE gym_id = $1"],
    ['the day of the note', 3, "UPDATE incidents SET occurred_at = occurred_at + interval '1 ms' WHERE gym_id = $1"],
    [
      'a person of the note',
      3,
      'DELETE FROM incident_people p USING incidents i WHERE i.id = p.incident_id AND i.gym_id = $1',
    ],
    [
      'the snapshot',
      3,
      `UPDATE incident_snapshots s SET facts = facts || '{"staff": []}' FROM incidents i WHERE i.id = s.incident_id AND i.gym_id = $1`,
    ],
    [
      'an amendment',
      4,
      "UPDATE incident_amendments a SET said = 'Never.' FROM incidents i WHERE i.id = a.incident_id AND i.gym_id = $1",
    ],
    [
      'what was observed',
      1,
      "UPDATE incident_concussions c SET observed = '{}' FROM incidents i WHERE i.id = c.incident_id AND i.gym_id = $1",
    ],
    [
      'the licence of a clearance',
      5,
      "UPDATE incident_clearances SET licence = '1' FROM incident_concussions c JOIN incidents i ON i.id = c.incident_id WHERE c.id = concussion_id AND i.gym_id = $1",
    ],
    [
      'the bytes of a file',
      2,
      "UPDATE incident_contents SET content = 'x' FROM incident_attachments a JOIN incidents i ON i.id = a.incident_id WHERE a.id = attachment_id AND i.gym_id = $1",
    ],
    ['a link', 2, "UPDATE incident_links SET content_hash = repeat('a', 64) WHERE gym_id = $1 AND number = 2"],
    ['a link, taken away', 2, 'DELETE FROM incident_links WHERE gym_id = $1 AND number = 2'],
    ['the last link, taken away', 5, 'DELETE FROM incident_links WHERE gym_id = $1 AND number = 5'],
  ])('names the first link that does not hold when somebody changes %s', async (_, number, statement) => {
    const incidentId = await fiveLinks();
    await asOwner(statement, f.gym.id);
    const { intact, broken } = await chain();
    expect([intact, broken]).toEqual([false, expect.objectContaining({ number, why: expect.any(String) })]);
    if (number < 5) expect(broken).toMatchObject({ incidentId });
    const second = await headOf(api.database.ownerPool, f.gym.id);
    if (!statement.includes('incident_links')) expect(second.hash).not.toBe((await chain()).head);
  });

  test('shows a sent note that was slipped in', async () => {
    await sent();
    const slipped = await write();
    await asOwner(
      `UPDATE incidents SET sent_at = now(), sent_by = written_by, signed_as = 'X' WHERE id = $1`,
      slipped.id,
    );
    expect((await chain()).broken).toEqual({
      number: 2,
      incidentId: slipped.id,
      why: 'No link vouches for this note.',
    });
  });

  test('holds beyond what is read at once', async () => {
    const { id } = await write();
    const add = (what: string) => api.as(manager).post(`${at}/${id}/follow-ups`, { what, dueOn: '2026-09-20' });
    for (let one = 1; one <= 51; one += 1) await add(`Look at mat ${one}.`);
    expect(await chain()).toMatchObject({ intact: true, links: 51 });
    await asOwner(
      "UPDATE incident_follow_ups SET what = 'Nothing.' WHERE what = 'Look at mat 51.' AND incident_id = $1",
      id,
    );
    expect((await chain()).broken).toMatchObject({ number: 51, incidentId: id });
  });

  test('has no fork when many send at once, and is each gym’s own', async () => {
    const drafts = await Promise.all(Array.from({ length: 8 }, () => write()));
    const numbers = await Promise.all(drafts.map(async (draft) => (await send(draft)).body.link));
    expect(numbers.sort()).toEqual([1, 2, 3, 4, 5, 6, 7, 8]);
    expect(await chain()).toMatchObject({ intact: true, links: 8 });
  });

  test('is verified by a program that names the broken link, and then fails', async () => {
    const incidentId = await fiveLinks();
    const { owner, service } = api.database.urls;
    const run = async () => {
      const program = startProgram('src/verify-incidents.ts', { DATABASE_URL: service, DATABASE_DIRECT_URL: owner });
      const { code } = await program.ended;
      return { code, out: program.output() };
    };
    const before = await run();
    expect(before.out).toContain(`(${f.gym.id}), notes: 5 links, intact; the head is ${(await chain()).head}`);
    await asOwner("UPDATE incidents SET what = 'Nothing.' WHERE id = $1", incidentId);
    const after = await run();
    expect([after.code, after.out]).toEqual([
      1,
      expect.stringContaining(
        `(${f.gym.id}), notes: link 3 does not hold: The note that it vouches for was changed. Incident ${incidentId}.`,
      ),
    ]);
  });
});

test('a note says what happened, in this century', async () => {
  const refused = async (more: object) => {
    const note = { kind: 'near-miss', what: 'Slipped.', ...more };
    const answer = await api.as(coach).post(at, note);
    return [answer.status, ...pointers(answer)];
  };
  expect(await refused({ what: ' \n ' })).toEqual([422, '/what']);
  expect(await refused({ occurredAt: '1900-01-01T00:00:00Z' })).toEqual([422, '/occurredAt']);
  const note = await sent();
  expect(pointers(await amend(note.id, { said: '   ' }))).toContain('/said');
});

describe('a suspected concussion', () => {
  const suspicion = (more: object = {}) => ({ athleteId: child, edition: '2023', observed: [], ...more });
  const checkIn = async () => {
    const { state, findings } = await checkedIn(session.id);
    return [state, findings];
  };

  test('stops check-in to activity at once, and says what to do without giving medical advice', async () => {
    const draft = await write({ people: [], suspectedConcussions: [suspicion({ observed: ['repeated_vomiting'] })] });
    expect(draft.people.map(({ personId, part }) => [personId, part])).toEqual([[child, 'hurt']]);
    const [concussion] = draft.concussions;
    expect(concussion).toMatchObject({ athleteId: child, observed: ['repeated_vomiting'], clearance: null });
    const cautions = concussion?.cautions.join('\n');
    // Rules printed with the 2017 edition of the recognition tool: out at once, not back that day, emergency help on a
    // red flag, not left alone, memory questions only for athletes over 12.
    for (const says of [/no return today/, /emergency/, /not leave the athlete alone/, /memory/, /no medical advice/]) {
      expect(cautions).toMatch(says);
    }
    expect(await checkIn()).toEqual(['on-hold', ['activity-hold']]);
  });

  test('takes only codes of its own edition: any vomiting in 2017, repeated vomiting in 2023', async () => {
    const refused = async (edition: string, code: string) =>
      (
        await api.as(coach).post(at, {
          kind: 'injury',
          what: 'Fell.',
          suspectedConcussions: [suspicion({ edition, observed: [code] })],
        })
      ).status;
    expect(await refused('2017', 'repeated_vomiting')).toBe(422);
    expect(await refused('2023', 'vomiting')).toBe(422);
    expect(await checkIn()).toEqual(['present', []]);
    expect(await refused('2017', 'vomiting')).toBe(201);
  });

  test('can be added to a note that was sent, for somebody in it', async () => {
    const note = await sent();
    const path = `${at}/${note.id}/suspected-concussions`;
    expect(pointers(await api.as(coach).post(path, suspicion({ athleteId: await anAthlete(f) })))).toEqual([
      '/athleteId',
    ]);
    const added = await api.as(coach).post<Incident>(path, suspicion());
    expect([added.status, added.body.concussions.length]).toEqual([201, 1]);
    expect((await checkIn())[0]).toBe('on-hold');
    expect(await chain()).toMatchObject({ intact: true, links: 2 });
  });

  test('keeps the athlete in the note', async () => {
    const draft = await write({ suspectedConcussions: [suspicion()] });
    const emptied = await api.as(manager).patch(`${at}/${draft.id}`, { people: [] }, { ifMatch: draft.revision });
    expect(problem(emptied)).toEqual([409, 'conflict']);
  });

  test('is cleared by a manager alone, once, on paper of that note, when the first stage has begun', async () => {
    const draft = await write({ suspectedConcussions: [suspicion()] });
    const path = `${at}/${draft.id}/suspected-concussions/${draft.concussions[0]?.id}/clearance`;
    const asked = async (more: object) => pointers(await api.as(manager).post(path, clearance(more)));
    expect(await asked({ examinedOn: '2026-09-15' })).toEqual(['/examinedOn']);
    expect(await asked({ attachmentId: newId() })).toEqual(['/attachmentId']);
    expect(await asked({ stages: [{ words: 'Walk.', notBefore: '2026-09-15' }] })).toEqual(['/stages/0/notBefore']);
    expect(problem(await api.as(coach).post(path, clearance()))).toEqual([403, 'not-allowed']);
    expect(problem(await api.as(desk).post(path, clearance()))).toEqual([403, 'not-allowed']);
    expect((await checkIn())[0]).toBe('on-hold');
    expect((await api.as(manager).post(path, clearance())).status).toBe(201);
    expect(problem(await api.as(manager).post(path, clearance()))).toEqual([409, 'conflict']);
  });

  test('keeps them away for the rest of that day, whatever a clearance says; from midnight there they may come', async () => {
    await checkIn();
    const draft = await write({ suspectedConcussions: [suspicion()] });
    api.clock.set('2026-09-14T16:10:00Z');
    const out = { departures: [{ athleteId: child, sessionId: session.id }], collectedBy: { alone: true } };
    expect((await api.as(desk).post(`/gyms/${f.gym.id}/check-outs`, out)).status).toBe(201);
    const path = `${at}/${draft.id}/suspected-concussions/${draft.concussions[0]?.id}/clearance`;
    const stages = [{ words: 'Everything.', notBefore: null }];
    expect((await api.as(manager).post(path, clearance({ stages }))).status).toBe(201);
    api.clock.set('2026-09-14T16:15:00Z');
    expect((await checkIn())[0]).toBe('on-hold');
    const release = `/gyms/${f.gym.id}/sessions/${session.id}/attendance/${child}/release`;
    expect(problem(await api.as(desk).post(release, {}))).toEqual([409, 'conflict']);
    const found = async () => (await api.as(desk).get(`/gyms/${f.gym.id}/arrivals?name=Saoirse`)).body.items;
    expect(await found()).toMatchObject([{ athleteId: child, stopped: true }]);
    // Midnight in Dublin, where the clock is an hour ahead.
    api.clock.set('2026-09-14T22:59:59Z');
    expect(await found()).toMatchObject([{ stopped: true }]);
    api.clock.set('2026-09-14T23:00:00Z');
    expect(await found()).toMatchObject([{ stopped: false }]);
    const next = await aSession(f, { class: session.class, plan: session.plan, day: '2026-09-15' });
    api.clock.set('2026-09-15T16:00:00Z');
    expect((await checkedIn(next.id)).state).toBe('present');
  });

  test('written down on a later day is cleared from then on', async () => {
    api.clock.set('2026-09-15T08:00:00Z');
    const draft = await write({ occurredAt: THEN, suspectedConcussions: [suspicion()] });
    const path = `${at}/${draft.id}/suspected-concussions/${draft.concussions[0]?.id}/clearance`;
    await api.as(manager).post(path, clearance());
    const next = await aSession(f, { class: session.class, plan: session.plan, day: '2026-09-15' });
    api.clock.set('2026-09-15T16:00:00Z');
    expect((await checkedIn(next.id)).state).toBe('present');
  });

  test('twice needs two clearances', async () => {
    const [one, two] = [
      await write({ suspectedConcussions: [suspicion()] }),
      await write({ suspectedConcussions: [suspicion()] }),
    ];
    api.clock.set('2026-09-15T16:05:00Z');
    const next = await aSession(f, { class: session.class, plan: session.plan, day: '2026-09-15' });
    for (const [note, state] of [
      [one, 'on-hold'],
      [two, 'present'],
    ] as const) {
      const path = `${at}/${note.id}/suspected-concussions/${note.concussions[0]?.id}/clearance`;
      await api.as(manager).post(path, clearance());
      expect((await checkedIn(next.id)).state).toBe(state);
    }
  });
});

describe('retention', () => {
  test('a child’s note is kept until three years after eighteen, then due for review, and still there', async () => {
    const note = await sent();
    expect(note.keepUntil).toBe('2039-06-10');
    const due = async () => (await api.as(manager).get(`${at}?dueForReview=true`)).body.items.map(({ id }) => id);
    const review = (keepUntil: string) =>
      api
        .as(manager)
        .post<Incident>(`${at}/${note.id}/reviews`, { keepUntil, reason: 'A claim is open.', signedAs: 'Ciara Doyle' });
    api.clock.set('2039-06-09T12:00:00Z');
    expect([await due(), problem(await review('2040-01-01'))]).toEqual([[], [409, 'conflict']]);
    api.clock.set('2039-06-10T12:00:00Z');
    expect(await due()).toEqual([note.id]);
    expect(pointers(await review('2039-06-10'))).toEqual(['/keepUntil']);
    expect((await review('2040-01-01')).body.keepUntil).toBe('2040-01-01');
    expect(await due()).toEqual([]);
    expect(await chain()).toMatchObject({ intact: true, links: 2 });
    // Why stands in the note, signed and vouched for; the trail holds ids and days.
    const { amendments } = await read(note.id);
    expect(amendments).toMatchObject([{ what: 'review', said: 'A claim is open.', keepUntil: '2040-01-01' }]);
    const { rows } = await asOwner(
      "SELECT data FROM events WHERE subject_id = $1 AND name = 'incidents.reviewed'",
      note.id,
    );
    expect(rows).toEqual([{ data: { amendmentId: amendments[0]?.id, keepUntil: '2040-01-01' } }]);
  });

  test('a note about a worker follows the longer rule; one about a child of unknown age has no end', async () => {
    const unknown = await anAthlete(f, { born: null });
    const about = async (personId: string) =>
      (await write({ people: [{ personId, part: 'hurt' }] }, manager)).keepUntil;
    expect(await about(coach.personId)).toBe('2031-12-31');
    expect(await about(unknown)).toBe(null);
  });

  test('once a birth date is known, or corrected, the end is reckoned anew', async () => {
    const unknown = await anAthlete(f, { born: null });
    const first = await write({ people: [{ personId: unknown, part: 'hurt' }] }, manager);
    const second = await write();
    await asOwner("UPDATE athletes SET born = '2010-03-01' WHERE person_id = $1", unknown);
    await asOwner("UPDATE athletes SET born = '2019-06-10' WHERE person_id = $1", child);
    api.clock.set('2039-06-10T12:00:00Z');
    const due = await api.as(manager).get(`${at}?dueForReview=true`);
    expect(due.body.items.map(({ id, keepUntil }) => [id, keepUntil])).toEqual([[first.id, '2031-03-01']]);
    expect(await read(second.id)).toMatchObject({ keepUntil: '2040-06-10', revision: second.revision + 1 });
  });

  test('a day that a review sets meanwhile does not come nearer by reckoning', async () => {
    const note = await sent();
    await asOwner("UPDATE athletes SET born = '2019-06-10' WHERE person_id = $1", child);
    api.clock.set('2039-06-10T12:00:00Z');
    let asking: Promise<unknown> | undefined;
    await f.arrange(async (tx) => {
      await tx.execute(sql`UPDATE incidents SET keep_until = '2050-01-01' WHERE id = ${note.id}`);
      let answered = false;
      asking = api
        .as(manager)
        .get(`${at}?dueForReview=true`)
        .finally(() => {
          answered = true;
        });
      while (!answered && !(await somebodyWaits())) await new Promise((next) => setImmediate(next));
    });
    await asking;
    expect((await read(note.id)).keepUntil).toBe('2050-01-01');
  });

  test('lists by kind, state and person', async () => {
    const [injury, nearMiss] = [await sent(), await write({ kind: 'near-miss', people: [] })];
    const ids = async (query: string) => (await api.as(manager).get(`${at}?${query}`)).body.items.map(({ id }) => id);
    expect(await ids('kind=near-miss')).toEqual([nearMiss.id]);
    expect(await ids('state=sent')).toEqual([injury.id]);
    expect(await ids('state=draft')).toEqual([nearMiss.id]);
    expect(await ids(`personId=${child}`)).toEqual([injury.id]);
    const first = await api.as(manager).get(`${at}?limit=1`);
    expect(first.body.items.map(({ id }) => id)).toEqual([nearMiss.id]);
    expect(await ids(`limit=1&cursor=${first.body.next}`)).toEqual([injury.id]);
  });
});

test('from a fall to the clearance', async () => {
  const checkIn = (sessionId = session.id) => checkedIn(sessionId);
  expect(await checkIn()).toMatchObject({ state: 'present' });

  // 17:12: she falls; the coach writes half a minute.
  api.clock.advance({ minutes: 7 });
  const draft = await write({
    what: 'Slipped off the low beam on a turn and hit her head on the frame.',
    whereItHurts: 'back of the head',
    done: 'Sat her down, ice, away from the group.',
    told: 'Ana at the desk.',
    suspectedConcussions: [
      { athleteId: child, edition: '2023', observed: ['increasingly_restless_agitated_or_combative'] },
    ],
  });
  expect(draft.snapshot).toMatchObject({
    blockId: session.blocks[0]?.id,
    staff: [{ name: 'Ciara Doyle', duty: 'lead' }],
    athletes: [{ name: 'Saoirse Walsh', state: 'present' }],
    cover: [{ covered: true }],
  });

  // 18:30: the manager completes, signs and sends it.
  api.clock.set('2026-09-14T17:30:00Z');
  const completed = await complete(draft, {
    stationId: session.plan.blocks[0]?.stations[0]?.id,
    skillWas: 'new',
    handsOn: false,
    setUpAsPlanned: false,
    setUpNote: 'The frame had no pad.',
    injuries: [{ personId: child, bodyPart: 75, diagnosis: 52, disposition: 1, product: 1272 }],
    takenToHospital: true,
    witnesses: [{ name: 'Ciara Doyle', said: 'Saw it from the next beam.' }],
  });
  expect(completed.body.prompts.map(({ id }) => id)).toContain('riddor-hospital');
  expect((await send(completed.body)).body.link).toBe(2);
  await api.as(manager).post(`${at}/${draft.id}/follow-ups`, { what: 'Pad the frame.', dueOn: '2026-09-18' });
  await amend(draft.id, { what: 'acknowledgement', who: 'Aoife Walsh', at: '2026-09-14T17:20:00Z' });

  // The next day she is stopped at the desk.
  api.clock.set('2026-09-15T16:00:00Z');
  const tuesday = await aSession(f, { day: '2026-09-15', groups: [[child]] });
  expect(await checkIn(tuesday.id)).toMatchObject({ state: 'on-hold', findings: ['activity-hold'] });
  await amend(draft.id, {
    what: 'family-call',
    who: 'Aoife Walsh',
    at: '2026-09-15T09:00:00Z',
    said: 'Kept in overnight.',
  });

  // A week later the paper is there.
  api.clock.set('2026-09-22T16:00:00Z');
  const paper = await attach(draft.id, '%PDF-1.7 fit to return in stages', manager);
  const stages = [
    { words: 'No beam, no inversions; light jogging.', notBefore: '2026-09-22' },
    { words: 'Full training when symptom-free.', notBefore: '2026-09-29' },
  ];
  const path = `${at}/${draft.id}/suspected-concussions/${draft.concussions[0]?.id}/clearance`;
  const paperwork = clearance({ examinedOn: '2026-09-21', stages, attachmentId: paper.body.id });
  expect((await api.as(manager).post(path, paperwork)).status).toBe(201);
  const tuesdayAfter = await aSession(f, { day: '2026-09-22', groups: [[child]] });
  expect(await checkIn(tuesdayAfter.id)).toMatchObject({ state: 'present' });

  const note = await read(draft.id);
  expect(note.concussions[0]?.clearance).toEqual({
    id: expect.any(String),
    ...paperwork,
    recordedAt: '2026-09-22T16:00:00.000Z',
  });
  expect(note.amendments.map(({ what }) => what)).toEqual(['acknowledgement', 'family-call']);
  expect(await chain()).toMatchObject({
    intact: true,
    links: 7,
    head: (await headOf(api.database.ownerPool, f.gym.id)).hash,
  });
  const { rows } = await asOwner('SELECT name FROM events WHERE subject_id = $1 ORDER BY id', draft.id);
  expect(rows.map(({ name }) => name)).toEqual([
    'incidents.drafted',
    'incidents.concussion-suspected',
    'incidents.completed',
    'incidents.sent',
    'incidents.follow-up-added',
    'incidents.amended',
    'incidents.amended',
    'incidents.attached',
    'incidents.cleared',
    'incidents.read',
  ]);
});
