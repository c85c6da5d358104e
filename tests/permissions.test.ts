import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { PERMISSIONS, ROLES, type Role } from '../src/platform/auth/permissions.ts';
import type { Route } from '../src/platform/http/route.ts';
import { routes } from '../src/routes.ts';
import { aFranchise, aMember, type Franchise, type Member } from './support/a-franchise.ts';
import { type Api, openApi } from './support/api.ts';

/**
 * Who may do what, written out a second time, so that no line of the table in the source changes unnoticed:
 * everywhere in the franchise, at their own gym, at the blocks they are assigned to, what they wrote, or not at all.
 */
const WHO_MAY = `
  permission          owner      programme_lead  manager    desk       coach
  franchise.read      franchise  franchise       franchise  franchise  franchise
  franchise.write     franchise  –               –          –          –
  users.manage        franchise  –               gym        –          –
  gyms.read           franchise  franchise       gym        gym        gym
  gyms.create         franchise  –               –          –          –
  gyms.write          franchise  –               gym        –          –
  curriculum.read     franchise  franchise       franchise  franchise  franchise
  briefings.ask       franchise  franchise       franchise  –          franchise
  briefings.follow    franchise  franchise       gym        –          –
  curriculum.write    franchise  franchise       –          –          –
  plans.adapt         franchise  franchise       gym        –          own-blocks
  ratios.read         franchise  franchise       franchise  franchise  franchise
  ratios.write        franchise  –               –          –          –
  ratios.add          franchise  –               gym        –          –
  cover.try           franchise  franchise       franchise  franchise  franchise
  schedule.read       franchise  franchise       gym        gym        gym
  schedule.write      franchise  –               gym        –          –
  enrolments.write    franchise  –               gym        gym        –
  cover.read          franchise  franchise       gym        gym        gym
  staffing.assign     franchise  –               gym        –          –
  staffing.confirm    franchise  –               gym        –          –
  staffing.replace    franchise  –               gym        gym        –
  staffing.override   franchise  –               gym        –          –
  staff.read          franchise  –               gym        gym        –
  staff.write         franchise  –               gym        –          –
  plans.adapt         franchise  franchise       gym        –          own-blocks
  sheets.read         franchise  franchise       gym        gym        own-blocks
  teaching.record     franchise  –               gym        –          own-blocks
  teaching.read       franchise  franchise       gym        –          –
  teaching.ask        franchise  –               gym        –          own
  moves.sign          franchise  franchise       gym        –          –
  athletes.read       franchise  –               gym        gym        own-blocks
  athletes.write      franchise  –               gym        gym        –
  contacts.read       franchise  –               gym        gym        –
  health.read         franchise  –               gym        gym        own-blocks
  health.write        franchise  –               gym        –          –
  incidents.write     franchise  –               gym        gym        own-blocks
  incidents.read      franchise  –               gym        own        own
  incidents.complete  franchise  –               gym        –          –
  incidents.count     franchise  franchise       gym        –          –
  attendance.read     franchise  –               gym        gym        own-blocks
  attendance.write    –          –               gym        gym        own-blocks
  attendance.count    franchise  franchise       gym        gym        gym
  audit.read          franchise  –               gym        –          –
`;

const [heads, ...rows] = WHO_MAY.trim()
  .split('\n')
  .map((line) => line.trim().split(/\s+/));
const written = Object.fromEntries(
  rows.map(([permission, ...scopes]) => [
    permission,
    Object.fromEntries(scopes.map((scope, index) => [ROLES[index], scope]).filter(([, scope]) => scope !== '–')),
  ]),
);

test('the table is the one written out here', () => {
  expect(heads?.slice(1)).toEqual(ROLES);
  expect(PERMISSIONS).toEqual(written);
});

type Place = 'at the own gym' | 'at another gym of the franchise' | 'at a gym of another franchise';
const PLACES: Place[] = ['at the own gym', 'at another gym of the franchise', 'at a gym of another franchise'];

interface Caller {
  who: string;
  member: Member;
  role: Role | null;
  everywhere: boolean;
}

let api: Api;
let f: Franchise;
let gymAt: Record<Place, string>;
let callers: Caller[];
beforeAll(async () => {
  api = await openApi();
  f = await aFranchise(api, { gyms: 2 });
  const other = await aFranchise(api);
  const at = (index: number) => f.gyms[index]?.id ?? '';
  gymAt = {
    'at the own gym': at(0),
    'at another gym of the franchise': at(1),
    'at a gym of another franchise': other.gym.id,
  };
  const caller = (who: string, member: Member, role: Role | null, everywhere: boolean) => ({
    who,
    member,
    role,
    everywhere,
  });
  callers = [
    caller('the owner', f.owner, 'owner', true),
    caller('the programme lead', f.lead, 'programme_lead', true),
    caller('a manager of every gym', await aMember(f, { role: 'manager' }), 'manager', true),
    caller('the manager', f.managerOf(f.gym), 'manager', false),
    caller('the desk', f.deskOf(f.gym), 'desk', false),
    caller('a coach', f.coachOf(f.gym), 'coach', false),
    caller('a member without any role', await aMember(f, {}), null, false),
  ];
});
afterAll(() => api.close());

/** What every route refuses once it has let somebody in, before it does anything. */
const UNKNOWN = 'no-such-parameter';
/** Anything that has the right form; ids are UUIDs. */
const MADE_UP: Record<string, string> = { number: '1', day: '2026-09-14', duty: 'lead' };
const ID = '01930d5e-8a4c-7c3a-9f65-3b1f0c6d2a11';

const callTo = (route: Route, gymId: string, headers: Record<string, string>) => {
  const path = route.path.replace('{gymId}', gymId).replaceAll(/\{(\w+)\}/g, (_, name) => MADE_UP[name] ?? ID);
  return api.send(route.method.toUpperCase(), `/v1${path}?${UNKNOWN}=1`, {
    headers: { ...headers, 'Content-Type': 'application/json' },
    ...(route.method === 'get' ? {} : { body: '{}' }),
  });
};

type Answered = 'let in' | 'not signed in' | 'not allowed' | 'no such gym' | string;
const answered = async (route: Route, gymId: string, headers: Record<string, string>): Promise<Answered> => {
  const { status, body } = await callTo(route, gymId, headers);
  if (status === 422 && body.errors.some(({ parameter }) => parameter === UNKNOWN)) return 'let in';
  if (status === 401 && body.type === '/problems/not-signed-in') return 'not signed in';
  if (status === 403 && 'permission' in route && body.permission === route.permission) return 'not allowed';
  if (status === 404 && body.detail === 'There is no such gym here.') return 'no such gym';
  return `${status} ${JSON.stringify(body)}`;
};

/** What the written table says, computed without the service's own code. */
function expected(route: Route, { role, everywhere }: Caller, place: Place): Answered {
  const namesGym = route.path.includes('{gymId}');
  if (namesGym && place === 'at a gym of another franchise') return 'no such gym';
  if (namesGym && (role === null || (place === 'at another gym of the franchise' && !everywhere))) return 'no such gym';
  if (!('permission' in route) || route.permission === 'signed-in') return 'let in';
  const scope = role === null ? undefined : written[route.permission]?.[role];
  const reaches = scope === 'franchise' || everywhere || namesGym || route.anyGym;
  return scope !== undefined && reaches && (route.scopes as string[]).includes(scope) ? 'let in' : 'not allowed';
}

describe.each(routes.map((route) => ({ route, called: `${route.method.toUpperCase()} ${route.path}` })))(
  '$called',
  ({ route }) => {
    test('opens to those that the table names, where it names them', async () => {
      const places = route.path.includes('{gymId}') ? PLACES : PLACES.slice(0, 1);
      const tried = callers.flatMap((caller) =>
        places.map((place) => ({ caller, place, as: `${caller.who} ${place}` })),
      );
      const got: Record<string, Answered> = {};
      for (const { caller, place, as } of tried) {
        const headers = { Authorization: `Bearer ${api.tokens.issue(caller.member)}` };
        got[as] = await answered(route, gymAt[place], headers);
      }
      expect(got).toEqual(
        Object.fromEntries(tried.map(({ caller, place, as }) => [as, expected(route, caller, place)])),
      );
    });

    test(route.kind === 'public' ? 'opens without a token' : 'is shut without a token', async () => {
      const door = route.kind === 'public' ? 'let in' : 'not signed in';
      expect(await answered(route, gymAt['at the own gym'], {})).toBe(door);
    });
  },
);

test('a route that names a gym is one that checks it', () => {
  const unchecked = routes.filter((route) => !('permission' in route) && route.path.includes('{gymId}'));
  expect(unchecked.map(({ path }) => path)).toEqual([]);
});

test('a permission that no route declares and no operation asks for is not in the table', async () => {
  const declared = new Set(routes.flatMap((route) => ('permission' in route ? [route.permission] : [])));
  const { sourceFiles } = await import('./support/source.ts');
  const files = (await sourceFiles()).filter(
    ({ path }) => path.startsWith('features/') || path.startsWith('enforcement/'),
  );
  const unused = Object.keys(PERMISSIONS).filter(
    (permission) =>
      !declared.has(permission as keyof typeof PERMISSIONS) &&
      !files.some(({ text }) => text.includes(`'${permission}'`)),
  );
  expect(unused).toEqual([]);
});
