import { type Finding, type Floor, narrowed, newlyUncovered, type Span, textsIn } from '../cover/index.ts';
import { belongsToGym } from '../platform/auth/permissions.ts';
import type { Context } from '../platform/context.ts';
import { Problem } from '../platform/problem.ts';
import { changedSpan } from './changed-span.ts';
import { describeFindings, describeRefusals } from './describe.ts';
import { type Floors, loadFloors, type Misplaced, misplaced } from './floors.ts';
import type { GymFloor } from './load-floor.ts';
import { bumpHeld, type CoverLock } from './lock.ts';
import { loadNames } from './names.ts';
import type { RefusalOnWire } from './wire.ts';

/**
 * Runs a choice: `write` changes what is stored, and stands only if nobody is then where no cover can excuse it and no
 * confirmed block that was covered is left uncovered. The days it may touch are those of the lock.
 *
 * @throws Problem `not-admissible`, or `cover-broken` with findings and remedies.
 */
export async function asChoice<T>(
  ctx: Context,
  lock: CoverLock,
  write: (before: Floors) => Promise<T>,
): Promise<{ done: T; after: Floors }> {
  const before = await loadFloors(ctx, lock);
  const done = await write(before);
  await bumpHeld(ctx, lock);
  const after = await loadFloors(ctx, lock);
  for (const then of after) {
    const was = before.find(({ gymId, day }) => gymId === then.gymId && day === then.day)?.floor ?? emptied(then.floor);
    const span = changedSpan(was, then.floor);
    if (span === null) continue;
    await refuseMisplacing(ctx, { ...then, floor: was }, then, span);
    await refuseUncovering(ctx, was, then, span);
  }
  return { done, after };
}

/** A day of which nothing was read, since there was nothing on it that could break. */
const emptied = (floor: Floor): Floor => ({ ...floor, blocks: [], athletes: [], staff: [], overrides: [] });

async function refuseMisplacing(ctx: Context, before: GymFloor, after: GymFloor, span: Span): Promise<void> {
  const now = misplaced(after, ctx.now, span);
  if (now.length === 0) return;
  const key = ({ personId, place }: Misplaced) => JSON.stringify([personId, place]);
  const already = new Set(misplaced(before, ctx.now, span).map(key));
  const news = now.filter((one) => !already.has(key(one)));
  if (news.length > 0) throw await notAdmissible(ctx, news);
}

/** The refusal for somebody put where they may not be: each reason with its sentence, where the caller may know the gym. */
export async function notAdmissible(ctx: Context, news: readonly Misplaced[]): Promise<Problem> {
  const sentence = textsIn(ctx.language).atAnotherGym;
  const refusals: RefusalOnWire[] = [];
  for (const one of news) {
    const isKnown = belongsToGym(ctx.roles, one.at.gymId);
    const described = describeRefusals(await loadNames(ctx, one.at), one);
    refusals.push(...(isKnown ? described : described.map((refusal) => ({ ...refusal, sentence }))));
  }
  return new Problem('not-admissible', refusals.map((one) => one.sentence).join(' '), { refusals });
}

/** Refuses when a confirmed block that has not ended is uncovered after, and was not before. */
async function refuseUncovering(ctx: Context, before: Floor, after: GymFloor, span: Span): Promise<void> {
  const hasNotEnded = new Set(
    after.floor.blocks.filter((block) => block.span.to > ctx.now.getTime()).map(({ id }) => id),
  );
  const lost = newlyUncovered(narrowed(before, span), narrowed(after.floor, span)).filter(({ block }) =>
    hasNotEnded.has(block),
  );
  if (lost.length === 0) return;
  throw await uncovered(
    ctx,
    'cover-broken',
    after,
    lost.flatMap(({ findings }) => findings),
    losing(before, after.floor),
  );
}

/** Who gives up a place: whoever made the choice does not want to hear that they could stay. */
function losing(before: Floor, after: Floor): Set<string> {
  const kept = new Map(
    after.staff.map(({ person, at }) => [person, new Set(at.map((place) => JSON.stringify(place)))]),
  );
  const loses = before.staff.filter(({ person, at }) =>
    at.some((place) => !kept.get(person)?.has(JSON.stringify(place))),
  );
  return new Set(loses.map(({ person }) => person));
}

/** The refusal for findings: each with its sentence, and the changes that would clear it, verified; `notOffered` are people to leave out of them. */
export async function uncovered(
  ctx: Context,
  name: 'cover-broken' | 'not-covered',
  at: GymFloor,
  findings: readonly Finding[],
  notOffered: ReadonlySet<string> = new Set(),
): Promise<Problem> {
  if (!belongsToGym(ctx.roles, at.gymId)) {
    return new Problem(name, textsIn(ctx.language).uncoveredAtAnotherGym, { findings: [], remedies: [], nearest: [] });
  }
  const distinct = [...new Map(findings.map((one) => [JSON.stringify(one, withoutBigInt), one])).values()];
  const described = await describeFindings(ctx, at, distinct, { notOffered });
  const detail = described.findings
    .map(({ sentence }) => sentence)
    .slice(0, 3)
    .join(' ');
  return new Problem(name, detail, { ...described });
}

const withoutBigInt = (_key: string, value: unknown) => (typeof value === 'bigint' ? value.toString() : value);
