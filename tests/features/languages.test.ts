import { eq } from 'drizzle-orm';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Incident } from '../../src/features/incidents/schema.ts';
import type { LessonSheet } from '../../src/features/teaching/sheet-schema.ts';
import { openApiOf } from '../../src/platform/http/openapi.ts';
import { routes } from '../../src/routes.ts';
import * as t from '../../src/tables/index.ts';
import { aFranchise } from '../support/a-franchise.ts';
import { aRule, oneTo } from '../support/a-rule.ts';
import { anAssignment, aSession } from '../support/a-session.ts';
import { type Api, openApi } from '../support/api.ts';
import { aStaffMember } from '../support/people.ts';

interface Covered {
  findings: { code: string; sentence: string; numbers: Record<string, string> }[];
  remedies: { kind: string; sentence: string }[];
}

let api: Api;
beforeAll(async () => {
  api = await openApi();
});
afterAll(() => api.close());

/** Nine children, of whom a coach may have eight: 17:00 in Dublin, led by one coach. */
async function oneShort() {
  const f = await aFranchise(api, { confirmWindowDays: 0 });
  await aRule(f, { body: oneTo(8) });
  const session = await aSession(f, { groups: [9] });
  const block = session.blocks[0]!;
  await anAssignment(f, block, f.coachOf(f.gym).personId);
  const ana = await aStaffMember(f, { given: 'Ana', family: 'Reyes' });
  const gym = `/gyms/${f.gym.id}`;
  return { f, ana, block, gym, at: `${gym}/blocks/${block.id}`, manager: api.as(f.managerOf(f.gym)) };
}
const asking = (language: string) => ({ headers: { 'Accept-Language': language } });

const ENGLISH =
  /17:00 to 17:\d\d: 9 athletes with the youngest aged 8 need 2 coaches \(.+, any age at most 8\); 1 counts\.$/;
const GERMAN =
  /17:00 bis 17:\d\d Uhr: 9 Turnende \(jüngstes Alter: 8 Jahre\) brauchen 2 Betreuungskräfte \(.+, any age höchstens 8\); angerechnet: 1\.$/;

describe('what cover says is said in the reader’s language', () => {
  // RFC 9110, section 12.5.4, and RFC 4647, section 3.4, of ranges longer and shorter than what there is.
  test('the one they would rather have of what there is; English where there is none of theirs', async () => {
    const { at, manager } = await oneShort();
    const asked: [string | null, string][] = [
      [null, 'en'],
      ['', 'en'],
      ['*', 'en'],
      ['de', 'de'],
      ['DE', 'de'],
      ['de-AT', 'de'],
      ['en-GB,en;q=0.9', 'en'],
      ['fr', 'en'],
      ['fr, de;q=0.5', 'de'],
      ['en;q=0.4, de;q=0.6', 'de'],
      ['en;q=0.6, de;q=0.4', 'en'],
      ['de;q=0, en', 'en'],
      ['en;q=0, *', 'de'],
      ['de;q=0', 'en'],
      ['; nothing that = anybody;;q could read', 'en'],
    ];
    for (const [header, language] of asked) {
      const { status, headers, body } = await manager.get<Covered>(
        `${at}/cover`,
        header === null ? {} : asking(header),
      );
      expect([status, header, headers.get('Content-Language')]).toEqual([200, header, language]);
      expect(headers.get('Vary')).toMatch(/\bAccept-Language\b/);
      expect(body.findings[0]?.sentence).toMatch(language === 'de' ? GERMAN : ENGLISH);
    }
  });

  test('codes, numbers and the requests on offer are the same in each', async () => {
    const { at, manager } = await oneShort();
    const english = (await manager.get<Covered>(`${at}/cover`)).body;
    const german = (await manager.get<Covered>(`${at}/cover`, asking('de'))).body;
    const withoutWords = (covered: Covered) =>
      JSON.parse(
        JSON.stringify(covered, (key, value) => (['sentence', 'byHand', 'asks', 'why'].includes(key) ? null : value)),
      );
    expect(withoutWords(german)).toEqual(withoutWords(english));
    expect(english.remedies.map(({ sentence }) => sentence)).toContainEqual(expect.stringContaining('Ana Reyes could'));
    expect(german.remedies.map(({ sentence }) => sentence)).toContainEqual(expect.stringContaining('Ana Reyes könnte'));
  });

  test('a refusal for cover is told in it, findings and detail; its title, like every other problem, is English', async () => {
    const { at, gym, manager } = await oneShort();
    const refused = await manager.post(`${at}/confirm`, undefined, asking('de'));
    expect([refused.status, refused.headers.get('Content-Language')]).toEqual([422, 'de']);
    expect(refused.body).toMatchObject({
      type: '/problems/not-covered',
      title: 'The block does not have the cover it needs',
      detail: expect.stringMatching(GERMAN),
      findings: [{ code: 'short', sentence: expect.stringMatching(GERMAN) }],
    });
    expect(refused.headers.get('Vary')).toMatch(/\bAccept-Language\b/);

    const missing = await manager.get(`${gym}/blocks/${crypto.randomUUID()}/cover`, asking('de'));
    expect([missing.status, missing.headers.get('Content-Language')]).toEqual([404, null]);
    expect(missing.body.title).toBe('There is nothing here that you can see');
  });

  test('so is why somebody may not be placed', async () => {
    const { f, at, ana, manager } = await oneShort();
    await f.arrange((tx) => tx.execute(`UPDATE employments SET until_day = '2026-09-01' WHERE person_id = '${ana}'`));
    const refused = await manager.post(`${at}/assignments`, { personId: ana, duty: 'assist' }, asking('de'));
    expect([refused.status, refused.headers.get('Content-Language')]).toEqual([422, 'de']);
    expect(refused.body.refusals).toMatchObject([
      {
        why: 'not-employed',
        sentence: expect.stringMatching(
          /^Ana Reyes ist an diesem Tag hier nicht angestellt \(17:00 bis 17:\d\d Uhr\)\.$/,
        ),
      },
    ]);
  });

  test('and why a block on a lesson sheet is not covered; what is printed is in one language', async () => {
    const { f, block, manager } = await oneShort();
    const [session] = await f.arrange((tx) => tx.select().from(t.blocks).where(eq(t.blocks.id, block.id)));
    const at = `/gyms/${f.gym.id}/sessions/${session?.sessionId}/sheet`;
    const sheet = await manager.get<LessonSheet>(at, asking('de'));
    expect([sheet.status, sheet.headers.get('Content-Language')]).toEqual([200, 'de']);
    expect(sheet.headers.get('Vary')).toMatch(/\bAccept-Language\b/);
    expect(sheet.body.parts[0]?.turns[0]?.why[0]).toMatch(GERMAN);
    const page = await manager.get(`${at}.html`, asking('de'));
    expect(page.headers.get('Content-Language')).toBeNull();
    expect(page.text).toContain('9 athletes with the youngest aged 8 need 2 coaches');
    expect(page.text).not.toContain('Turnende');
  });

  test('why a stretch begins and ends', async () => {
    const { f, manager } = await oneShort();
    const { body } = await manager.get<{ items: { segments: { because: { sentence: string }[] }[] }[] }>(
      `/gyms/${f.gym.id}/days/2026-09-14/cover/timeline?per=block`,
      asking('de'),
    );
    const [unit] = body.items;
    expect(unit?.segments[0]?.because[0]?.sentence).toMatch(/ beginnt\.$/);
  });

  test('an answer that is given again keeps its language, and says so', async () => {
    const { at, ana, manager } = await oneShort();
    const key = crypto.randomUUID();
    const place = (language: string) =>
      manager.post(`${at}/assignments`, { personId: ana, duty: 'assist' }, { key, ...asking(language) });
    const [first, again] = [await place('de'), await place('en')];
    expect([first.status, first.headers.get('Content-Language')]).toEqual([201, 'de']);
    expect([again.headers.get('Idempotency-Replay'), again.headers.get('Content-Language')]).toEqual(['true', 'de']);
    expect(again.text).toBe(first.text);
  });

  test('what holds no sentence says nothing of languages', async () => {
    const { gym, manager } = await oneShort();
    const { status, headers } = await manager.get(gym, asking('de'));
    expect([status, headers.get('Content-Language')]).toEqual([200, null]);
    expect(headers.get('Vary') ?? '').not.toContain('Accept-Language');
  });
});

test('an incident keeps what cover said in English, whoever wrote it and whoever reads it', async () => {
  const { f, manager } = await oneShort();
  api.clock.set('2026-09-14T16:05:00Z');
  const note = { kind: 'near-miss', what: 'A mat slid.' };
  const written = await manager.post<Incident>(`/gyms/${f.gym.id}/incidents`, note, asking('de'));
  const read = await manager.get<Incident>(`/gyms/${f.gym.id}/incidents/${written.body.id}`, asking('de'));
  for (const { body, headers } of [written, read]) {
    const findings = body.snapshot.cover.flatMap((cover) => cover.findings);
    expect(findings.map(({ sentence }) => sentence)).toContainEqual(expect.stringMatching(ENGLISH));
    expect(headers.get('Content-Language')).toBeNull();
  }
});

test('the document describes the header once, and names it where answers hold sentences', () => {
  const document = openApiOf(routes);
  const { parameters = {} } = document.components ?? {};
  expect(parameters.AcceptLanguage).toMatchObject({ in: 'header', name: 'Accept-Language' });
  const naming = Object.entries(document.paths ?? {}).flatMap(([path, item]) =>
    (['get', 'post', 'put', 'patch', 'delete'] as const)
      .filter((method) => JSON.stringify(item?.[method]?.parameters ?? []).includes('parameters/AcceptLanguage'))
      .map((method) => `${method} ${path}`),
  );
  expect(naming).toEqual(
    expect.arrayContaining([
      'get /v1/gyms/{gymId}/blocks/{blockId}/cover',
      'post /v1/gyms/{gymId}/blocks/{blockId}/confirm',
      'post /v1/gyms/{gymId}/blocks/{blockId}/assignments',
      'post /v1/cover-trials',
    ]),
  );
  expect(naming).not.toContain('get /v1/gyms/{gymId}');
  expect(JSON.stringify(document).split('"name":"Accept-Language"')).toHaveLength(2);
});
