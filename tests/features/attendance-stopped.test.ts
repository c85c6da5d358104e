import { afterAll, beforeAll, expect, test } from 'vitest';
import type { Incident } from '../../src/features/incidents/schema.ts';
import { newId } from '../../src/platform/ids.ts';
import { aDoor } from '../support/a-door.ts';
import { type Api, openApi } from '../support/api.ts';

// A note suspects a concussion: whichever way the athlete comes next, they are stopped.

let api: Api;
beforeAll(async () => {
  api = await openApi();
});
afterAll(() => api.close());

/** A door whose first child has a concussion suspected by a note of the desk's; the second has nothing. */
async function aSuspicion() {
  const door = await aDoor(api);
  const [hurt, well] = door.children as [string, string];
  const note = await door.desk.post<Incident>(`${door.gym}/incidents`, {
    kind: 'injury',
    what: 'Fell on the stairs and hit her head.',
    blockId: null,
    people: [{ personId: hurt, part: 'hurt' }],
    suspectedConcussions: [{ athleteId: hurt, observed: [] }],
  });
  expect(note.status).toBe(201);
  const attendance = `${door.gym}/sessions/${door.session.id}/attendance`;
  /** Where the two stand, and how many stays each has. */
  const standing = async () => {
    const { items } = (
      await door.desk.get<{ items: { athleteId: string; state: string; stays: unknown[] }[] }>(attendance)
    ).body;
    return [hurt, well].map((id) => {
      const one = items.find(({ athleteId }) => athleteId === id);
      return [one?.state, one?.stays.length];
    });
  };
  return { ...door, hurt, well, note: note.body, attendance, standing };
}

test('at check-in, and no release lets them in', async () => {
  const { desk, gym, hurt, well, note, attendance, standing } = await aSuspicion();
  const come = await desk.post(`${gym}/check-ins`, { arrivals: [{ athleteId: hurt }, { athleteId: well }] });
  expect(come.body.items).toMatchObject([
    { stopped: true, attendance: { state: 'on-hold', findings: ['activity-hold'] } },
    { stopped: false, attendance: { state: 'present' } },
  ]);
  expect((await desk.post(`${attendance}/${hurt}/release`, {})).body.type).toBe('/problems/conflict');
  expect(await standing()).toEqual([
    ['on-hold', 0],
    ['present', 1],
  ]);
  const cautions = note.concussions[0]?.cautions ?? [];
  expect(cautions.at(-1)).toMatch(/Local law and the judgement of licensed professionals come first/);
});

test('by a roll', async () => {
  const { desk, gym, session, hurt, well, standing } = await aSuspicion();
  api.clock.set('2026-09-14T16:02:00Z');
  const taken = await desk.post<{ differences: { athleteId: string; what: string }[] }>(
    `${gym}/blocks/${session.blocks[0]!.id}/rolls`,
    { here: [hurt, well] },
  );
  const what = new Map(taken.body.differences.map((one) => [one.athleteId, one.what]));
  expect([what.get(hurt), what.get(well)]).toEqual(['stopped', 'checked-in']);
  expect(await standing()).toEqual([
    ['expected', 0],
    ['present', 1],
  ]);
});

test('in a batch that was recorded offline', async () => {
  const { desk, f, session, hurt, well, standing } = await aSuspicion();
  api.clock.set('2026-09-14T16:10:00Z');
  const items = [hurt, well].map((athleteId) => ({
    clientId: newId(),
    at: '2026-09-14T15:55:00Z',
    kind: 'in',
    athleteId,
    sessionId: session.id,
  }));
  const { body } = await desk.post('/offline-batches', { gymId: f.gym.id, items });
  expect(body.items).toMatchObject([
    { outcome: 'recorded', problem: 'activity-hold' },
    { outcome: 'recorded', problem: null },
  ]);
  expect(await standing()).toEqual([
    ['on-hold', 0],
    ['present', 1],
  ]);
});
