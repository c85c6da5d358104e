export const ROLES = ['owner', 'programme_lead', 'manager', 'desk', 'coach'] as const;
export type Role = (typeof ROLES)[number];

/**
 * How far a permission reaches: anything in the franchise; the gyms of the membership (all of them, when it names
 * none); the blocks that the person is assigned to; what the person wrote.
 */
export type Scope = 'franchise' | 'gym' | 'own-blocks' | 'own';

/** Who may do what. What no row names is denied. */
export const PERMISSIONS = {
  'franchise.read': {
    owner: 'franchise',
    programme_lead: 'franchise',
    manager: 'franchise',
    desk: 'franchise',
    coach: 'franchise',
  },
  'franchise.write': { owner: 'franchise' },
  'users.manage': { owner: 'franchise', manager: 'gym' },
  'gyms.read': { owner: 'franchise', programme_lead: 'franchise', manager: 'gym', desk: 'gym', coach: 'gym' },
  'gyms.create': { owner: 'franchise' },
  'gyms.write': { owner: 'franchise', manager: 'gym' },
  'curriculum.read': {
    owner: 'franchise',
    programme_lead: 'franchise',
    manager: 'franchise',
    desk: 'franchise',
    coach: 'franchise',
  },
  'curriculum.write': { owner: 'franchise', programme_lead: 'franchise' },
  'plans.adapt': { owner: 'franchise', programme_lead: 'franchise', manager: 'gym', coach: 'own-blocks' },
  'ratios.read': {
    owner: 'franchise',
    programme_lead: 'franchise',
    manager: 'franchise',
    desk: 'franchise',
    coach: 'franchise',
  },
  'ratios.write': { owner: 'franchise' },
  'ratios.add': { owner: 'franchise', manager: 'gym' },
  'cover.try': {
    owner: 'franchise',
    programme_lead: 'franchise',
    manager: 'franchise',
    desk: 'franchise',
    coach: 'franchise',
  },
  'schedule.read': { owner: 'franchise', programme_lead: 'franchise', manager: 'gym', desk: 'gym', coach: 'gym' },
  'schedule.write': { owner: 'franchise', manager: 'gym' },
  'enrolments.write': { owner: 'franchise', manager: 'gym', desk: 'gym' },
  'cover.read': { owner: 'franchise', programme_lead: 'franchise', manager: 'gym', desk: 'gym', coach: 'gym' },
  'staffing.assign': { owner: 'franchise', manager: 'gym' },
  'staffing.confirm': { owner: 'franchise', manager: 'gym' },
  'staffing.replace': { owner: 'franchise', manager: 'gym', desk: 'gym' },
  'staffing.override': { owner: 'franchise', manager: 'gym' },
  'staff.read': { owner: 'franchise', manager: 'gym', desk: 'gym' },
  'staff.write': { owner: 'franchise', manager: 'gym' },
  'athletes.read': { owner: 'franchise', manager: 'gym', desk: 'gym', coach: 'own-blocks' },
  'athletes.write': { owner: 'franchise', manager: 'gym', desk: 'gym' },
  'contacts.read': { owner: 'franchise', manager: 'gym', desk: 'gym' },
  'health.read': { owner: 'franchise', manager: 'gym', desk: 'gym', coach: 'own-blocks' },
  'health.write': { owner: 'franchise', manager: 'gym' },
  'incidents.write': { owner: 'franchise', manager: 'gym', desk: 'gym', coach: 'own-blocks' },
  'incidents.read': { owner: 'franchise', manager: 'gym', desk: 'own', coach: 'own' },
  'incidents.complete': { owner: 'franchise', manager: 'gym' },
  'incidents.count': { owner: 'franchise', programme_lead: 'franchise', manager: 'gym' },
  'attendance.read': { owner: 'franchise', manager: 'gym', desk: 'gym', coach: 'own-blocks' },
  'attendance.write': { manager: 'gym', desk: 'gym', coach: 'own-blocks' },
  'attendance.count': { owner: 'franchise', programme_lead: 'franchise', manager: 'gym', desk: 'gym', coach: 'gym' },
  'audit.read': { owner: 'franchise', manager: 'gym' },
} as const satisfies Record<string, Partial<Record<Role, Scope>>>;

export type Permission = keyof typeof PERMISSIONS;

/** A role held for one gym, or for the whole franchise (`gymId` null). */
export interface HeldRole {
  role: Role;
  gymId: string | null;
}

/** The scopes at which these roles carry a permission at a gym; `null` is no gym in particular, `'any'` is some gym. */
export function scopesOf(held: readonly HeldRole[], permission: Permission, gymId: string | 'any' | null): Set<Scope> {
  const row: Partial<Record<Role, Scope>> = PERMISSIONS[permission];
  const scopes = new Set<Scope>();
  for (const { role, gymId: at } of held) {
    const scope = row[role];
    if (scope === undefined) continue;
    if (scope === 'franchise' || gymId === 'any' || at === null || at === gymId) scopes.add(scope);
  }
  return scopes;
}

/** Does the caller belong to this gym at all? One who does not may not know that it exists. */
export const belongsToGym = (held: readonly HeldRole[], gymId: string) =>
  held.some((one) => one.gymId === null || one.gymId === gymId);

/** The gyms at which the permission holds: all of them (null), or those listed. */
export function gymsFor(held: readonly HeldRole[], permission: Permission): string[] | null {
  const row: Partial<Record<Role, Scope>> = PERMISSIONS[permission];
  const at = held.filter(({ role }) => row[role] !== undefined);
  if (at.some(({ role, gymId }) => row[role] === 'franchise' || gymId === null)) return null;
  return [...new Set(at.flatMap(({ gymId }) => (gymId === null ? [] : [gymId])))].sort();
}

/** The roles that carry a permission at one of these scopes. */
export function rolesWith(permission: Permission, scopes: readonly Scope[]): Role[] {
  const row: Partial<Record<Role, Scope>> = PERMISSIONS[permission];
  return ROLES.filter((role) => {
    const scope = row[role];
    return scope !== undefined && scopes.includes(scope);
  });
}
