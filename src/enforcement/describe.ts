import { type Finding, type Floor, type Names, refusalSentence } from '../cover/index.ts';
import { belongsToGym } from '../platform/auth/permissions.ts';
import type { Context } from '../platform/context.ts';
import type { Misplaced } from './floors.ts';
import type { GymFloor } from './load-floor.ts';
import { type Mended, mend } from './mending.ts';
import { loadNames } from './names.ts';
import type { Settled } from './settle.ts';
import { type FindingOnWire, findingOnWire, MOST_SETTLED, type RefusalOnWire, type SettledOnWire } from './wire.ts';

/** A floor's names, read once however often they are asked for. */
function namesOnce(ctx: Context): (at: GymFloor) => Promise<Names> {
  const known = new Map<Floor, Promise<Names>>();
  return (at) => {
    const names = known.get(at.floor) ?? loadNames(ctx, at);
    known.set(at.floor, names);
    return names;
  };
}

/** Findings with their sentences, and the changes that would clear them: each once, best first. */
export async function describeFindings(
  ctx: Context,
  at: GymFloor,
  findings: readonly Finding[],
  {
    named = namesOnce(ctx),
    notOffered = new Set(),
    isMended = true,
  }: { named?: (at: GymFloor) => Promise<Names>; notOffered?: ReadonlySet<string>; isMended?: boolean } = {},
): Promise<{ findings: FindingOnWire[] } & Mended> {
  const names = await named(at);
  const uncovering = findings.filter(({ strength, override }) => strength === 'refuse' && override === null);
  return {
    findings: findings.map((finding) => findingOnWire(finding, names)),
    ...(await mend(ctx, at, isMended ? uncovering : [], names, notOffered)),
  };
}

/** A fact can take the confirmation from a whole week: for its later blocks, their own cover has the remedies. */
const MOST_BLOCKS_MENDED = 10;

/** Refusals with their sentences. */
export function describeRefusals(
  names: Names,
  { personId, refusals }: Pick<Misplaced, 'personId' | 'refusals'>,
): RefusalOnWire[] {
  return refusals.map((refusal) => ({
    why: refusal.why,
    personId,
    sentence: refusalSentence(refusal, names, personId),
    startsAt: new Date(refusal.span.from).toISOString(),
    endsAt: new Date(refusal.span.to).toISOString(),
  }));
}

/** What a fact led to, in words, with remedies for each block that lost its confirmation. */
export async function settledOnWire(ctx: Context, { released, unconfirmed }: Settled): Promise<SettledOnWire> {
  const named = namesOnce(ctx);
  const isShown = ({ at }: { at: GymFloor }) => belongsToGym(ctx.roles, at.gymId);
  const shown = { released: released.filter(isShown), unconfirmed: unconfirmed.filter(isShown) };
  const all = shown.released.length + shown.unconfirmed.length;
  const listed = {
    released: shown.released.slice(0, MOST_SETTLED),
    unconfirmed: shown.unconfirmed.slice(0, MOST_SETTLED),
  };
  const answer: SettledOnWire = {
    released: [],
    unconfirmed: [],
    atOtherGyms: released.length + unconfirmed.length - all,
    notListed: all - listed.released.length - listed.unconfirmed.length,
  };
  for (const { assignmentId, at, personId, place, refusals } of listed.released) {
    answer.released.push({
      assignmentId,
      gymId: at.gymId,
      personId,
      unit: place.unit,
      startsAt: new Date(place.span.from).toISOString(),
      endsAt: new Date(place.span.to).toISOString(),
      refusals: describeRefusals(await named(at), { personId, refusals }),
    });
  }
  for (const [index, { blockId, at, findings }] of listed.unconfirmed.entries()) {
    const names = await named(at);
    const described = await describeFindings(ctx, at, findings, { named, isMended: index < MOST_BLOCKS_MENDED });
    answer.unconfirmed.push({
      gymId: at.gymId,
      blockId,
      name: names.unit({ per: 'block', id: blockId }),
      ...described,
    });
  }
  return answer;
}
