import { z } from 'zod';
import { SettledOnWire } from '../../enforcement/wire.ts';
import { LONGEST_BYTES } from '../../platform/auth/passwords.ts';
import { ROLES } from '../../platform/auth/permissions.ts';
import { Email, Id, Instant, Line, Name, PageQuery, page, Revision } from '../../platform/http/wire.ts';

const tooLong = `Expected at most ${LONGEST_BYTES} bytes in UTF-8; choose a shorter password.`;
const fits = (password: string) => Buffer.byteLength(password) <= LONGEST_BYTES;
const SHORTEST = 10;

export const Password = z
  .string()
  .min(1, 'Expected a password.')
  .max(LONGEST_BYTES, { error: tooLong, abort: true })
  .refine(fits, tooLong)
  .meta({ description: `At most ${LONGEST_BYTES} bytes in UTF-8`, format: 'password' });
export const NewPassword = z
  .string()
  .min(SHORTEST, `Expected at least ${SHORTEST} characters; several words do well.`)
  .max(LONGEST_BYTES, { error: tooLong, abort: true })
  .refine(fits, tooLong)
  .meta({
    description: `At least ${SHORTEST} characters, at most ${LONGEST_BYTES} bytes in UTF-8`,
    format: 'password',
  });

/** 256 bits in base64url. */
const Secret = z.string().max(64);
export const Role = z.enum(ROLES).meta({ id: 'Role' });

const gymOrAll = Id.nullable().meta({ description: 'The gym it is for; null is the whole franchise' });
const HeldRole = z.strictObject({ role: Role, gymId: gymOrAll }).meta({ id: 'HeldRole' });

export const Who = z
  .strictObject({
    accountId: Id,
    email: Email,
    franchise: z.strictObject({ id: Id, name: Name }),
    person: z
      .strictObject({ id: Id, given: Name.nullable(), family: Name.nullable() })
      .nullable()
      .meta({ description: 'The account’s person in this franchise; names are null once erased' }),
    roles: z.array(HeldRole).max(500),
    gyms: z
      .array(z.strictObject({ id: Id, name: Name }))
      .max(500)
      .meta({ description: 'The gyms that the roles name; with a role for the whole franchise, see `listGyms`' }),
  })
  .meta({ id: 'Who' });
export type Who = z.output<typeof Who>;

export const SignIn = z
  .strictObject({
    email: Email,
    password: Password,
    franchiseId: Id.optional().meta({ description: 'Needed by an account in several franchises' }),
  })
  .meta({ id: 'SignIn' });
export type SignIn = z.output<typeof SignIn>;

const tokens = {
  accessToken: z.string().max(2000).meta({ description: 'Send as `Authorization: Bearer …`' }),
  refreshToken: Secret.meta({ description: 'Good once, for the next pair' }),
  expiresAt: Instant.meta({ description: 'When the access token ends' }),
};
export const TokenPair = z.strictObject(tokens).meta({ id: 'TokenPair' });
export type TokenPair = z.output<typeof TokenPair>;
export const SignedIn = z.strictObject({ ...tokens, who: Who }).meta({ id: 'SignedIn' });
export type SignedIn = z.output<typeof SignedIn>;
export const Refresh = z.strictObject({ refreshToken: Secret }).meta({ id: 'Refresh' });

export const PasswordChange = z.strictObject({ current: Password, new: NewPassword }).meta({ id: 'PasswordChange' });
export type PasswordChange = z.output<typeof PasswordChange>;

export const OneTimeLink = z
  .strictObject({
    token: Secret.meta({ description: 'For `redeemLink`; shown this once' }),
    expiresAt: Instant,
  })
  .meta({ id: 'OneTimeLink' });
export type OneTimeLink = z.output<typeof OneTimeLink>;
export const Redemption = z
  .strictObject({
    token: Secret,
    password: NewPassword.meta({
      description: 'The new password; for an invitation of somebody who has an account already, the one they have',
    }),
  })
  .meta({ id: 'Redemption' });
export type Redemption = z.output<typeof Redemption>;
export const Redeemed = z.strictObject({ email: Email, franchiseId: Id }).meta({ id: 'Redeemed' });
export type Redeemed = z.output<typeof Redeemed>;

export const UserRef = z.strictObject({ accountId: Id });
export const UserRoleRef = UserRef.extend({ roleId: Id });

export const NewUser = z
  .strictObject({
    email: Email,
    role: Role,
    gymId: gymOrAll,
    personId: Id.optional().meta({ description: 'Who they are here: somebody on the staff, for one' }),
  })
  .meta({ id: 'NewUser' });
export type NewUser = z.output<typeof NewUser>;
export const NewRole = z.strictObject({ role: Role, gymId: gymOrAll }).meta({ id: 'NewRole' });
export type NewRole = z.output<typeof NewRole>;
export const UserChanges = z.strictObject({ personId: Id.nullable() }).meta({ id: 'UserChanges' });

export const USER_STATES = ['invited', 'active', 'deactivated'] as const;
export const User = z
  .strictObject({
    accountId: Id,
    email: Email,
    personId: Id.nullable(),
    state: z.enum(USER_STATES),
    roles: z
      .array(z.strictObject({ id: Id, role: Role, gymId: gymOrAll }))
      .max(500)
      .meta({ description: 'Those at gyms whose users you manage, and those for the whole franchise' }),
    revision: Revision,
  })
  .meta({ id: 'User' });
export type User = z.output<typeof User>;
export const UserPage = page(User, 'UserPage');
export const UserQuery = z.strictObject({
  ...PageQuery,
  email: Email.optional().meta({ description: 'Only the user with this address' }),
  gymId: Id.optional().meta({ description: 'Only users with a role at this gym' }),
});
export type UserQuery = z.output<typeof UserQuery>;
export const Invited = z
  .strictObject({
    user: User,
    link: OneTimeLink.nullable().meta({ description: 'Null for somebody who has joined this franchise before' }),
  })
  .meta({ id: 'Invited' });
export type Invited = z.output<typeof Invited>;

const franchise = {
  name: Line(120),
  leapDay: z.enum(['03-01', '02-28']).meta({
    description: 'When somebody born on 29 February has their birthday in a common year (month-day)',
  }),
  travelMinutes: z.int().min(0).max(1440).meta({ description: 'What it takes to get from any gym to another' }),
};
export const Franchise = z.strictObject({ id: Id, ...franchise, revision: Revision }).meta({ id: 'Franchise' });
export type Franchise = z.output<typeof Franchise>;
export const FranchiseChanges = z.strictObject(franchise).partial().meta({ id: 'FranchiseChanges' });
export type FranchiseChanges = z.output<typeof FranchiseChanges>;
export const ChangedFranchise = Franchise.extend({ settled: SettledOnWire }).meta({ id: 'ChangedFranchise' });
export type ChangedFranchise = z.output<typeof ChangedFranchise>;
