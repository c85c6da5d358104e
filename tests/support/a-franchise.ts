import type { Role } from '../../src/platform/auth/permissions.ts';
import { asTenant, type Tx } from '../../src/platform/db/tenant.ts';
import { newId } from '../../src/platform/ids.ts';
import * as t from '../../src/tables/index.ts';
import type { SignedIn } from './api.ts';
import type { TestDatabase } from './database.ts';

/** A member of a franchise who may be called as: `api.as(f.owner)`. */
export interface Member extends SignedIn {
  email: string;
  /** The person behind the account, where there is one. */
  personId: string | null;
}

export const APPARATUS = ['floor', 'vault', 'bars', 'beam'] as const;
export type ApparatusName = (typeof APPARATUS)[number];

export interface TestGym {
  id: string;
  zone: string;
  /** One area an apparatus, called after it. */
  areas: Record<ApparatusName, string>;
}

/** A franchise with its gyms, and somebody in every role at every gym. */
export interface Franchise {
  id: string;
  /** Arranges rows of this franchise as the owner of the database, past the service. */
  arrange<T>(work: (tx: Tx) => Promise<T>): Promise<T>;
  gyms: [TestGym, ...TestGym[]];
  /** The first gym. */
  gym: TestGym;
  apparatus: Record<ApparatusName, string>;
  owner: Member;
  lead: Member;
  managerOf(gym: TestGym): Member;
  deskOf(gym: TestGym): Member;
  /** On the staff, employed at that gym since 2020, born in 1990. */
  coachOf(gym: TestGym): Member & { personId: string };
}

export interface FranchiseOptions {
  name?: string;
  gyms?: number;
  zone?: string;
  /** 0: blocks are confirmed by hand alone. */
  confirmWindowDays?: number;
  leapDay?: '03-01' | '02-28';
}

const DUTIES = ['lead', 'assist', 'shadow', 'oversee'] as const;
const ANYONE = { test: 'all' as const, of: [] };

/** When what the builders arrange was written down: before anything that a test does. */
export const PLANNED_AT = new Date('2026-01-05T09:00:00Z');

/** Writes a franchise into the database directly. Its duty rules ask nothing of anybody: set your own where it matters. */
export async function aFranchise(
  { database }: { database: Pick<TestDatabase, 'ownerPool'> },
  options: FranchiseOptions = {},
): Promise<Franchise> {
  const franchiseId = newId();
  const ours = { franchiseId };
  const arrange: Franchise['arrange'] = (work) => asTenant(database.ownerPool, franchiseId, {}, work);

  return arrange(async (tx) => {
    await tx
      .insert(t.franchises)
      .values({ ...ours, name: options.name ?? 'Saltmarsh Gymnastics', leapDay: options.leapDay });
    await tx.insert(t.coverHeads).values(ours);
    await tx.insert(t.dutyRules).values(DUTIES.map((duty) => ({ ...ours, duty, who: ANYONE })));

    const apparatus = byName(() => newId());
    await tx.insert(t.apparatus).values(APPARATUS.map((name) => ({ ...ours, id: apparatus[name], name })));

    const gyms: TestGym[] = Array.from({ length: options.gyms ?? 1 }, () => ({
      id: newId(),
      zone: options.zone ?? 'Europe/Dublin',
      areas: byName(() => newId()),
    }));
    await tx.insert(t.gyms).values(
      gyms.map(({ id, zone }, index) => ({
        ...ours,
        id,
        zone,
        name: `Gym ${index + 1}`,
        confirmWindowDays: options.confirmWindowDays,
      })),
    );
    const areas = gyms.flatMap((gym) =>
      APPARATUS.map((name) => ({ ...ours, id: gym.areas[name], gymId: gym.id, name })),
    );
    await tx.insert(t.areas).values(areas);
    await tx
      .insert(t.areaApparatus)
      .values(areas.map(({ id, name }) => ({ ...ours, areaId: id, apparatusId: apparatus[name], items: 2 })));

    const at = new Map<string, { manager: Member; desk: Member; coach: Member & { personId: string } }>();
    for (const gym of gyms) {
      const personId = newId();
      await tx.insert(t.persons).values({ ...ours, id: personId });
      await tx.insert(t.personNames).values({ ...ours, personId, given: 'Ciara', family: 'Doyle' });
      await tx.insert(t.staffMembers).values({ ...ours, personId, born: '1990-05-01' });
      await tx
        .insert(t.employments)
        .values({ ...ours, id: newId(), personId, gymId: gym.id, from: '2020-01-01', createdAt: PLANNED_AT });
      at.set(gym.id, {
        manager: await insertMember(tx, franchiseId, { role: 'manager', gym }),
        desk: await insertMember(tx, franchiseId, { role: 'desk', gym }),
        coach: { ...(await insertMember(tx, franchiseId, { role: 'coach', gym, personId })), personId },
      });
    }
    const [gym, ...more] = gyms;
    if (!gym) throw new Error('a franchise has at least one gym');
    return {
      id: franchiseId,
      arrange,
      gyms: [gym, ...more],
      gym,
      apparatus,
      owner: await insertMember(tx, franchiseId, { role: 'owner' }),
      lead: await insertMember(tx, franchiseId, { role: 'programme_lead' }),
      managerOf: ({ id }) => at.get(id)!.manager,
      deskOf: ({ id }) => at.get(id)!.desk,
      coachOf: ({ id }) => at.get(id)!.coach,
    };
  });
}

export interface MemberOptions {
  /** Left out: a member without any role. */
  role?: Role;
  /** Left out: for the whole franchise. */
  gym?: TestGym;
  personId?: string;
}

/** One more member, signed in. */
export const aMember = (f: Franchise, options: MemberOptions): Promise<Member> =>
  f.arrange((tx) => insertMember(tx, f.id, options));

async function insertMember(tx: Tx, franchiseId: string, { role, gym, personId }: MemberOptions): Promise<Member> {
  const accountId = newId();
  const signInId = newId();
  const email = `${role ?? 'nobody'}.${accountId}@example.org`;
  await tx.insert(t.accounts).values({ id: accountId, email });
  await tx.insert(t.accountFranchises).values({ accountId, franchiseId });
  await tx.insert(t.members).values({ franchiseId, accountId, personId: personId ?? null });
  await tx.insert(t.signIns).values({ id: signInId, accountId, franchiseId });
  if (role)
    await tx.insert(t.memberships).values({ franchiseId, id: newId(), accountId, role, gymId: gym?.id ?? null });
  return { accountId, franchiseId, signInId, email, personId: personId ?? null };
}

const byName = (make: () => string): Record<ApparatusName, string> => ({
  floor: make(),
  vault: make(),
  bars: make(),
  beam: make(),
});
