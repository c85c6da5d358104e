import type { HeldRole } from '../auth/permissions.ts';
import type { Claims } from '../auth/tokens.ts';
import type { Context, PathGym } from '../context.ts';
import type { Tx } from '../db/tenant.ts';
import type { Language } from '../language.ts';
import { Problem } from '../problem.ts';
import type { Message } from './stream.ts';
import { contextOf, viewOf } from './view.ts';

export interface Admitted {
  personId: string | null;
  roles: readonly HeldRole[];
  gym: PathGym | null;
}

/** What one stream shows, to whoever reads it. */
export interface Showing {
  /** The same for all who are shown the same, but for what they may see of it. */
  name: string;
  franchiseId: string;
  gymId: string;
  /** Who the reader is at this moment; refuses one who may not read any more. */
  admit(tx: Tx, claims: Claims): Promise<Admitted>;
  read(ctx: Context): Promise<Message>;
}

/** Somebody a stream is shown to. */
export interface Reader {
  claims: Claims;
  language: Language;
}

export type Shown = Message | Problem;

/** Of one sign-in and language, which see the same. */
export const readerKey = ({ claims, language }: Reader) => `${claims.signInId} ${language}`;

/** What each reader is shown, or why they are shown nothing any more; read once for all who may see the same. */
export async function showAll(
  showing: Showing,
  readers: readonly Reader[],
  tx: Tx,
  now: Date,
): Promise<Map<string, Shown>> {
  const { franchiseId } = showing;
  const signedIn = new Map(readers.map(({ claims }) => [claims.signInId, claims]));
  // All of them at once: one round trip, however many look.
  const who = new Map(
    await Promise.all(
      [...signedIn].map(async ([id, claims]) => [id, await orRefused(() => showing.admit(tx, claims))] as const),
    ),
  );
  const byReader = new Map<string, Shown>();
  const byView = new Map<string, Shown>();
  for (const { claims, language } of readers) {
    const admitted = who.get(claims.signInId);
    if (admitted === undefined) continue;
    const reader = readerKey({ claims, language });
    if (admitted instanceof Problem) {
      byReader.set(reader, admitted);
      continue;
    }
    const view = { ...viewOf(admitted, showing.gymId), language };
    const key = JSON.stringify(view);
    const { gym } = admitted;
    const shown =
      byView.get(key) ?? (await orRefused(() => showing.read(contextOf(view, { tx, franchiseId, gym, now }))));
    byView.set(key, shown);
    byReader.set(reader, shown);
  }
  return byReader;
}

const orRefused = <T>(work: () => Promise<T>): Promise<T | Problem> =>
  work().catch((fault: unknown) => {
    if (fault instanceof Problem) return fault;
    throw fault;
  });
