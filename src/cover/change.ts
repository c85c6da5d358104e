import { common } from './hall.ts';
import { overlaps } from './passes.ts';
import type { Athlete, Block, Change, Floor, Id, Place, Span, Staff, Unit } from './types.ts';

/**
 * The floor after a change; the one given is left as it is.
 * - `move`: the person gives up whatever else they do in that span, and takes the place.
 * - `swap`: two people exchange their places within the span.
 * - `merge`: the second block's group joins the first's for all of their session; its staff follow it to the blocks that have
 *   the same span as theirs, and its own blocks are left empty.
 * - `station`, `stepTo`: the station is spotted as that easier drill is.
 * - `admitAtMost`: those listed last leave.
 * Throws a RangeError on something that is not on the floor.
 */
export function applyChange(floor: Floor, change: Change): Floor {
  if ('move' in change) return withStaff(floor, change.move, (one) => [...cut(one.at, change.to.span), change.to]);
  if ('swap' in change) return swapped(floor, change.swap, change.span);
  if ('merge' in change) return mergedInto(floor, ...change.merge);
  if ('station' in change) return steppedTo(floor, change.station, change.stepTo);
  return admittingAtMost(floor, change.block, change.admitAtMost);
}

function withStaff(floor: Floor, person: Id, places: (one: Staff) => Place[]): Floor {
  known(
    floor.staff.find((one) => one.person === person),
    'Person',
    person,
  );
  return { ...floor, staff: floor.staff.map((one) => (one.person === person ? { ...one, at: places(one) } : one)) };
}

function swapped(floor: Floor, [first, second]: [Id, Id], span: Span): Floor {
  const during = (person: Id) =>
    within(
      known(
        floor.staff.find((one) => one.person === person),
        'Person',
        person,
      ).at,
      span,
    );
  const [hers, his] = [during(first), during(second)];
  const half = withStaff(floor, first, (one) => [...cut(one.at, span), ...his]);
  return withStaff(half, second, (one) => [...cut(one.at, span), ...hers]);
}

function mergedInto(floor: Floor, into: Id, from: Id): Floor {
  const blockOf = (id: Id) =>
    known(
      floor.blocks.find((one) => one.id === id),
      'Block',
      id,
    );
  const ofGroup = ({ group, session }: Block) =>
    floor.blocks.filter((one) => one.group === group && one.session === session);
  const [theirs, ours] = [ofGroup(blockOf(from)), ofGroup(blockOf(into))];
  const twinOf = (id: Id) => ours.find(({ span }) => theirs.some((one) => one.id === id && isSame(one.span, span)));
  const isTheirs = (id: Id) => theirs.some((one) => one.id === id);
  const join = (one: Athlete): Athlete => {
    const left = one.at.filter(({ unit }) => unit.per !== 'block' || !isTheirs(unit.id));
    const enrolled = one.enrolled.filter(({ block }) => !isTheirs(block));
    if (left.length === one.at.length && enrolled.length === one.enrolled.length) return one;
    const category = one.at.find(({ unit }) => isTheirs(unit.id))?.category ?? null;
    const here = ours.filter(({ id }) => !left.some(({ unit }) => unit.per === 'block' && unit.id === id));
    const at = here.map(({ id, span }): Athlete['at'][number] => ({ unit: { per: 'block', id }, span, category }));
    const known = new Set(enrolled.map(({ block }) => block));
    const joined = ours.filter(({ id }) => !known.has(id)).map(({ id }) => ({ block: id, category }));
    return { ...one, at: [...left, ...at], enrolled: [...enrolled, ...joined] };
  };
  const follow = (place: Place): Place => {
    const twin = place.unit.per === 'block' ? twinOf(place.unit.id) : undefined;
    return twin === undefined ? place : { ...place, unit: { per: 'block', id: twin.id } };
  };
  return {
    ...floor,
    athletes: floor.athletes.map(join),
    staff: floor.staff.map((one) => ({ ...one, at: one.at.map(follow) })),
  };
}

function steppedTo(floor: Floor, station: Id, drill: Id): Floor {
  const block = known(
    floor.blocks.find(({ stations }) => stations.some(({ id }) => id === station)),
    'Station',
    station,
  );
  const stations = block.stations.map((one) => {
    if (one.id !== station) return one;
    const step = one.easier.findIndex((easier) => easier.drill === drill);
    const { spotting } = known(one.easier[step], 'Easier drill', drill);
    return { ...one, spotting, easier: one.easier.slice(step + 1) };
  });
  return { ...floor, blocks: floor.blocks.map((one) => (one.id === block.id ? { ...one, stations } : one)) };
}

function admittingAtMost(floor: Floor, id: Id, most: number): Floor {
  const block = known(
    floor.blocks.find((one) => one.id === id),
    'Block',
    id,
  );
  const isThere = ({ unit, span }: { unit: Unit; span: Span }) =>
    unit.per === 'block' && unit.id === id && overlaps(span, block.span);
  let admitted = 0;
  const athletes = floor.athletes.map((one) => {
    if (!one.at.some(isThere)) return one;
    admitted += 1;
    if (admitted <= most) return one;
    return {
      ...one,
      at: one.at.filter((place) => !isThere(place)),
      enrolled: one.enrolled.filter(({ block: other }) => other !== id),
    };
  });
  return { ...floor, athletes };
}

/** Places without their part in a span. */
function cut(places: Place[], span: Span): Place[] {
  return places.flatMap((place) => {
    if (!overlaps(place.span, span)) return [place];
    const before = { from: place.span.from, to: span.from };
    const after = { from: span.to, to: place.span.to };
    return [before, after].filter(({ from, to }) => from < to).map((rest) => ({ ...place, span: rest }));
  });
}

/** The parts of places that lie in a span. */
function within(places: Place[], span: Span): Place[] {
  return places.flatMap((place) => {
    const part = common(place.span, span);
    return part === null ? [] : [{ ...place, span: part }];
  });
}

const isSame = (a: Span, b: Span): boolean => a.from === b.from && a.to === b.to;

function known<T>(found: T | undefined, what: string, id: Id): T {
  if (found === undefined) throw new RangeError(`${what} "${id}" is not on the floor`);
  return found;
}
