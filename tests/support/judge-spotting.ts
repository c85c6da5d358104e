/** The judge on what no rule settles: who spots what, who helps whom, and which of the ways to arrange that is taken. */
import type { Block, Day, Floor, Fraction, Id, Station, Unit } from '../../src/cover/types.ts';
import { count, type JudgedFinding, ruleFindings, what } from './judge-checks.ts';
import {
  dayAt,
  everyPairing,
  headsAt,
  inOrder,
  largest,
  less,
  onDays,
  type Post,
  paired,
  postsAt,
  type Scene,
  total,
  viewOf,
  whole,
  within,
} from './judge-facts.ts';
import { holds } from './judge-people.ts';

function spottedStations(block: Block, moment: number): Station[] {
  return block.stations
    .filter((station) => within(moment, station.span) && station.spotting.mode !== 'none')
    .sort((a, b) => inOrder([a.id], [b.id]));
}

const SIGNS = ['watched', 'helped', 'alone'];

/** Has the kind and grade, and every sign-off at that level or above, on the day; and minds no single child. */
function maySpot({ day }: Scene, station: Station, post: Post): boolean {
  const { spotting } = station;
  if (spotting.mode === 'none' || post.helps) return false;
  const isSignedOff = spotting.skills.every(({ skill, level }) =>
    post.staff.signedOff.some(
      (sign) => sign.skill === skill && SIGNS.indexOf(sign.level) >= SIGNS.indexOf(level) && onDays(day, sign),
    ),
  );
  return holds(post, spotting.kind, spotting.grade, day) && isSignedOff;
}

/** Each largest way to give the stations of a block different people, in the order of their ids. */
function largestMatchings(scene: Scene, block: Block): (Post | null)[][] {
  const people = postsAt(scene).filter((post) => post.block === block);
  return largest(
    everyPairing(spottedStations(block, scene.moment), people, (station, post) => maySpot(scene, station, post)),
  );
}

type Helping = { helpers: Map<Id, Id>; ids: (Id | null)[] };

/** Each way to give as many children of a place as can be the one-to-one helper they need. */
function everyHelping(floor: Floor, place: Unit, moment: number): Helping[] {
  const stands = ({ at }: { at: { unit: Unit; span: { from: number; to: number } }[] }): boolean =>
    at.some((one) => one.unit.per === place.per && one.unit.id === place.id && within(moment, one.span));
  const children = floor.athletes.filter((one) => one.support !== null && stands(one)).sort(byPerson);
  const adults = floor.staff.filter(stands).sort(byPerson);
  const pairings = largest(
    everyPairing(children, adults, (child, adult) => child.support?.anyOf.includes(adult.person) ?? false),
  );
  return pairings.map((pairing) => ({
    helpers: new Map(children.flatMap((child, i) => (pairing[i] ? [[child.person, pairing[i].person]] : []))),
    ids: pairing.map((adult) => adult?.person ?? null),
  }));
}

const byPerson = (a: { person: Id }, b: { person: Id }): number => inOrder([a.person], [b.person]);

type Arrangement = {
  helpers: Map<Id, Id>;
  handsOn: Id[];
  spotted: number;
  failing: number;
  short: Fraction;
  ids: (Id | null)[];
};

/**
 * How a block is arranged: most children helped, most stations spotted, fewest `refuse` rules short, by the least, first
 * by ids. A helper is not chosen so that they leave a post or a trainee's supervisor free: the stricter reading.
 */
function arrange(floor: Floor, block: Block, moment: number, day: Day): Arrangement | undefined {
  const unit: Unit = { per: 'block', id: block.id };
  const stations = spottedStations(block, moment);
  const ways = everyHelping(floor, unit, moment).flatMap(({ helpers, ids }) => {
    const scene: Scene = { floor, moment, day, helpers, handsOn: [] };
    if (!headsAt(scene).some((head) => head.block === block)) return [];
    return largestMatchings(scene, block).map((matching): Arrangement => {
      const handsOn = stations.flatMap((station, i) => {
        const post = matching[i];
        return post && station.spotting.mode === 'hands-on' ? [post.staff.person] : [];
      });
      const short = floor.rules.flatMap((rule) => {
        const view = rule.strength === 'refuse' ? viewOf({ ...scene, handsOn }, unit, rule) : null;
        const findings = view === null ? [] : ruleFindings(view, count(view));
        return findings.filter((finding) => finding.code === 'short').map((finding) => finding.short);
      });
      const spotters = matching.map((post) => post?.staff.person ?? null);
      return {
        helpers,
        handsOn,
        spotted: paired(matching),
        failing: short.length,
        short: total(short),
        ids: [...ids, ...spotters],
      };
    });
  });
  const [best] = ways.sort(
    (a, b) =>
      b.spotted - a.spotted ||
      a.failing - b.failing ||
      (less(a.short, b.short) ? -1 : less(b.short, a.short) ? 1 : 0) ||
      inOrder(a.ids, b.ids),
  );
  return best;
}

export function sceneAt(floor: Floor, moment: number): Scene {
  const day = dayAt(floor, moment);
  const blocks = floor.blocks
    .filter((block) => within(moment, block.span))
    .map((block) => arrange(floor, block, moment, day));
  const [waiting] = everyHelping(floor, { per: 'premises', id: floor.gym }, moment).sort((a, b) =>
    inOrder(a.ids, b.ids),
  );
  return {
    floor,
    moment,
    day,
    helpers: new Map([...blocks.flatMap((one) => [...(one?.helpers ?? [])]), ...(waiting?.helpers ?? [])]),
    handsOn: blocks.flatMap((one) => one?.handsOn ?? []),
  };
}

/** Stations that some largest matching leaves bare, and everybody qualified for one of them. */
function spottingFindings(scene: Scene, block: Block): JudgedFinding[] {
  const stations = spottedStations(block, scene.moment);
  const matchings = largestMatchings(scene, block);
  const missing = stations.length - paired(matchings[0] ?? []);
  if (missing === 0) return [];
  const bare = stations.filter((_, i) => matchings.some((matching) => matching[i] === null));
  const people = postsAt(scene)
    .filter((post) => post.block === block && bare.some((station) => maySpot(scene, station, post)))
    .map((post) => post.staff.person);
  const subjects = [
    ...what('staff', people),
    ...what(
      'station',
      bare.map((station) => station.id),
    ),
  ];
  return [{ code: 'spotting', rule: null, short: whole(missing), subjects }];
}

/** Children without the one-to-one helper they need: at this block, or (null) still on the premises. */
export function supportFindings(scene: Scene, block: Block | null): JudgedFinding[] {
  const alone = headsAt(scene)
    .filter((head) => head.block === block && head.athlete?.support && !head.helped)
    .map((head) => head.id);
  if (alone.length === 0) return [];
  return [{ code: 'support', rule: null, short: whole(alone.length), subjects: what('athlete', alone) }];
}

/** What no rule asks: spotters, one-to-one helpers, a plan that stands. */
export function blockFindings(scene: Scene, block: Block): JudgedFinding[] {
  const withdrawn: JudgedFinding[] = block.planWithdrawn
    ? [{ code: 'plan-withdrawn', rule: null, short: whole(1), subjects: what('block', [block.id]) }]
    : [];
  const isEmpty = !headsAt(scene).some((head) => head.block === block);
  if (isEmpty) return withdrawn;
  return [...withdrawn, ...supportFindings(scene, block), ...spottingFindings(scene, block)];
}
