import { and, asc, eq, gt } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { type CHAINS, incidentHeads, incidentLinks } from '../../tables/incidents.ts';
import type { IncidentRow } from './access.ts';
import { BEGINNING, canonical, linkHash, sha256 } from './canonical.ts';
import { contentsOf, firstUnlinked, type Linked } from './contents.ts';
import type { Verified } from './schema.ts';

// Two chains of hashes a gym, one of them for its safeguarding concerns: each link vouches for what it is about and for the link before it. Whoever changes, takes
// away or slips in a row behind the service's back breaks it, unless they write every later link anew: that shows to
// whoever kept the head.

export type Chain = (typeof CHAINS)[number];

const headOf = (ctx: Context, gymId: string, chain: Chain) =>
  and(ours(ctx, incidentHeads), eq(incidentHeads.gymId, gymId), eq(incidentHeads.chain, chain));

/** Adds the next link, in the transaction of what it vouches for; gives its number. The chain's head is held until it ends. */
export async function link(
  ctx: Context,
  { id: incidentId, gymId, kind }: Pick<IncidentRow, 'id' | 'gymId' | 'kind'>,
  what: Linked,
  subjectId: string,
): Promise<number> {
  const { franchiseId, tx } = ctx;
  const chain = kind === 'safeguarding' ? 'concerns' : 'notes';
  const isItsHead = headOf(ctx, gymId, chain);
  await tx
    .insert(incidentHeads)
    .values({ franchiseId, gymId, chain, number: 0, hash: BEGINNING })
    .onConflictDoNothing();
  const [head] = await tx.select().from(incidentHeads).where(isItsHead).for('no key update');
  const content = (await contentsOf(ctx, what, [subjectId])).get(subjectId);
  if (!head || content === undefined) throw new Error(`there is no ${what} ${subjectId} to link`);
  const next = {
    number: head.number + 1,
    what,
    subjectId,
    incidentId,
    at: ctx.now,
    contentHash: sha256(canonical(content)),
    previous: head.hash,
  };
  const hash = linkHash(next);
  await tx.insert(incidentLinks).values({ franchiseId, gymId, chain, ...next, hash });
  await tx.update(incidentHeads).set({ number: next.number, hash }).where(isItsHead);
  return next.number;
}

/** Few enough that the files among them are hashed in a moment. */
const AT_ONCE = 50;

/** Follows one of a gym's chains from its beginning, computing every hash anew, to the first link that does not hold. */
export async function verifyChain(ctx: Context, gymId: string, chain: Chain): Promise<Verified> {
  const [head = { number: 0, hash: BEGINNING }] = await ctx.tx
    .select()
    .from(incidentHeads)
    .where(headOf(ctx, gymId, chain));
  let [number, hash] = [0, BEGINNING];
  const brokenAt = (at: number, incidentId: string | null, why: string): Verified => ({
    intact: false,
    links: head.number,
    head: head.hash,
    broken: { number: at, incidentId, why },
  });
  for (;;) {
    const links = await ctx.tx
      .select()
      .from(incidentLinks)
      .where(
        and(
          ours(ctx, incidentLinks),
          eq(incidentLinks.gymId, gymId),
          eq(incidentLinks.chain, chain),
          gt(incidentLinks.number, number),
        ),
      )
      .orderBy(asc(incidentLinks.number))
      .limit(AT_ONCE);
    const contents = await contentsOfAll(ctx, links);
    for (const one of links) {
      const why = whyBroken(one, { number, hash }, contents.get(`${one.what} ${one.subjectId}`));
      if (why !== null) return brokenAt(number + 1, one.incidentId, why);
      ({ number, hash } = one);
    }
    if (links.length < AT_ONCE) break;
  }
  if (number !== head.number || hash !== head.hash)
    return brokenAt(number + 1, null, 'The chain ends before its head.');
  const loose = await firstUnlinked(ctx, gymId, chain);
  if (loose) return brokenAt(number + 1, loose.incidentId, `No link vouches for this ${loose.what}.`);
  return { intact: true, links: number, head: hash, broken: null };
}

type LinkRow = typeof incidentLinks.$inferSelect;

/** The hashes of what these links are about, as it stands now. */
async function contentsOfAll(ctx: Context, links: readonly LinkRow[]): Promise<Map<string, string>> {
  const hashes = new Map<string, string>();
  for (const what of new Set(links.map((one) => one.what))) {
    const ids = links.filter((one) => one.what === what).map(({ subjectId }) => subjectId);
    for (const [id, content] of await contentsOf(ctx, what, ids))
      hashes.set(`${what} ${id}`, sha256(canonical(content)));
  }
  return hashes;
}

function whyBroken(one: LinkRow, before: { number: number; hash: string }, contentHash: string | undefined) {
  if (one.number !== before.number + 1) return 'A link is missing here.';
  if (one.previous !== before.hash) return 'It does not follow from the link before.';
  if (linkHash(one) !== one.hash) return 'The link itself was changed.';
  if (contentHash === undefined) return `The ${one.what} that it vouches for is gone.`;
  return contentHash === one.contentHash ? null : `The ${one.what} that it vouches for was changed.`;
}
