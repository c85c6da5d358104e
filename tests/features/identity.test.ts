import { eq } from 'drizzle-orm';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { createFranchise } from '../../src/features/identity/create-franchise.ts';
import { makeOperatorLink } from '../../src/features/identity/reset-password.ts';
import type { Invited, OneTimeLink, SignedIn, TokenPair, User, Who } from '../../src/features/identity/schema.ts';
import * as t from '../../src/tables/index.ts';
import { aFranchise, aMember, type Franchise, type Member } from '../support/a-franchise.ts';
import { type Answer, type Api, openApi } from '../support/api.ts';

let api: Api;
let f: Franchise;
beforeAll(async () => {
  api = await openApi();
  f = await aFranchise(api, { gyms: 2 });
});
afterAll(() => api.close());

const PASSWORD = 'a long enough password';
let addresses = 0;
function anAddress(): string {
  addresses += 1;
  return `person-${addresses}@example.org`;
}

const signIn = (email: string, password = PASSWORD, franchiseId?: string) =>
  api.anyone.post<SignedIn>('/sign-in', { email, password, ...(franchiseId ? { franchiseId } : {}) });
const redeem = (token: string, password = PASSWORD) => api.anyone.post('/one-time-links/redeem', { token, password });
const withToken = (accessToken: string) => ({ headers: { Authorization: `Bearer ${accessToken}` } });
const refresh = (refreshToken: string) => api.anyone.post<TokenPair>('/tokens/refresh', { refreshToken });

const invite = async (by: Member, body: { email: string; role: string; gymId: string | null; personId?: string }) =>
  api.as(by).post<Invited>('/users', body);

/** Somebody who was invited by the owner, and has joined with `PASSWORD`. */
async function aUser({ by = f.owner, role = 'coach', gymId = f.gym.id as string | null, email = anAddress() } = {}) {
  const { body } = await invite(by, { email, role, gymId });
  if (body.link) expect((await redeem(body.link.token)).status).toBe(200);
  return { email, accountId: body.user.accountId };
}

const eventsAbout = (subjectId: string, of = f) =>
  of.arrange(async (tx) => {
    const rows = await tx
      .select({ name: t.events.name, data: t.events.data })
      .from(t.events)
      .where(eq(t.events.subjectId, subjectId))
      .orderBy(t.events.id);
    return rows.map(({ name }) => name);
  });
const problem = ({ status, body }: Answer) => [status, body.type.replace('/problems/', '')];
const asAnyAnswer = (answer: { status: number; body: unknown }) => answer as Answer;

describe('signing in', () => {
  test('gives tokens and says who one is', async () => {
    const user = await aUser({ role: 'manager' });
    const { status, body } = await signIn(user.email.toUpperCase());
    expect(status).toBe(200);
    expect(body.who).toEqual({
      accountId: user.accountId,
      email: user.email,
      franchise: { id: f.id, name: 'Saltmarsh Gymnastics' },
      person: null,
      roles: [{ role: 'manager', gymId: f.gym.id }],
      gyms: [{ id: f.gym.id, name: 'Gym 1' }],
    } satisfies Who);
    expect(body.expiresAt).toBe('2026-09-07T08:15:00.000Z');

    const me = await api.anyone.get<Who>('/me', withToken(body.accessToken));
    expect(me).toMatchObject({ status: 200, body: body.who });
  });

  test('says who one is as a person', async () => {
    const coach = f.coachOf(f.gym);
    const { body } = await api.as(coach).get<Who>('/me');
    expect(body.person).toEqual({ id: coach.personId, given: 'Ciara', family: 'Doyle' });
  });

  test('an unknown address, a wrong password and an account without one are answered alike', async () => {
    const user = await aUser();
    const invited = anAddress();
    await invite(f.owner, { email: invited, role: 'desk', gymId: f.gym.id });
    const answers = [
      await signIn(user.email, 'some other password'),
      await signIn('nobody@example.org'),
      await signIn(invited),
      await signIn(user.email, PASSWORD, crypto.randomUUID()),
    ].map(asAnyAnswer);
    for (const { status, body } of answers) {
      expect({ status, ...body, instance: '' }).toEqual({
        status: 401,
        type: '/problems/sign-in-refused',
        title: 'The e-mail address and password do not fit',
        detail: 'There is no such sign-in.',
        instance: '',
      });
    }
  });

  test('an unknown address costs the same statements as a wrong password', async () => {
    const user = await aUser();
    const statementsOf = async (email: string) => {
      const before = api.database.statements.length;
      await signIn(email, 'some other password');
      return api.database.statements.slice(before);
    };
    expect(await statementsOf('nobody@example.org')).toEqual(await statementsOf(user.email));
  });

  test('a password of more than 72 bytes is refused, not cut', async () => {
    for (const password of ['x'.repeat(73), 'é'.repeat(37)]) {
      const answer = asAnyAnswer(await signIn('nobody@example.org', password));
      expect(problem(answer)).toEqual([422, 'invalid-request']);
      expect(answer.body.errors).toEqual([
        { pointer: '/password', detail: 'Expected at most 72 bytes in UTF-8; choose a shorter password.' },
      ]);
    }
    expect(asAnyAnswer(await signIn('nobody@example.org', 'é'.repeat(36))).status).toBe(401);
  });

  test('an account in two franchises chooses one, once its password fits', async () => {
    const other = await aFranchise(api, { name: 'Harbour Gymnastics' });
    const user = await aUser();
    await aUser({ by: other.owner, gymId: other.gym.id, email: user.email });

    const refused = asAnyAnswer(await signIn(user.email));
    expect(problem(refused)).toEqual([409, 'choose-franchise']);
    expect(refused.body.franchises).toEqual(
      [
        { id: f.id, name: 'Saltmarsh Gymnastics' },
        { id: other.id, name: 'Harbour Gymnastics' },
      ].sort((a, b) => (a.id < b.id ? -1 : 1)),
    );
    expect(problem(asAnyAnswer(await signIn(user.email, 'some other password')))).toEqual([401, 'sign-in-refused']);

    const { body } = await signIn(user.email, PASSWORD, other.id);
    expect(body.who.franchise).toEqual({ id: other.id, name: 'Harbour Gymnastics' });

    await api.as(other.owner).post(`/users/${user.accountId}/deactivate`);
    expect((await signIn(user.email)).body.who.franchise.id).toBe(f.id);
    expect(problem(asAnyAnswer(await signIn(user.email, PASSWORD, other.id)))).toEqual([401, 'sign-in-refused']);
  });
});

describe('refreshing', () => {
  test('each refresh token is good for one new pair', async () => {
    const user = await aUser();
    const first = (await signIn(user.email)).body;
    const second = await refresh(first.refreshToken);
    expect(second.status).toBe(200);
    expect((await api.anyone.get('/me', withToken(second.body.accessToken))).status).toBe(200);
    expect((await refresh(second.body.refreshToken)).status).toBe(200);
  });

  test('one that comes a second time ends the whole sign-in, and no other', async () => {
    const user = await aUser();
    const first = (await signIn(user.email)).body;
    const elsewhere = (await signIn(user.email)).body;
    const second = (await refresh(first.refreshToken)).body;

    const again = asAnyAnswer(await refresh(first.refreshToken));
    expect(problem(again)).toEqual([401, 'not-signed-in']);
    expect(again.body.detail).toContain('used before');
    expect(problem(asAnyAnswer(await refresh(second.refreshToken)))).toEqual([401, 'not-signed-in']);
    expect(problem(await api.anyone.get('/me', withToken(second.accessToken)))).toEqual([401, 'not-signed-in']);
    expect(await eventsAbout(user.accountId)).toContain('users.token-reused');
    expect((await refresh(elsewhere.refreshToken)).status).toBe(200);
  });

  test('of several at once exactly one is answered, and the sign-in has ended', async () => {
    const user = await aUser();
    const { refreshToken } = (await signIn(user.email)).body;
    const answers = await Promise.all(Array.from({ length: 5 }, () => refresh(refreshToken)));
    expect(answers.map(({ status }) => status).sort()).toEqual([200, 401, 401, 401, 401]);
    const winner = answers.find(({ status }) => status === 200)!.body;
    expect((await refresh(winner.refreshToken)).status).toBe(401);
  });

  test('ends after 30 days unused, and after 90 days however often it is used', async () => {
    const before = api.clock.now();
    try {
      const user = await aUser();
      const unused = (await signIn(user.email)).body;
      let used = (await signIn(user.email)).body as TokenPair;
      for (let day = 25; day < 90; day += 25) {
        api.clock.advance({ days: 25 });
        const next = await refresh(used.refreshToken);
        expect([day, next.status]).toEqual([day, 200]);
        used = next.body;
      }
      const old = asAnyAnswer(await refresh(unused.refreshToken));
      expect([...problem(old), old.body.detail]).toEqual([
        401,
        'not-signed-in',
        'That refresh token is too old; sign in again.',
      ]);
      api.clock.advance({ days: 15 });
      expect((await refresh(used.refreshToken)).status).toBe(401);
    } finally {
      api.clock.set(before);
    }
  });

  test('a token that is none of ours', async () => {
    expect(problem(asAnyAnswer(await refresh('not a token')))).toEqual([401, 'not-signed-in']);
  });
});

test('signing out ends the access token and the refresh token at once', async () => {
  const user = await aUser();
  const { accessToken, refreshToken } = (await signIn(user.email)).body;
  expect(await api.anyone.post('/sign-out', undefined, withToken(accessToken))).toMatchObject({
    status: 204,
    body: null,
  });
  expect((await api.anyone.get('/me', withToken(accessToken))).status).toBe(401);
  expect((await refresh(refreshToken)).status).toBe(401);
});

describe('changing one’s password', () => {
  test('ends the other sign-ins, and the old password', async () => {
    const user = await aUser();
    const here = (await signIn(user.email)).body;
    const there = (await signIn(user.email)).body;
    const change = { current: PASSWORD, new: 'another good password' };
    expect((await api.anyone.put('/me/password', change, withToken(here.accessToken))).status).toBe(204);
    expect((await api.anyone.get('/me', withToken(here.accessToken))).status).toBe(200);
    expect((await api.anyone.get('/me', withToken(there.accessToken))).status).toBe(401);
    expect((await signIn(user.email)).status).toBe(401);
    expect((await signIn(user.email, 'another good password')).status).toBe(200);
    expect((await eventsAbout(user.accountId)).at(-1)).toBe('users.password-changed');
  });

  test('needs the present one, and refuses a short or an overlong one', async () => {
    const user = await aUser();
    const token = withToken((await signIn(user.email)).body.accessToken);
    const put = async (current: string, next: string) =>
      (await api.anyone.put('/me/password', { current, new: next }, token)).body.errors.map(({ pointer }) => pointer);
    expect(await put('some other password', 'another good password')).toEqual(['/current']);
    expect(await put(PASSWORD, 'short')).toEqual(['/new']);
    expect(await put(PASSWORD, 'é'.repeat(37))).toEqual(['/new']);
    expect((await signIn(user.email)).status).toBe(200);
  });
});

describe('inviting', () => {
  test('hands out a link by which somebody joins', async () => {
    const email = anAddress();
    const { status, body } = await invite(f.managerOf(f.gym), { email, role: 'desk', gymId: f.gym.id });
    expect(status).toBe(201);
    expect(body.user).toMatchObject({ email, state: 'invited', personId: null });
    expect(body.user.roles).toMatchObject([{ role: 'desk', gymId: f.gym.id }]);
    expect(body.link?.expiresAt).toBe('2026-09-14T08:00:00.000Z');
    expect((await signIn(email)).status).toBe(401);

    const redeemed = await redeem(body.link!.token);
    expect(redeemed).toMatchObject({ status: 200, body: { email, franchiseId: f.id } });
    expect((await signIn(email)).body.who.roles).toEqual([{ role: 'desk', gymId: f.gym.id }]);
    expect(await eventsAbout(body.user.accountId)).toEqual(['users.role-given', 'users.invited', 'users.joined']);
    expect(problem(await redeem(body.link!.token))).toEqual([410, 'link-not-valid']);
  });

  test('a link ends after seven days, and with the next one made', async () => {
    const before = api.clock.now();
    const email = anAddress();
    const ask = () => invite(f.owner, { email, role: 'coach', gymId: f.gym.id });
    const first = (await ask()).body.link!;
    const second = (await ask()).body.link!;
    expect(problem(await redeem(first.token))).toEqual([410, 'link-not-valid']);
    try {
      api.clock.advance({ days: 7 });
      expect(problem(await redeem(second.token))).toEqual([410, 'link-not-valid']);
    } finally {
      api.clock.set(before);
    }
    expect((await redeem(second.token)).status).toBe(200);
  });

  test('one link redeemed by several at once joins once', async () => {
    const { body } = await invite(f.owner, { email: anAddress(), role: 'coach', gymId: f.gym.id });
    const answers = await Promise.all(
      ['first password', 'second password', 'third password'].map((password) => redeem(body.link!.token, password)),
    );
    expect(answers.filter(({ status }) => status === 200)).toHaveLength(1);
  });

  test('an address with an account elsewhere is invited alike, and joins only with the password it has', async () => {
    const other = await aFranchise(api);
    const user = await aUser();
    const known = await invite(other.owner, { email: user.email, role: 'coach', gymId: other.gym.id });
    const fresh = await invite(other.owner, { email: anAddress(), role: 'coach', gymId: other.gym.id });
    const shape = ({ status, body }: Answer<Invited>) => ({
      status,
      body: { ...body, link: { ...body.link, token: body.link?.token.length }, user: { ...body.user } },
    });
    const same = { accountId: '', email: '', roles: [] };
    expect({ ...shape(known), body: { ...shape(known).body, user: { ...known.body.user, ...same } } }).toEqual({
      ...shape(fresh),
      body: { ...shape(fresh).body, user: { ...fresh.body.user, ...same } },
    });

    expect((await signIn(user.email)).body.who.franchise.id).toBe(f.id);
    expect(problem(await redeem(known.body.link!.token, 'what the inviter likes'))).toEqual([401, 'sign-in-refused']);
    expect((await signIn(user.email)).status).toBe(200);
    expect((await redeem(known.body.link!.token)).status).toBe(200);
    expect((await signIn(user.email, PASSWORD, other.id)).status).toBe(200);
  });

  test('an account’s id does not tell when it was made', async () => {
    const { body } = await invite(f.owner, { email: anAddress(), role: 'coach', gymId: f.gym.id });
    expect(body.user.accountId[14]).toBe('4');
  });

  test('somebody who has joined gets one role more, without a link', async () => {
    const user = await aUser();
    const there = f.gyms[1]!;
    const { status, body } = await invite(f.managerOf(there), { email: user.email, role: 'coach', gymId: there.id });
    expect([status, body.link]).toEqual([201, null]);
    expect(body.user.roles).toMatchObject([{ role: 'coach', gymId: there.id }]);
    const again = await invite(f.owner, { email: user.email, role: 'coach', gymId: there.id });
    expect(problem(asAnyAnswer(again))).toEqual([409, 'already-exists']);
  });

  test('a manager invites only to the roles manager, desk and coach at their own gym', async () => {
    const manager = f.managerOf(f.gym);
    const ask = async (role: string, gymId: string | null) =>
      problem(asAnyAnswer(await invite(manager, { email: anAddress(), role, gymId })));
    expect(await ask('owner', null)).toEqual([403, 'not-allowed']);
    expect(await ask('programme_lead', null)).toEqual([403, 'not-allowed']);
    expect(await ask('coach', null)).toEqual([403, 'not-allowed']);
    expect(await ask('coach', f.gyms[1]!.id)).toEqual([422, 'invalid-request']);
    expect(await ask('coach', (await aFranchise(api)).gym.id)).toEqual([422, 'invalid-request']);
    expect(await ask('owner', f.gym.id)).toEqual([422, 'invalid-request']);
    for (const role of ['manager', 'desk', 'coach']) {
      expect((await invite(manager, { email: anAddress(), role, gymId: f.gym.id })).status).toBe(201);
    }
  });

  test('a manager cannot invite again, and so become, somebody invited as an owner', async () => {
    const email = anAddress();
    await invite(f.owner, { email, role: 'owner', gymId: null });
    const answer = await invite(f.managerOf(f.gym), { email, role: 'coach', gymId: f.gym.id });
    expect(problem(asAnyAnswer(answer))).toEqual([403, 'not-allowed']);
  });

  test('a manager says of a user only that they are somebody on the staff of their gym', async () => {
    const there = f.gyms[1]!;
    const ask = (personId: string) =>
      invite(f.managerOf(f.gym), { email: anAddress(), role: 'coach', gymId: f.gym.id, personId });
    expect(asAnyAnswer(await ask(f.coachOf(there).personId)).body.errors).toMatchObject([{ pointer: '/personId' }]);
    expect(problem(asAnyAnswer(await ask(f.coachOf(f.gym).personId)))).toEqual([409, 'already-exists']);
  });

  test('desk and coach invite nobody', async () => {
    for (const member of [f.deskOf(f.gym), f.coachOf(f.gym), f.lead]) {
      const answer = await invite(member, { email: anAddress(), role: 'coach', gymId: f.gym.id });
      expect(problem(asAnyAnswer(answer))).toEqual([403, 'not-allowed']);
    }
  });

  test('twins with one Idempotency-Key make one link, and both hear it', async () => {
    const body = { email: anAddress(), role: 'coach', gymId: f.gym.id };
    const key = crypto.randomUUID();
    const twins = await Promise.all([1, 2].map(() => api.as(f.owner).post<Invited>('/users', body, { key })));
    expect(twins.map(({ status }) => status)).toEqual([201, 201]);
    expect(twins[0]?.body).toEqual(twins[1]?.body);
    expect((await redeem(twins[0]!.body.link!.token)).status).toBe(200);
    const other = await api.as(f.owner).post('/users', { ...body, role: 'desk' }, { key });
    expect(problem(other)).toEqual([422, 'idempotency-key-reused']);
  });

  test('a bad body is told where and how to mend it', async () => {
    const { status, body } = await api.as(f.owner).post('/users', { email: 'no address', role: 'chief', extra: 1 });
    expect(status).toBe(422);
    expect(body.errors.map(({ pointer }) => pointer).sort()).toEqual(['/email', '/extra', '/gymId', '/role']);
  });
});

describe('resetting a password', () => {
  const reset = (by: Member, accountId: string) => api.as(by).post<OneTimeLink>(`/users/${accountId}/password-reset`);

  test('a link sets a new password and ends the sign-ins', async () => {
    const user = await aUser();
    const { accessToken } = (await signIn(user.email)).body;
    const { status, body } = await reset(f.managerOf(f.gym), user.accountId);
    expect([status, body.expiresAt]).toEqual([201, '2026-09-08T08:00:00.000Z']);
    expect((await redeem(body.token, 'another good password')).status).toBe(200);
    expect((await api.anyone.get('/me', withToken(accessToken))).status).toBe(401);
    expect((await signIn(user.email)).status).toBe(401);
    expect((await signIn(user.email, 'another good password')).status).toBe(200);
    expect((await eventsAbout(user.accountId)).slice(-2)).toEqual(['users.reset-link-made', 'users.password-changed']);
  });

  test('a role given later voids the links that are out: their holder was not trusted with it', async () => {
    const manager = f.managerOf(f.gym);
    const joined = await aUser();
    const link = (await reset(manager, joined.accountId)).body;
    const owner = { role: 'owner', gymId: null };
    expect((await api.as(f.owner).post(`/users/${joined.accountId}/roles`, owner)).status).toBe(201);
    expect(problem(await redeem(link.token, 'what the manager likes'))).toEqual([410, 'link-not-valid']);

    const email = anAddress();
    const invited = (await invite(manager, { email, role: 'coach', gymId: f.gym.id })).body;
    const given = await api.as(f.owner).post(`/users/${invited.user.accountId}/roles`, owner);
    expect(problem(given)).toEqual([409, 'conflict']);
    expect((await invite(f.owner, { email, ...owner })).status).toBe(201);
    expect(problem(await redeem(invited.link!.token))).toEqual([410, 'link-not-valid']);
  });

  test('a newer link voids the older, and so does a change of password', async () => {
    const user = await aUser();
    const first = (await reset(f.owner, user.accountId)).body;
    const second = (await reset(f.owner, user.accountId)).body;
    expect((await redeem(first.token)).status).toBe(410);
    const token = withToken((await signIn(user.email)).body.accessToken);
    await api.anyone.put('/me/password', { current: PASSWORD, new: 'another good password' }, token);
    expect((await redeem(second.token)).status).toBe(410);
  });

  test('a franchise cannot take over an account that is in another one too', async () => {
    const other = await aFranchise(api);
    const user = await aUser();
    const early = (await reset(f.owner, user.accountId)).body;
    await aUser({ by: other.owner, gymId: other.gym.id, email: user.email });
    for (const by of [f.owner, other.owner]) {
      const answer = asAnyAnswer(await reset(by, user.accountId));
      expect(problem(answer)).toEqual([409, 'conflict']);
      expect(answer.body.detail).toContain('another franchise');
    }
    expect(problem(await redeem(early.token, 'what the owner likes'))).toEqual([410, 'link-not-valid']);
    expect((await signIn(user.email, PASSWORD, f.id)).status).toBe(200);

    const services = { pool: api.database.servicePool, now: api.clock.now };
    const link = await makeOperatorLink(services, user.email);
    const madeBy = await api.database.ownerPool.query(
      "SELECT account_id FROM events WHERE subject_id = $1 AND name = 'users.reset-link-made' ORDER BY at, id",
      [user.accountId],
    );
    expect(madeBy.rows).toEqual([{ account_id: f.owner.accountId }, { account_id: null }]);
    expect((await redeem(link!.token, 'another good password')).status).toBe(200);
    expect((await signIn(user.email, 'another good password', other.id)).status).toBe(200);
  });

  test('a manager resets nobody with a role beyond their gym', async () => {
    const manager = f.managerOf(f.gym);
    const both = await aUser();
    await api.as(f.owner).post(`/users/${both.accountId}/roles`, { role: 'coach', gymId: f.gyms[1]!.id });
    const alsoOwner = await aUser();
    await api.as(f.owner).post(`/users/${alsoOwner.accountId}/roles`, { role: 'owner', gymId: null });
    for (const { accountId } of [both, alsoOwner]) {
      expect(problem(asAnyAnswer(await reset(manager, accountId)))).toEqual([403, 'not-allowed']);
      expect(problem(await api.as(manager).post(`/users/${accountId}/deactivate`))).toEqual([403, 'not-allowed']);
    }
    // Without a role at their gym they may not even know of the user.
    for (const { accountId } of [f.owner, f.managerOf(f.gyms[1]!)]) {
      expect(problem(asAnyAnswer(await reset(manager, accountId)))).toEqual([404, 'not-found']);
    }
  });

  test('somebody who has not joined is invited again instead', async () => {
    const { body } = await invite(f.owner, { email: anAddress(), role: 'coach', gymId: f.gym.id });
    expect(problem(asAnyAnswer(await reset(f.owner, body.user.accountId)))).toEqual([409, 'conflict']);
  });
});

describe('deactivating', () => {
  test('works at once, and for this franchise only', async () => {
    const user = await aUser();
    const { accessToken, refreshToken } = (await signIn(user.email)).body;
    const { status, body } = await api.as(f.managerOf(f.gym)).post<User>(`/users/${user.accountId}/deactivate`);
    expect([status, body.state, body.revision]).toEqual([200, 'deactivated', 3]);
    expect((await api.anyone.get('/me', withToken(accessToken))).status).toBe(401);
    expect((await refresh(refreshToken)).status).toBe(401);
    expect((await signIn(user.email)).status).toBe(401);
    expect((await invite(f.owner, { email: user.email, role: 'desk', gymId: f.gym.id })).status).toBe(409);

    const back = await api.as(f.owner).post<User>(`/users/${user.accountId}/reactivate`);
    expect(back.body).toMatchObject({ state: 'active', roles: [{ role: 'coach' }] });
    expect((await api.anyone.get('/me', withToken(accessToken))).status).toBe(401);
    expect((await signIn(user.email)).status).toBe(200);
    expect((await eventsAbout(user.accountId)).slice(-2)).toEqual(['users.deactivated', 'users.reactivated']);
  });

  test('a franchise keeps an active owner', async () => {
    const own = await aFranchise(api);
    const roleOf = async (accountId: string) =>
      (await api.as(own.owner).get<User>(`/users/${accountId}`)).body.roles[0]!.id;
    const leave = `/users/${own.owner.accountId}`;
    const roleId = await roleOf(own.owner.accountId);
    expect(problem(await api.as(own.owner).post(`${leave}/deactivate`))).toEqual([409, 'conflict']);
    expect(problem(await api.as(own.owner).delete(`${leave}/roles/${roleId}`))).toEqual([409, 'conflict']);

    // One who is only invited cannot act.
    await invite(own.owner, { email: anAddress(), role: 'owner', gymId: null });
    expect(problem(await api.as(own.owner).post(`${leave}/deactivate`))).toEqual([409, 'conflict']);

    const second = await aMember(own, { role: 'owner' });
    const answers = await Promise.all([
      api.as(own.owner).post(`/users/${own.owner.accountId}/deactivate`),
      api.as(second).post(`/users/${second.accountId}/deactivate`),
    ]);
    expect(answers.map(({ status }) => status).sort()).toEqual([200, 409]);
  });
});

describe('roles', () => {
  test('given and taken, they count from the next request on', async () => {
    const user = await aMember(f, { role: 'coach', gym: f.gym });
    const allowed = async () => (await api.as(user).get('/users')).status;
    expect(await allowed()).toBe(403);
    const given = await api
      .as(f.managerOf(f.gym))
      .post<User>(`/users/${user.accountId}/roles`, { role: 'manager', gymId: f.gym.id });
    expect(given.status).toBe(201);
    expect(await allowed()).toBe(200);
    const roleId = given.body.roles.find(({ role }) => role === 'manager')!.id;
    const taken = await api.as(f.managerOf(f.gym)).delete<User>(`/users/${user.accountId}/roles/${roleId}`);
    expect(taken.body.roles).toMatchObject([{ role: 'coach', gymId: f.gym.id }]);
    expect(await allowed()).toBe(403);
    const { rows } = await api.database.ownerPool.query(
      'SELECT name, subject_revision FROM events WHERE subject_id = $1 ORDER BY id',
      [user.accountId],
    );
    expect(rows).toEqual([
      { name: 'users.role-given', subject_revision: 2 },
      { name: 'users.role-taken', subject_revision: 3 },
    ]);
    expect(taken.body.revision).toBe(3);
  });

  test('a manager gives and takes nothing beyond their gym', async () => {
    const user = await aMember(f, { role: 'coach', gym: f.gym });
    const manager = api.as(f.managerOf(f.gym));
    const there = await api
      .as(f.owner)
      .post<User>(`/users/${user.accountId}/roles`, { role: 'desk', gymId: f.gyms[1]!.id });
    const thereId = there.body.roles.find(({ role }) => role === 'desk')!.id;
    expect(problem(await manager.delete(`/users/${user.accountId}/roles/${thereId}`))).toEqual([404, 'not-found']);

    const wide = await api.as(f.owner).post<User>(`/users/${user.accountId}/roles`, { role: 'owner', gymId: null });
    const wideId = wide.body.roles.find(({ role }) => role === 'owner')!.id;
    expect(problem(await manager.delete(`/users/${user.accountId}/roles/${wideId}`))).toEqual([403, 'not-allowed']);
    expect(problem(await manager.post(`/users/${user.accountId}/roles`, { role: 'owner', gymId: null }))).toEqual([
      403,
      'not-allowed',
    ]);
  });

  test('a role is held once', async () => {
    const user = await aMember(f, { role: 'coach', gym: f.gym });
    const answer = await api.as(f.owner).post(`/users/${user.accountId}/roles`, { role: 'coach', gymId: f.gym.id });
    expect(problem(answer)).toEqual([409, 'already-exists']);
  });
});

describe('listing users', () => {
  test('a manager sees the users of their gym, and of their roles those there or for the whole franchise', async () => {
    const own = await aFranchise(api, { gyms: 2 });
    const [here, there] = [own.gym, own.gyms[1]!];
    const both = await aMember(own, { role: 'coach', gym: here });
    await api.as(own.owner).post(`/users/${both.accountId}/roles`, { role: 'coach', gymId: there.id });
    const ids = (answer: Answer<{ items: User[] }>) => answer.body.items.map(({ accountId }) => accountId).sort();

    const seen = await api.as(own.managerOf(here)).get<{ items: User[] }>('/users');
    expect(ids(seen)).toEqual(
      [own.managerOf(here), own.deskOf(here), own.coachOf(here), both].map(({ accountId }) => accountId).sort(),
    );
    const shown = seen.body.items.find(({ accountId }) => accountId === both.accountId);
    expect(shown?.roles.map(({ gymId }) => gymId)).toEqual([here.id]);
    expect(ids(await api.as(own.owner).get(`/users?gymId=${there.id}`))).toEqual(
      [own.managerOf(there), own.deskOf(there), own.coachOf(there), both].map(({ accountId }) => accountId).sort(),
    );
    expect(ids(await api.as(own.owner).get(`/users?email=${both.email}`))).toEqual([both.accountId]);
    // Whether somebody of theirs works at a gym beyond their reach is not theirs to know.
    expect((await api.as(own.managerOf(here)).get(`/users?gymId=${there.id}`)).body).toEqual({ items: [], next: null });
  });

  test('page by page, each once', async () => {
    const own = await aFranchise(api);
    const seen: string[] = [];
    for (let next: string | null = '/users?limit=2'; next !== null; ) {
      const { body }: Answer<{ items: User[]; next: string | null }> = await api.as(own.owner).get(next);
      seen.push(...body.items.map(({ email }) => email));
      next = body.next === null ? null : `/users?limit=2&cursor=${body.next}`;
    }
    expect(seen).toHaveLength(5);
    expect(seen).toEqual([...new Set(seen)].sort());
  });

  test('another franchise’s user is not found', async () => {
    const other = await aFranchise(api);
    for (const call of [
      api.as(f.owner).get(`/users/${other.owner.accountId}`),
      api.as(f.owner).post(`/users/${other.owner.accountId}/deactivate`),
      api.as(f.owner).post(`/users/${other.owner.accountId}/password-reset`),
      api.as(f.owner).post(`/users/${other.owner.accountId}/roles`, { role: 'owner', gymId: null }),
    ]) {
      expect(problem(await call)).toEqual([404, 'not-found']);
    }
  });

  test('who a user is as a person can be said later, by revision', async () => {
    const user = await aMember(f, { role: 'coach', gym: f.gym });
    const { personId } = f.coachOf(f.gyms[1]!);
    const change = (body: object, ifMatch: number) =>
      api.as(f.owner).patch<User>(`/users/${user.accountId}`, body, { ifMatch });
    expect(problem(asAnyAnswer(await change({ personId }, 1)))).toEqual([409, 'already-exists']);
    expect(problem(asAnyAnswer(await change({ personId: crypto.randomUUID() }, 1)))).toEqual([422, 'invalid-request']);
    expect(problem(asAnyAnswer(await change({ personId: null }, 7)))).toEqual([412, 'changed-meanwhile']);
    const { body, headers } = await change({ personId: null }, 1);
    expect([body.personId, headers.get('ETag')]).toEqual([null, '"r2"']);
  });
});

describe('the franchise', () => {
  test('is read by everybody in it, and changed by its owner', async () => {
    const own = await aFranchise(api, { name: 'Dune Gymnastics' });
    const read = await api.as(own.coachOf(own.gym)).get('/franchise');
    expect(read.body).toEqual({
      id: own.id,
      name: 'Dune Gymnastics',
      leapDay: '03-01',
      travelMinutes: 30,
      revision: 1,
    });
    expect(problem(await api.as(own.managerOf(own.gym)).patch('/franchise', { name: 'Ours' }, { ifMatch: 1 }))).toEqual(
      [403, 'not-allowed'],
    );
    const settled = { released: [], unconfirmed: [], atOtherGyms: 0 };
    const renamed = await api.as(own.owner).patch('/franchise', { name: 'Beach Gymnastics' }, { ifMatch: 1 });
    expect(renamed.body).toMatchObject({ name: 'Beach Gymnastics', revision: 2, settled });
    const asked = await api.as(own.owner).patch('/franchise', { leapDay: '02-28' }, { ifMatch: 2, dryRun: true });
    expect(asked.body).toMatchObject({ leapDay: '02-28', revision: 3, settled });
    const set = await api.as(own.owner).patch('/franchise', { leapDay: '02-28' }, { ifMatch: 2 });
    expect(set.body).toEqual(asked.body);
    expect(problem(await api.as(own.owner).patch('/franchise', { name: 'Late' }, { ifMatch: 2 }))).toEqual([
      412,
      'changed-meanwhile',
    ]);
    expect(await eventsAbout(own.id, own)).toEqual(['franchise.changed', 'franchise.changed']);
  });

  test('a new one has its owner’s link, and all it cannot do without', async () => {
    const services = { pool: api.database.servicePool, now: api.clock.now };
    const made = await createFranchise(services, { name: 'Cliff Gymnastics', ownerEmail: 'First.Owner@Example.org' });
    expect((await redeem(made.link.token)).body).toEqual({
      email: 'first.owner@example.org',
      franchiseId: made.franchiseId,
    });
    const { body } = await signIn('first.owner@example.org');
    const said = await api.anyone.get<{ items: { data: unknown }[] }>(
      '/events?name=people.duty-rule-set',
      withToken(body.accessToken),
    );
    const rules = await api.anyone.get('/duty-rules', withToken(body.accessToken));
    const recorded = said.body.items.map(({ data }) => data);
    expect(recorded).toEqual(expect.arrayContaining(rules.body.items));
    expect(recorded).toHaveLength(4);
    expect(body.who).toMatchObject({
      accountId: made.ownerAccountId,
      franchise: { id: made.franchiseId, name: 'Cliff Gymnastics' },
      roles: [{ role: 'owner', gymId: null }],
    });
    const change = { leapDay: '02-28' };
    const changed = await api.anyone.patch('/franchise', change, { ...withToken(body.accessToken), ifMatch: 1 });
    expect(changed.status).toBe(200);
  });
});

test('a token that is malformed, or of nobody, is not let in', async () => {
  const { status, headers } = await api.anyone.get('/me', withToken('not.a.token'));
  expect([status, headers.get('WWW-Authenticate')]).toEqual([401, 'Bearer realm="matside"']);
  expect((await api.anyone.get('/me')).status).toBe(401);
  expect((await api.as({ ...f.owner, signInId: crypto.randomUUID() }).get('/me')).status).toBe(401);
});
