import { narrowed } from './narrow.ts';
import { type FloorReading, readFloor } from './timeline.ts';
import type { Athlete, Cover, Finding, Floor, Id, Place, Span } from './types.ts';
import { type UncoveredBlock, uncoveredBlocks } from './uncovered.ts';

/** No class has room for more than this; the search stops there. */
export const HEADROOM_BOUND = 200;

/**
 * How many more athletes like this one fit into a block: the largest n such that 1, 2, … n more all leave it covered for
 * its whole span, its session and the premises counted as if it were confirmed. Their category is the one that `like` is
 * enrolled under in that block, none if in another. `binding` is the rule that stops the next
 * one, null when no rule does (spotting, support, a withdrawn plan, or `bound`, where the search stops). Throws a RangeError on an unknown block.
 */
export function headroom(
  floor: Floor,
  block: Id,
  like: Athlete,
  bound = HEADROOM_BOUND,
): { more: number; binding: Id | null } {
  const { more, stop } = headroomReader(floor)([block], like, bound);
  return { more, binding: stop?.rule ?? null };
}

/**
 * `stop` is a finding that stops the next one: of one block, the first, its own before its session's and the premises'.
 * `after` is the floor with that one, as far as the blocks depend on it, and what was read of it. Both are null where
 * nothing stops anybody up to the bound that was asked about.
 */
export type Headroom = { more: number; stop: Finding | null; after: { floor: Floor; reading: FloorReading } | null };

/**
 * The same for a group, which is at several blocks one after another: how many more fit into all of them, `most` at the
 * most, and what then leaves the first of them uncovered. The blocks are those of one session. Tried one by one, since one
 * more may fit where fewer do not.
 */
export function headroomIn(
  floor: Floor,
  blocks: readonly Id[],
  like: Athlete,
  most: number,
): { more: number; stopped: UncoveredBlock | null } {
  const { more, after } = headroomReader(floor)(blocks, like, most);
  if (after === null) return { more, stopped: null };
  const [stopped = null] = stoppedBy(after.floor, blocks, [
    ...after.reading.own(blocks),
    ...after.reading.above(blocks),
  ]);
  return { more, stopped };
}

/** The moment from which on room is asked for, where it is not all of a block; and what was read of the floor already. */
type Knowing = { from?: number; reading?: FloorReading };

/** The same for one set of blocks of a floor after another: they share what is read of the others. */
export function headroomReader(
  floor: Floor,
  { from = -Infinity, reading = readFloor(floor) }: Knowing = {},
): (blocks: readonly Id[], like: Athlete, most: number) => Headroom {
  const known = new Map<string, Floor>();
  const once: Once = (key, find) => {
    const found = known.get(key) ?? find();
    known.set(key, found);
    return found;
  };
  return (blocks, like, most) => {
    const seats = blocks.map((block) => {
      const category = like.enrolled.find((one) => one.block === block)?.category ?? null;
      return { block, category };
    });
    let after = near(floor, blocks, from, once);
    for (let more = 0; more < most; more++) {
      after = joining(after, seats, { ...like, family: null, person: `${like.person} +${more + 1}` });
      const read = reading.again(after);
      const firstOf = (covers: readonly Cover[]) => stoppedBy(after, blocks, covers)[0]?.findings[0];
      const stop = firstOf(read.own(blocks)) ?? firstOf(read.above(blocks));
      if (stop !== undefined) return { more, stop, after: { floor: after, reading: read } };
    }
    return { more: most, stop: null, after: null };
  };
}

/**
 * A floor with one more athlete at blocks, which are then as if confirmed; whatever else the athlete does stays. Throws a
 * RangeError on an unknown block.
 */
export function joining(floor: Floor, seats: readonly Athlete['enrolled'][number][], athlete: Athlete): Floor {
  const at = seats.map(({ block, category }): Athlete['at'][number] => {
    return { unit: { per: 'block', id: block }, span: spanOf(floor, block), category };
  });
  const enrolled = seats.map((seat) => ({ ...seat }));
  const known = floor.athletes.find(({ person }) => person === athlete.person);
  const one = known
    ? { ...known, at: [...known.at, ...at], enrolled: [...known.enrolled, ...enrolled] }
    : { ...athlete, at, enrolled };
  const ids = new Set(seats.map(({ block }) => block));
  return {
    ...floor,
    blocks: floor.blocks.map((block) => (ids.has(block.id) ? { ...block, confirmed: true } : block)),
    athletes: [...floor.athletes.filter(({ person }) => person !== athlete.person), one],
  };
}

function spanOf(floor: Floor, block: Id): Span {
  const found = floor.blocks.find(({ id }) => id === block);
  if (found === undefined) throw new RangeError(`Block "${block}" is not on the floor`);
  return found.span;
}

/** Which of these blocks are not covered, as the rest of the hall stands while they run. */
export const stoppedAt = (floor: Floor, blocks: readonly Id[]): UncoveredBlock[] =>
  stoppedBy(near(floor, blocks), blocks);

const stoppedBy = (floor: Floor, blocks: readonly Id[], covers?: readonly Cover[]): UncoveredBlock[] =>
  uncoveredBlocks(floor, covers).filter(({ block }) => blocks.includes(block));

type Once = (key: string, find: () => Floor) => Floor;

/** The floor as far as these blocks depend on it, from a moment on; `once` may keep what is found for it. */
function near(floor: Floor, blocks: readonly Id[], from = -Infinity, once: Once = (_key, find) => find()): Floor {
  const { over, blocks: among } = reachOf(floor, blocks, from);
  const key = `${over.from} ${over.to}`;
  const then = once(key, () => narrowed(floor, over));
  return among === null ? then : once([key, ...among].join(' '), () => only(then, among));
}

/** What the cover of some blocks depends on: a span, and the blocks that count then; null for all of the hall. */
type Reach = { over: Span; blocks: ReadonlySet<Id> | null };

/** All of the hall where a rule looks at the whole premises, else the session where one looks at that, else themselves. */
function reachOf(floor: Floor, blocks: readonly Id[], since: number): Reach {
  const spans = blocks.map((block) => spanOf(floor, block));
  const over = {
    from: Math.max(since, Math.min(...spans.map(({ from }) => from))),
    to: Math.max(...spans.map(({ to }) => to)),
  };
  const looks = new Set(floor.rules.map(({ per }) => per));
  if (looks.has('premises')) return { over, blocks: null };
  if (!looks.has('session')) return { over, blocks: new Set(blocks) };
  const sessions = new Set(floor.blocks.filter(({ id }) => blocks.includes(id)).map(({ session }) => session));
  const theirs = floor.blocks.filter(({ session }) => sessions.has(session));
  return { over, blocks: new Set(theirs.map(({ id }) => id)) };
}

/** The floor with these blocks alone, and whoever is at them, over them, or on the premises. */
function only(floor: Floor, among: ReadonlySet<Id>): Floor {
  const blocks = floor.blocks.filter(({ id }) => among.has(id));
  const units = new Set([...among, ...blocks.map(({ session }) => session)]);
  const isThere = ({ unit }: Place | Athlete['at'][number]) => unit.per === 'premises' || units.has(unit.id);
  return {
    ...floor,
    blocks,
    athletes: floor.athletes.filter(
      ({ at, enrolled }) => at.some(isThere) || enrolled.some(({ block }) => among.has(block)),
    ),
    staff: floor.staff.filter(({ at }) => at.some(isThere)),
  };
}
