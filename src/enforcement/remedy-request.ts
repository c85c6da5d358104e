import type { Change, Names, Place, Span } from '../cover/index.ts';
import type { GymFloor } from './load-floor.ts';

/** A change in words, and as the request that makes it. */
export interface Remedy {
  sentence: string;
  request: { method: 'POST'; path: string; body: Record<string, unknown> } | null;
}

/** What to send to make a change that the engine offers; null where the change is made elsewhere, such as in the plan. */
export function requestFor(change: Change, at: GymFloor, names: Names): Remedy {
  const gym = `/v1/gyms/${at.gymId}`;
  if ('move' in change) {
    return {
      sentence: `${names.person(change.move)} could ${DUTY[change.to.duty]} at ${names.unit(change.to.unit)}, ${times(change.to.span, names)}.`,
      request: { method: 'POST', path: placePath(gym, change.to), body: placeBody(change.move, change.to) },
    };
  }
  if ('swap' in change) {
    const [first, second] = change.swap;
    return {
      sentence: `${names.person(first)} and ${names.person(second)} could change places, ${times(change.span, names)}.`,
      request: { method: 'POST', path: `${gym}/swaps`, body: { personIds: change.swap, ...momentsOf(change.span) } },
    };
  }
  if ('merge' in change) {
    const [into, from] = change.merge;
    return {
      sentence: `${names.unit({ per: 'block', id: from })} could join ${names.unit({ per: 'block', id: into })}.`,
      request: null,
    };
  }
  if ('station' in change) {
    return { sentence: `${names.station(change.station)} could step down to an easier drill.`, request: null };
  }
  return {
    sentence: `${names.unit({ per: 'block', id: change.block })} could admit at most ${change.admitAtMost}.`,
    request: null,
  };
}

const DUTY = { lead: 'lead', assist: 'assist', shadow: 'shadow', oversee: 'oversee' } as const;

const momentsOf = (span: Span) => ({
  startsAt: new Date(span.from).toISOString(),
  endsAt: new Date(span.to).toISOString(),
});

function placePath(gym: string, { unit }: Place): string {
  if (unit.per === 'block') return `${gym}/blocks/${unit.id}/assignments`;
  if (unit.per === 'session') return `${gym}/sessions/${unit.id}/assignments`;
  return `${gym}/premises/assignments`;
}

const placeBody = (personId: string, { unit, duty, span }: Place) => ({
  personId,
  ...(unit.per === 'session' ? {} : { duty }),
  ...momentsOf(span),
  givingUpOthers: true,
});

function times(span: Span, names: Names): string {
  const at = (moment: number) =>
    new Intl.DateTimeFormat('en-GB', { timeZone: names.zone, hour: '2-digit', minute: '2-digit' }).format(moment);
  return `${at(span.from)} to ${at(span.to)}`;
}
