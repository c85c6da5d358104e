import { type Change, type Names, type Place, type Span, textsIn } from '../cover/index.ts';
import { partsOf } from './easier.ts';
import type { GymFloor } from './load-floor.ts';
import type { RemedyOnWire } from './wire.ts';

/** A change in words, and as the request that makes it; or what has to be decided by hand instead. */
export type Remedy = Pick<RemedyOnWire, 'sentence' | 'kind' | 'request' | 'byHand'>;

/** What to send to make a change that the engine offers. `drill` names drills. */
export function requestFor(change: Change, at: GymFloor, names: Names, drill: (id: string) => string): Remedy {
  const { remedies: say, span: times } = textsIn(names.language);
  const gym = `/v1/gyms/${at.gymId}`;
  const post = (path: string, body: Record<string, unknown>) => ({ method: 'POST' as const, path: gym + path, body });
  if ('move' in change) {
    return {
      sentence: say.move({
        who: names.person(change.move),
        duty: change.to.duty,
        unit: names.unit(change.to.unit),
        span: times(change.to.span, names.zone),
      }),
      kind: 'move',
      request: post(placePath(change.to), placeBody(change.move, change.to)),
      byHand: null,
    };
  }
  if ('swap' in change) {
    const [first, second] = change.swap;
    return {
      sentence: say.swap({
        first: names.person(first),
        second: names.person(second),
        span: times(change.span, names.zone),
      }),
      kind: 'swap',
      request: post('/swaps', { personIds: change.swap, ...momentsOf(change.span) }),
      byHand: null,
    };
  }
  const block = (id: string) => names.unit({ per: 'block', id });
  if ('merge' in change) {
    const [into, from] = change.merge.map((id) => at.floor.blocks.find((one) => one.id === id));
    const groups = { intoGroupId: into?.group, fromGroupId: from?.group };
    return {
      sentence: say.merge({ from: block(change.merge[1]), into: block(change.merge[0]) }),
      kind: 'merge',
      request: into ? post(`/sessions/${into.session}/merge-groups`, groups) : null,
      byHand: null,
    };
  }
  if ('station' in change) {
    const { blockId, stationId } = partsOf(change.station);
    const reason = say.stepDownReason;
    return {
      sentence: say.stepDown({
        block: block(blockId),
        station: names.station(change.station),
        drill: drill(change.stepTo),
      }),
      kind: 'step-down',
      request: post(`/blocks/${blockId}/step-downs`, { stationId, drillId: change.stepTo, reason }),
      byHand: null,
    };
  }
  return {
    sentence: say.admitFewer({ block: block(change.block), most: change.admitAtMost }),
    kind: 'admit-fewer',
    request: null,
    byHand: say.admitFewerByHand,
  };
}

const momentsOf = (span: Span) => ({
  startsAt: new Date(span.from).toISOString(),
  endsAt: new Date(span.to).toISOString(),
});

function placePath({ unit }: Place): string {
  if (unit.per === 'block') return `/blocks/${unit.id}/assignments`;
  if (unit.per === 'session') return `/sessions/${unit.id}/assignments`;
  return '/premises/assignments';
}

const placeBody = (personId: string, { unit, duty, span }: Place) => ({
  personId,
  ...(unit.per === 'session' ? {} : { duty }),
  ...momentsOf(span),
  givingUpOthers: true,
});
