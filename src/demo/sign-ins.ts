import type { Role } from '../platform/auth/permissions.ts';
import { GYMS, type GymKey } from './data/place.ts';
import { STAFF, type StaffKey } from './data/staff.ts';

/** The password of every demo account: known to everybody, so the demo is not for data that matter. */
export const DEMO_PASSWORD = 'somersault-tuesday';

export interface DemoSignIn {
  role: Role;
  email: string;
  /** Null: for the whole franchise. */
  gym: GymKey | null;
  /** Who of the staff it is. */
  staff: StaffKey | null;
}

export const SIGN_INS = {
  owner: { role: 'owner', email: 'owner@fernlarch.example.org', gym: null, staff: null },
  lead: { role: 'programme_lead', email: 'lead@fernlarch.example.org', gym: null, staff: null },
  manager: { role: 'manager', email: 'mara@fernlarch.example.org', gym: 'quillmere', staff: 'mara' },
  desk: { role: 'desk', email: 'hugo@fernlarch.example.org', gym: 'quillmere', staff: 'hugo' },
  coach: { role: 'coach', email: 'iris@fernlarch.example.org', gym: 'quillmere', staff: 'iris' },
} as const satisfies Record<string, DemoSignIn>;
export type SignInKey = keyof typeof SIGN_INS;

/** "Mara Elderquay, Quillmere". */
export function whoIs({ role, gym, staff }: DemoSignIn): string {
  if (gym === null || staff === null) return role === 'owner' ? 'runs all gyms' : 'plans for all gyms';
  return `${STAFF[staff].given} ${STAFF[staff].family}, ${GYMS[gym].name}`;
}
