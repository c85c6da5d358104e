import type { AnyBody } from '../support/api.ts';
import type { Random } from '../support/random.ts';
import type { Caller, Told } from './caller.ts';
import { dayAfter, type SeenSession, type World } from './world.ts';

/** One of the clients: what it knows, whom it may act as, and its chance. */
export interface Client {
  world: World;
  chance: Random;
  owner: Caller;
  /** The desk of a gym, for what is done at its door. */
  deskAt(gymId: string): Caller;
}

/** Something that a client does now and then: its weight, and the requests that it is. */
export type Act = readonly [weight: number, act: (client: Client) => Promise<unknown>];

type Block = SeenSession['blocks'][number];

export function aSessionOf({ world, chance }: Client): SeenSession | null {
  const all = [...world.sessions.values()];
  return all.length === 0 ? null : chance.pick(all);
}

/** Half of the time the first that there is, on which all meet; else today's, where most of what can go wrong is, or any. */
function aBlockOf(client: Client): { gymId: string; session: SeenSession; block: Block } | null {
  const { world, chance } = client;
  const all = [...world.sessions.values()];
  const today = all.filter(({ day }) => day === world.today);
  const [first] = all;
  if (first === undefined) return null;
  const session = chance.below(2) === 0 ? first : chance.pick(chance.below(2) === 0 && today.length > 0 ? today : all);
  const block = session.blocks.length === 0 ? null : chance.pick(session.blocks);
  return block && { gymId: session.gymId, session, block };
}

const someStaff = ({ world, chance }: Client, gymId: string) => chance.pick(world.staff.get(gymId)!);
export const items = (value: unknown): AnyBody[] => (Array.isArray(value) ? value : []);
const open = async (caller: Caller, path: string, field: string): Promise<AnyBody[]> => {
  const body = await caller.read(`${path}${path.includes('?') ? '&' : '?'}limit=200`);
  return items(body?.items).filter((one) => one[field] === null);
};

/** What a fact says that it led to. */
export const settledIn = (body: AnyBody): Told[] => {
  const { settled } = body;
  if (typeof settled !== 'object' || settled === null) return [];
  const released = 'released' in settled ? items(settled.released) : [];
  const unconfirmed = 'unconfirmed' in settled ? items(settled.unconfirmed) : [];
  return [
    ...released.map(({ assignmentId }): Told => ['staffing.released', String(assignmentId)]),
    ...unconfirmed.map(({ blockId }): Told => ['staffing.confirmation-lost', String(blockId)]),
  ];
};
export const idIn = (value: unknown): string =>
  typeof value === 'object' && value !== null && 'id' in value ? String(value.id) : 'none';
const because = { reason: 'a torture' };
const assigned = (body: AnyBody): Told[] => [['staffing.assigned', idIn(body.assignment)]];

async function assign(client: Client) {
  const at = aBlockOf(client);
  if (!at) return;
  const { below, pick } = client.chance;
  const body = {
    personId: someStaff(client, at.gymId),
    duty: pick(['lead', 'lead', 'assist']),
    givingUpOthers: below(4) === 0,
  };
  const path = `/gyms/${at.gymId}/blocks/${at.block.id}/assignments`;
  if (below(12) === 0) await client.owner.write('assign (dry run)', path, body, { dryRun: true });
  else await client.owner.write('assign', path, body, { told: assigned });
}

async function oversee(client: Client) {
  const session = aSessionOf(client);
  if (!session) return;
  const body = { personId: someStaff(client, session.gymId), givingUpOthers: client.chance.below(3) === 0 };
  await client.owner.write('oversee', `/gyms/${session.gymId}/sessions/${session.id}/assignments`, body, {
    told: assigned,
  });
}

async function release(client: Client) {
  const at = aBlockOf(client);
  if (!at) return;
  const held = await open(client.owner, `/gyms/${at.gymId}/assignments?blockId=${at.block.id}`, 'releasedAt');
  if (held.length === 0) return;
  const { id } = client.chance.pick(held);
  await client.owner.write('release', `/gyms/${at.gymId}/assignments/${id}/release`, because, {
    told: () => [['staffing.released', id]],
  });
}

async function swap(client: Client) {
  const at = aBlockOf(client);
  if (!at) return;
  const { startsAt, endsAt } = at.block;
  const first = someStaff(client, at.gymId);
  const others = client.world.staff.get(at.gymId)!.filter((id) => id !== first);
  const personIds = [first, client.chance.pick(others)];
  await client.owner.write(
    'swap',
    `/gyms/${at.gymId}/swaps`,
    { personIds, startsAt, endsAt },
    {
      told: (body) => [
        ['staffing.swapped', first],
        ...items(body.assignments).map(({ id }): Told => ['staffing.assigned', id]),
      ],
    },
  );
}

const confirmed = (body: AnyBody): Told[] =>
  items(body.confirmed).map((id): Told => ['staffing.confirmed', String(id)]);

/** Asks for a confirmation; where it is refused, mostly takes one of the remedies offered, as it is, and asks again. */
async function confirm(client: Client) {
  const at = aBlockOf(client);
  if (!at) return;
  const { gymId, block, session } = at;
  const unit = client.chance.below(3) === 0 ? `sessions/${session.id}` : `blocks/${block.id}`;
  const path = `/gyms/${gymId}/${unit}/confirm`;
  for (let tries = 0; tries < 2 + client.chance.below(3); tries += 1) {
    const { status, body } = await client.owner.write('confirm', path, undefined, { told: confirmed });
    const ready = items(body.remedies).flatMap(({ request }) => (isReady(request) ? [request] : []));
    if (status < 300 || ready.length === 0) return;
    const { path: to, body: sent } = client.chance.pick(ready);
    await client.owner.write('take remedy', to.replace(/^\/v1/, ''), sent, {
      told: (made) => (to.endsWith('/assignments') ? assigned(made) : []),
    });
  }
}
const isReady = (request: unknown): request is { path: string; body: unknown } =>
  typeof request === 'object' && request !== null && 'path' in request && 'body' in request;

async function unconfirm(client: Client) {
  const at = aBlockOf(client);
  if (!at) return;
  await client.owner.write('unconfirm', `/gyms/${at.gymId}/blocks/${at.block.id}/unconfirm`, because, {
    told: () => [['staffing.unconfirmed', at.block.id]],
  });
}

/** Asks for a confirmation; accepts by name what is in the way, and asks again. */
async function override(client: Client) {
  const at = aBlockOf(client);
  if (!at) return;
  const path = `/gyms/${at.gymId}/blocks/${at.block.id}/confirm`;
  const { body } = await client.owner.write('confirm', path, undefined, { told: confirmed });
  const inTheWay = items(body.findings).filter(({ code }) => code !== 'plan-withdrawn');
  for (const { code, unit, startsAt, endsAt, ruleId, short, subjects } of inTheWay.slice(0, 3)) {
    const named = items(subjects).map(({ id }) => id);
    const accepting = { unit, startsAt, endsAt, code, ruleId, short, subjects: named, ...because };
    await client.owner.write('override', `/gyms/${at.gymId}/overrides`, accepting, {
      told: ({ id }) => [['staffing.override-accepted', id]],
    });
  }
  if (inTheWay.length > 0) await client.owner.write('confirm', path, undefined, { told: confirmed });
}

async function withdrawOverride(client: Client) {
  const { id: gymId } = client.chance.pick(client.world.f.gyms);
  const standing = await open(client.owner, `/gyms/${gymId}/overrides`, 'withdrawnAt');
  if (standing.length === 0) return;
  const { id } = client.chance.pick(standing);
  await client.owner.write('withdraw override', `/gyms/${gymId}/overrides/${id}/withdraw`, undefined, {
    told: () => [['staffing.override-withdrawn', id]],
  });
}

/** Somebody falls ill; half of the time somebody is sent to stand in for them. */
async function absence(client: Client) {
  const at = aBlockOf(client);
  if (!at) return;
  const { gymId, block } = at;
  const span = { startsAt: block.startsAt, endsAt: block.endsAt };
  const body = { personId: someStaff(client, gymId), ...span };
  const { body: recorded } = await client.owner.write('absence', `/gyms/${gymId}/absences`, body, {
    told: (made) => [['staffing.absence-recorded', idIn(made.absence)], ...settledIn(made)],
  });
  const [left] = settledIn(recorded);
  if (left?.[0] !== 'staffing.released' || client.chance.below(2) === 0) return;
  const standIn = { assignmentId: left[1], personId: someStaff(client, gymId) };
  const path = `/gyms/${gymId}/absences/${idIn(recorded.absence)}/replacements`;
  await client.deskAt(gymId).write('replace', path, standIn, { told: assigned });
}

async function withdrawAbsence(client: Client) {
  const { id: gymId } = client.chance.pick(client.world.f.gyms);
  const standing = await open(client.owner, `/gyms/${gymId}/absences`, 'withdrawnAt');
  if (standing.length === 0) return;
  const { id } = client.chance.pick(standing);
  await client.owner.write('withdraw absence', `/gyms/${gymId}/absences/${id}/withdraw`, undefined, {
    told: () => [['staffing.absence-withdrawn', id]],
  });
}

async function qualify(client: Client) {
  const { id: gymId } = client.chance.pick(client.world.f.gyms);
  const path = `/gyms/${gymId}/staff/${someStaff(client, gymId)}/qualifications`;
  const body = { kindId: client.world.kindId, grade: 1, from: '2026-01-01', evidence: 'seen again' };
  await client.owner.write('qualify', path, body, {
    told: (made) => [['people.qualified', made.id], ...settledIn(made)],
  });
}

async function revoke(client: Client) {
  const { id: gymId } = client.chance.pick(client.world.f.gyms);
  const path = `/gyms/${gymId}/staff/${someStaff(client, gymId)}`;
  const held = items((await client.owner.read(path))?.qualifications).filter((one) => one.revokedFrom === null);
  if (held.length === 0) return;
  const { id } = client.chance.pick(held);
  const body = { from: client.world.today, ...because };
  await client.owner.write('revoke', `${path}/qualifications/${id}/revoke`, body, {
    told: (made) => [['people.qualification-revoked', id], ...settledIn(made)],
  });
}

async function signOff(client: Client) {
  const { id: gymId } = client.chance.pick(client.world.f.gyms);
  const path = `/gyms/${gymId}/staff/${someStaff(client, gymId)}`;
  const held = items((await client.owner.read(path))?.signOffs).filter((one) => one.until === null);
  if (held.length < 2) {
    const body = {
      skillId: client.world.skillId,
      level: client.chance.pick(['watched', 'helped', 'alone']),
      from: '2026-01-01',
    };
    await client.owner.write('sign off', `${path}/sign-offs`, body, {
      told: (made) => [['people.signed-off', made.id], ...settledIn(made)],
    });
    return;
  }
  const { id } = client.chance.pick(held);
  await client.owner.write(
    'end sign-off',
    `${path}/sign-offs/${id}/end`,
    { until: client.world.today },
    {
      told: (made) => [['people.sign-off-ended', id], ...settledIn(made)],
    },
  );
}

/** A birth date turns out to be another: a coach who is not of age, a child who is not yet five; and is put right later. */
async function correctBirthDate(client: Client) {
  const { world, chance } = client;
  const { id: gymId } = chance.pick(world.f.gyms);
  const isStaff = chance.below(3) === 0;
  const who = isStaff ? `staff/${someStaff(client, gymId)}` : `athletes/${chance.pick(world.athletes.get(gymId)!)}`;
  const path = `/gyms/${gymId}/${who}`;
  const read = await client.owner.read(path);
  if (read === null) return;
  const [usual, other] = isStaff ? ['1992-03-15', '2010-02-01'] : ['2018-06-10', dayAfter(world.today, -1000)];
  const born = read.born === usual ? other : usual;
  const name = isStaff ? 'people.staff-changed' : 'people.athlete-changed';
  await client.owner.write(
    'correct birth date',
    path,
    { born },
    {
      method: 'PATCH',
      ifMatch: read.revision,
      told: (made) => [[name, String(who.split('/')[1])], ...settledIn(made)],
    },
  );
}

export const staffingActs: Act[] = [
  [20, assign],
  [3, oversee],
  [10, release],
  [4, swap],
  [22, confirm],
  [3, unconfirm],
  [4, override],
  [2, withdrawOverride],
  [3, absence],
  [3, withdrawAbsence],
];

export const peopleActs: Act[] = [
  [5, qualify],
  [3, revoke],
  [3, signOff],
  [2, correctBirthDate],
];
