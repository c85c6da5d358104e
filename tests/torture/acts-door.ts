import type { AnyBody } from '../support/api.ts';
import { type Act, type Client, items } from './acts.ts';
import type { Told } from './caller.ts';

/** One event for each mark that was made; whoever was in already has none. */
const marks = (body: AnyBody): Told[] =>
  items(body.items).flatMap(({ markId }): Told[] => (markId === null ? [] : [['attendance.', String(markId)]]));

function aFamily({ world, chance }: Client, gymId: string): string[] {
  const children = world.athletes.get(gymId)!;
  const from = chance.below(children.length);
  return children.slice(from, from + 1 + chance.below(3));
}

async function checkIn(client: Client) {
  const { id: gymId } = client.chance.pick(client.world.f.gyms);
  const arrivals = aFamily(client, gymId).map((athleteId) => ({ athleteId }));
  await client.deskAt(gymId).write('check in', `/gyms/${gymId}/check-ins`, { arrivals }, { told: marks });
}

async function checkOut(client: Client) {
  const { id: gymId } = client.chance.pick(client.world.f.gyms);
  const departures = [{ athleteId: aFamily(client, gymId)[0]! }];
  const body = { departures, collectedBy: { guardianId: client.world.guardianId } };
  await client.deskAt(gymId).write('check out', `/gyms/${gymId}/check-outs`, body, { told: marks });
}

/** Takes back one of the marks of somebody who came today. */
async function undo(client: Client) {
  const { world, chance } = client;
  const today = [...world.sessions.values()].filter(({ day }) => day === world.today);
  if (today.length === 0) return;
  const { id, gymId } = chance.pick(today);
  const desk = client.deskAt(gymId);
  const path = `/gyms/${gymId}/sessions/${id}/attendance`;
  const marked = items((await desk.read(`${path}?limit=200`))?.items).filter(({ since }) => since !== null);
  if (marked.length === 0) return;
  const history = await desk.read(`${path}/${chance.pick(marked).athleteId}`);
  const standing = items(history?.marks).filter(({ undoneAt }) => undoneAt === null);
  if (standing.length === 0) return;
  const markId = String(chance.pick(standing).markId);
  await desk.write('undo', `/gyms/${gymId}/attendance-marks/${markId}/undo`, undefined);
}

async function releaseFromHold(client: Client) {
  const { world, chance } = client;
  const today = [...world.sessions.values()].filter(({ day }) => day === world.today);
  if (today.length === 0) return;
  const { id, gymId } = chance.pick(today);
  const desk = client.deskAt(gymId);
  const path = `/gyms/${gymId}/sessions/${id}/attendance`;
  const held = items((await desk.read(`${path}?limit=200`))?.items).filter(({ state }) => state === 'on-hold');
  if (held.length === 0) return;
  const { athleteId } = chance.pick(held);
  await desk.write('release from hold', `${path}/${athleteId}/release`, {}, { told: marks });
}

export const doorActs: Act[] = [
  [6, checkIn],
  [3, checkOut],
  [2, undo],
  [2, releaseFromHold],
];
