import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest';
import { seedDemo } from '../src/demo/seed.ts';
import { addDays, dayOf, momentOf } from '../src/features/schedule/zone-time.ts';
import { createLog } from '../src/platform/log.ts';
import { nameOf } from '../src/tour/cast.ts';
import { playTour } from '../src/tour/tour.ts';
import { type Api, openApi } from './support/api.ts';
import { endPrograms, startProgram } from './support/service.ts';

const HALIFAX = 'America/Halifax';

afterEach(endPrograms);

/** Plays the tour as `npm run tour` does, against whatever listens on that port. */
async function play(port: string) {
  const program = startProgram('src/tour/main.ts', { PORT: port });
  const { code } = await program.ended;
  return { code, told: program.output() };
}

/** Plays it here, so that the wait for the class to begin is the service's clock put forward. */
async function playHere({ url, clock }: Api): Promise<string> {
  const lines: string[] = [];
  const wait = async (ms: number) => clock.set(new Date(clock.now().getTime() + ms));
  await playTour({ url, now: clock.now(), told: { line: (text) => void lines.push(text) }, wait });
  return lines.join('\n');
}

describe('on the demo franchise', () => {
  let api: Api;
  let port: string;
  beforeAll(async () => {
    // The program reads the machine's own clock, so the demo is dated around that.
    api = await openApi({ now: new Date().toISOString() });
    port = new URL(api.url).port;
    await seedDemo({ pool: api.database.servicePool, log: createLog('silent'), now: api.clock.now });
  });
  afterAll(() => api.close());

  test('it goes from a plan to a session that is held, a fall and a clearance, and again on the same data', async () => {
    for (let round = 1; round <= 2; round += 1) {
      const told = await playHere(api);
      const answers = told.match(/(?<=^ {4})(Yes|No \(\d+ [a-z-]+\))/gm);
      expect(answers?.filter((answer) => answer !== 'Yes')).toEqual([
        'No (422 plan-not-whole)',
        'No (422 not-admissible)',
        'No (403 not-allowed)',
        'No (422 not-covered)',
        'No (422 cover-broken)',
      ]);
      expect(told).toContain(`${nameOf('petra')} is not qualified for that duty`);
      expect(told).toContain('12 athletes with the youngest aged 6 need 2 coaches');
      expect(told).toContain('3 places are given up, and 3 blocks lost their confirmation');
      expect(told.match(/(?<=^ {4}Pushed: ).*/gm)).toEqual([
        '12 children are there; they need 2 coaches, and 2 count.',
        expect.stringMatching(/^short\. Warm-up .*12 athletes with the youngest aged 7 need 2 coaches.*; 1 counts\.$/),
        expect.stringMatching(
          /^covered; 2 count\. What comes next it tells as well: Edda Marlgarth has left, and is due/,
        ),
      ]);
      expect(told).toContain('who was on Warm-up at that minute: Runa Tidewren (lead;');
      expect(told).toContain('Piet Osierquay (assist;');
      expect(told).toContain('with 12 children; not Edda Marlgarth, who had left');
      expect(told).toMatch(
        /on hold, stopped; .*by Dr Solveig Ashmarl.*checks the child in again.*still stopped today.*4 links, intact/s,
      );
      expect(told).toContain('Every step went as it was told.');
    }
  });

  test('where it is nearly midnight its own gym is elsewhere, so that the class ends on the day it begins', async () => {
    api.clock.set(momentOf(addDays(dayOf(api.clock.now(), HALIFAX), 1), '23:58', HALIFAX));
    const told = await playHere(api);
    expect(told).toContain('(Asia/Bangkok)');
    expect(told).toContain('Every step went as it was told.');
  });

  test('it ends with 1, and says where, when a step differs from what it tells', async () => {
    await letAnybodyLead(api);
    const { code, told } = await play(port);
    expect(code).toBe(1);
    expect(told).toContain('The tour differs from what it says. When Mara (manager) wants Petra Mosswren');
  });
});

/** Then Petra may, whose certificate has lapsed. */
const letAnybodyLead = ({ database }: Api) =>
  database.ownerPool.query(`UPDATE duty_rules SET who = '{"test":"all","of":[]}' WHERE duty = 'lead'`);

test('on a service without the demo it says how to load it', async () => {
  const api = await openApi();
  const { code, told } = await play(new URL(api.url).port);
  await api.close();
  expect(code).toBe(1);
  expect(told).toContain('load it with npm run db:seed');
  expect(told).not.toContain('    at ');
});

test('without a service it says so in one sentence', async () => {
  expect(await play('1')).toEqual({
    code: 1,
    told: expect.stringMatching(/No service answers at http:\/\/127\.0\.0\.1:1: start it with npm start.*\n$/),
  });
});
