import {
  type Change,
  type Finding,
  type Floor,
  firstSteps,
  type Names,
  refusalSentence,
  remedies,
} from '../cover/index.ts';
import { belongsToGym } from '../platform/auth/permissions.ts';
import type { Context } from '../platform/context.ts';
import type { Misplaced } from './floors.ts';
import type { GymFloor } from './load-floor.ts';
import { loadNames } from './names.ts';
import { requestFor } from './remedy-request.ts';
import type { Settled } from './settle.ts';
import {
  type FindingOnWire,
  findingOnWire,
  type RefusalOnWire,
  type RemedyOnWire,
  type SettledOnWire,
} from './wire.ts';

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
    mend = true,
  }: { named?: (at: GymFloor) => Promise<Names>; notOffered?: ReadonlySet<string>; mend?: boolean } = {},
): Promise<{ findings: FindingOnWire[]; remedies: RemedyOnWire[] }> {
  const names = await named(at);
  const uncovering = findings.filter(({ strength, override }) => strength === 'refuse' && override === null);
  const steps = uncovering.slice(0, mend ? MOST_MENDED : 0).flatMap((finding) => stepsFor(at.floor, finding));
  const offered = steps.filter(({ change }) => !('move' in change && notOffered.has(change.move)));
  const distinct = new Map(offered.map((step) => [JSON.stringify(step.change), step]));
  return {
    findings: findings.map((finding) => findingOnWire(finding, names)),
    remedies: [...distinct.values()].slice(0, MOST_REMEDIES).map(({ change, still }) => {
      const { sentence: what, request } = requestFor(change, at, names);
      if (still === null) return { sentence: what, clears: true, request };
      return { sentence: `${what} It would still fall short by ${mixed(still.short)}.`, clears: false, request };
    }),
  };
}

/** What would clear a finding; where nobody alone can, also who would come nearest, and what is then left of it. */
function stepsFor(floor: Floor, finding: Finding): { change: Change; still: Finding | null }[] {
  const clearing = remedies(floor, finding);
  const enough = clearing.map((change) => ({ change, still: null }));
  return clearing.some((change) => 'move' in change) ? enough : [...enough, ...firstSteps(floor, finding)];
}

/** A fraction for people: "1 1/2". */
function mixed({ n, d }: Finding['short']): string {
  const [whole, rest] = [n / d, n % d];
  return rest === 0n ? `${whole}` : `${whole === 0n ? '' : `${whole} `}${rest}/${d}`;
}

/** Remedies are tried one by one against the whole floor: for the first few findings only. */
const MOST_MENDED = 4;
const MOST_REMEDIES = 12;
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
  const shown = [...released, ...unconfirmed].filter(isShown).length;
  const answer: SettledOnWire = {
    released: [],
    unconfirmed: [],
    atOtherGyms: released.length + unconfirmed.length - shown,
  };
  for (const { assignmentId, at, personId, place, refusals } of released.filter(isShown)) {
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
  for (const [index, { blockId, at, findings }] of unconfirmed.filter(isShown).entries()) {
    const names = await named(at);
    const described = await describeFindings(ctx, at, findings, { named, mend: index < MOST_BLOCKS_MENDED });
    answer.unconfirmed.push({
      gymId: at.gymId,
      blockId,
      name: names.unit({ per: 'block', id: blockId }),
      ...described,
    });
  }
  return answer;
}
