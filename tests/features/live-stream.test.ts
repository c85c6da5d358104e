import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { z } from 'zod';
import { Board } from '../../src/features/live/schema.ts';
import { SERVICE_ROLE } from '../../src/platform/db/roles.ts';
import { aCable } from '../support/a-cable.ts';
import { aDoor, type Door } from '../support/a-door.ts';
import { aMember, type Member } from '../support/a-franchise.ts';
import { aReader, type Reader } from '../support/a-reader.ts';
import { type Api, type ApiOptions, openApi } from '../support/api.ts';
import { type Browser, findBrowser, openBrowser } from '../support/browser.ts';

type Ticket = { url: string; expiresAt: string };

/** What has to be closed, the last first. */
const open: { close(): unknown }[] = [];
let here: Api;
let there: Api;
let door: Door;
/** The clocks of both instances stand at a quarter past five, in Dublin, in the first block. */
const start = async (options: ApiOptions = {}) => {
  here = await openApi(options);
  open.push(here);
  there = await openApi({ ...options, beside: here });
  open.push(there);
  door = await aDoor(here);
  for (const { clock } of [here, there]) clock.set('2026-09-14T16:15:00Z');
};
afterEach(async () => {
  for (const one of open.splice(0).reverse()) await one.close();
});

const streamOf = (gymId = door.f.gym.id) => `/v1/gyms/${gymId}/board/stream`;
const read = async (api: Api, member: Member, headers: Record<string, string> = {}): Promise<Reader<Board>> => {
  const authorization = { Authorization: `Bearer ${api.tokens.issue(member)}` };
  const reader = await aReader<Board>(`${api.url}${streamOf()}`, { ...authorization, ...headers });
  open.push(reader);
  return reader;
};
const readByTicket = async (api: Api, url: string): Promise<Reader<Board>> => {
  const reader = await aReader<Board>(`${api.url}${url}`);
  open.push(reader);
  return reader;
};
const manager = () => door.f.managerOf(door.f.gym);
const checkIn = async (index: number) => {
  const arrivals = [{ athleteId: door.children[index] }];
  expect((await here.as(door.f.deskOf(door.f.gym)).post(`${door.gym}/check-ins`, { arrivals })).status).toBe(201);
};
const present = ({ sessions }: Board) => sessions.reduce((sum, session) => sum + session.present, 0);
const withoutMoment = ({ at: _, ...lasting }: Board) => lasting;
const aTicket = async (api: Api, member: Member): Promise<Ticket> => {
  const { status, body } = await api.as(member).post<Ticket>(`${door.gym}/board/stream-tickets`);
  expect(status).toBe(201);
  return body;
};
const stateOf = async (api: Api, path: string, headers = {}) => {
  const { status, body } = await api.send('GET', path, { headers });
  return [status, body.type];
};

describe('the stream of a gym’s board', () => {
  beforeEach(() => start());

  test('is the board as one reads it, and each change of it, from whichever instance it was made at', async () => {
    const reader = await read(there, manager());
    expect([reader.status, reader.headers['content-type']]).toEqual([200, 'text/event-stream']);
    const first = await reader.next();
    expect([first.event, Board.safeParse(first.data).error, present(first.data)]).toEqual(['board', undefined, 0]);

    await checkIn(0);
    const second = await reader.next();
    expect(present(second.data)).toBe(1);
    const { body } = await there.as(manager()).get<Board>(`${door.gym}/board`);
    expect(withoutMoment(second.data)).toEqual(withoutMoment(body));
    expect(second.id).not.toBe(first.id);
  });

  test('goes on at another instance where it broke off: nothing of what is known, at once what is not', async () => {
    const first = await read(here, manager());
    const { id } = await first.next();
    first.close();

    const same = await read(there, manager(), { 'Last-Event-ID': id ?? '' });
    there.clock.advance({ minutes: 1 });
    const witness = await read(there, manager());
    expect((await witness.next()).id).toBe(id);
    expect(same.unread()).toBe(0);
    await checkIn(0);
    expect(present((await same.next()).data)).toBe(1);

    const behind = await read(here, manager(), { 'Last-Event-ID': id ?? '' });
    expect(present((await behind.next()).data)).toBe(1);
  });

  test('shows each reader what they may see of it', async () => {
    const [desk, lead] = [await read(there, door.f.deskOf(door.f.gym)), await read(there, door.f.lead)];
    const named = ({ sessions }: Board) => sessions[0]?.blocks[0]?.athletes?.map(({ name }) => name) ?? null;
    expect(named((await desk.next()).data)).toEqual(['Aoife Walsh', 'Brian Walsh', 'Clodagh Nolan']);
    expect(named((await lead.next()).data)).toBeNull();
  });

  test('that is only asked about, as HEAD does, has no messages', async () => {
    const { status, headers, text } = await here.send('HEAD', streamOf(), {
      headers: { Authorization: `Bearer ${here.tokens.issue(manager())}` },
    });
    const told = ['Content-Type', 'Content-Language', 'Cache-Control'].map((name) => headers.get(name));
    expect([status, told, text]).toEqual([200, ['text/event-stream', 'en', 'no-store'], '']);
  });

  test('ends when its instance stops, which then is done', async () => {
    const reader = await read(there, manager());
    await reader.next();
    await there.close();
    await reader.ended;
    open.splice(open.indexOf(there), 1);
  });
});

describe('a stream that stays open', () => {
  test('learns by counting events when the connection that hints come by is lost', async () => {
    await start({ streams: { pollMs: 5 } });
    const reader = await read(there, manager());
    await reader.next();
    const { rowCount } = await here.database.ownerPool.query(
      "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE application_name = 'matside hints' AND datname = current_database()",
    );
    expect(rowCount).toBe(2);
    await checkIn(0);
    expect(present((await reader.next()).data)).toBe(1);
  });

  test('ends with a reason when the role is taken away', async () => {
    await start();
    const member = await aMember(door.f, { role: 'desk', gym: door.f.gym });
    const [reader, other] = [await read(there, member), await read(there, manager())];
    await reader.next();
    await other.next();
    const owner = here.as(door.f.owner);
    const { body } = await owner.get<{ roles: { id: string }[] }>(`/users/${member.accountId}`);
    expect((await owner.delete(`/users/${member.accountId}/roles/${body.roles[0]?.id}`)).status).toBeLessThan(300);
    expect(await reader.next()).toMatchObject({
      id: null,
      event: 'closed',
      data: { type: '/problems/not-found', status: 404, detail: 'There is no such gym here.' },
    });
    await reader.ended;
    await checkIn(0);
    expect(present((await other.next()).data)).toBe(1);
  });

  test('outlives its access token, and ends when the sign-in does', async () => {
    await start({ streams: { tickMs: 5 } });
    const member = await aMember(door.f, { role: 'desk', gym: door.f.gym });
    const reader = await read(there, member);
    await reader.next();
    for (const { clock } of [here, there]) clock.advance({ minutes: 16 });
    // The next block, with the same token, which has expired.
    const later = await reader.next();
    expect(later.event).toBe('board');
    expect((await here.as(member).post('/sign-out')).status).toBe(204);
    let last = await reader.next();
    while (last.event === 'board') last = await reader.next();
    expect(last).toMatchObject({ event: 'closed', data: { type: '/problems/not-signed-in' } });
    await reader.ended;
  });

  test('is one of so many', async () => {
    await start({ streams: { most: 2, anAccount: 1 } });
    const bearer = (member: Member) => ({ Authorization: `Bearer ${here.tokens.issue(member)}` });
    await read(here, manager());
    expect(await stateOf(here, streamOf(), bearer(manager()))).toEqual([429, '/problems/too-many-streams']);
    await read(here, door.f.owner);
    expect(await stateOf(here, streamOf(), bearer(door.f.lead))).toEqual([503, '/problems/busy']);
    expect((await read(there, manager())).status).toBe(200);
  });
});

describe('a stream ticket', () => {
  beforeEach(() => start());

  test('opens the stream at any instance, for half a day', async () => {
    const { url, expiresAt } = await aTicket(here, manager());
    expect(expiresAt).toBe('2026-09-15T04:15:00.000Z');
    const reader = await readByTicket(there, url);
    expect([reader.status, present((await reader.next()).data)]).toEqual([200, 0]);
    await checkIn(0);
    expect(present((await reader.next()).data)).toBe(1);

    there.clock.set('2026-09-15T04:14:59Z');
    expect((await readByTicket(there, url)).status).toBe(200);
    there.clock.set('2026-09-15T04:15:00Z');
    expect(await stateOf(there, url)).toEqual([401, '/problems/not-signed-in']);
  });

  test('is worth nothing once its account has signed out', async () => {
    const member = await aMember(door.f, { role: 'desk', gym: door.f.gym });
    const { url } = await aTicket(here, member);
    expect((await readByTicket(there, url)).status).toBe(200);
    expect((await here.as(member).post('/sign-out')).status).toBe(204);
    expect(await stateOf(there, url)).toEqual([401, '/problems/not-signed-in']);
  });

  test('opens nothing else: no other gym, no other route, not as an access token; nor is an access token a ticket', async () => {
    const { f } = door;
    const { url } = await aTicket(here, f.owner);
    const ticket = new URL(url, here.url).searchParams.get('ticket') ?? '';
    const refused = [401, '/problems/not-signed-in'];
    const added = await here.as(f.owner).post<{ id: string }>('/gyms', { name: 'Mill hall', zone: 'Europe/Dublin' });
    expect(await stateOf(here, `${streamOf(added.body.id)}?ticket=${ticket}`)).toEqual(refused);
    expect(await stateOf(here, `/v1${door.gym}/board?ticket=${ticket}`)).toEqual(refused);
    expect(await stateOf(here, '/v1/me', { Authorization: `Bearer ${ticket}` })).toEqual(refused);
    expect(await stateOf(here, streamOf(), { Authorization: `Bearer ${ticket}` })).toEqual(refused);
    const token = here.tokens.issue(f.owner);
    expect(await stateOf(here, `${streamOf()}?ticket=${token}`)).toEqual(refused);
    for (const wrong of ['', 'x', `${ticket}x`, ticket.slice(0, -20)]) {
      expect(await stateOf(here, `${streamOf()}?ticket=${wrong}`)).toEqual(refused);
    }
    expect((await readByTicket(here, url.replace(door.f.gym.id, door.f.gym.id.toUpperCase()))).status).toBe(200);
  });

  test('is given to those who may read the board', async () => {
    const nobody = await aMember(door.f, {});
    expect((await here.as(nobody).post(`${door.gym}/board/stream-tickets`)).status).toBe(404);
  });
});

const executable = findBrowser();

describe.runIf(executable !== null)('a browser’s own EventSource', () => {
  let browser: Browser;
  beforeEach(async () => {
    await start();
    browser = await openBrowser(executable ?? '');
    open.push(browser);
  });

  /**
   * Opens the stream from a page of the service whose own policy lets it call the service. `until` waits in the page,
   * for what its EventSource tells.
   */
  const listen = async (origin: string, url: string) => {
    const { page, complaints } = await browser.open(`${origin}/reference`);
    await page.evaluate(`
      window.boards = [];
      window.why = null;
      window.cuts = 0;
      window.source = new EventSource(${JSON.stringify(url)});
      window.waiting = [];
      window.until = (is) => new Promise((done) => {
        const look = () => is() ? done() : waiting.push(look);
        look();
      });
      const take = (how) => (event) => {
        how(event);
        for (const look of waiting.splice(0)) look();
      };
      source.addEventListener('board', take(({ data, lastEventId }) => boards.push({ board: JSON.parse(data), lastEventId })));
      source.addEventListener('closed', take(({ data }) => { why = JSON.parse(data).type; }));
      source.addEventListener('open', take(() => {}));
      source.addEventListener('error', take(() => { cuts += 1; }));`);
    return { page, complaints, until: (what: string) => page.evaluate(`until(() => ${what})`) };
  };
  const Shown = z.array(z.object({ board: Board, lastEventId: z.string() }));

  test('shows the board and its changes, and goes on by itself after the connection was cut', async () => {
    const cable = await aCable(there.url);
    open.push(cable);
    const { url } = await aTicket(here, manager());
    const { page, complaints, until } = await listen(cable.url, url);
    const shown = async (many: number) => {
      await until(`boards.length >= ${many}`);
      return Shown.parse(await page.evaluate('boards'));
    };
    expect((await shown(1)).map(({ board }) => present(board))).toEqual([0]);
    await checkIn(0);
    expect((await shown(2)).map(({ board }) => present(board))).toEqual([0, 1]);

    cable.cut();
    cable.drop();
    await until('cuts > 0');
    await checkIn(1);
    cable.mend();
    const all = await shown(3);
    expect(all.map(({ board }) => present(board))).toEqual([0, 1, 2]);
    expect(new Set(all.map(({ lastEventId }) => lastEventId)).size).toBe(3);
    // The browser itself says that the connection was lost, and nothing else.
    expect(complaints.filter((one) => !one.includes('/board/stream') && !one.includes('net::ERR_'))).toEqual([]);
  });

  test('hears that it may not read any more, and stops asking', async () => {
    const member = await aMember(door.f, { role: 'desk', gym: door.f.gym });
    const { url } = await aTicket(here, member);
    const { page, until } = await listen(there.url, url);
    await until('boards.length > 0');
    await here.as(door.f.owner).post(`/users/${member.accountId}/deactivate`);
    await until('source.readyState === EventSource.CLOSED');
    expect(await page.evaluate('why')).toBe('/problems/not-signed-in');
  });
});

test('the connection that hints come by has no more rights than the service', async () => {
  await start();
  const { rows } = await here.database.ownerPool.query(
    `SELECT DISTINCT r.rolsuper OR r.rolbypassrls AS may, pg_has_role(r.oid, $1, 'MEMBER') AS service
     FROM pg_stat_activity a JOIN pg_roles r ON r.oid = a.usesysid
     WHERE a.application_name = 'matside hints' AND a.datname = current_database()`,
    [SERVICE_ROLE],
  );
  expect(rows).toEqual([{ may: false, service: true }]);
});
