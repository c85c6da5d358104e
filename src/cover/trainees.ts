import { compare, plus, ZERO } from './fraction.ts';
import { largestMatching } from './matching.ts';
import { inSight, passes } from './passes.ts';
import type { OnDuty, Trainees, View } from './scene.ts';
import type { Fraction, Id, Rule } from './types.ts';

type Entry = Rule['supervision'][number];
type Slot = { entry: Entry; supervisor: Id; who: Entry['anyOf'][number][number]['who']; max: number };
type Alternative = Slot[];
type Placing = { placed: ReadonlySet<Id>; counts: Fraction };

/**
 * Puts every trainee under a supervisor in sight: each supervisor takes one of the mixes that a rule allows them. Chosen
 * so that most trainees have a place, then so that those who have one count most, then by ids.
 *
 * A trainee is somebody whom an entry names and who could not be that entry's supervisor.
 */
export function placeTrainees(view: View, shareOf: (person: Id) => Fraction): Trainees {
  const { rule, people } = view;
  if (rule.supervision.length === 0) return { all: [], unplaced: [] };
  const trainees = people
    .filter((one) => rule.supervision.some((entry) => isTrainee(entry, one, view)))
    .sort((a, b) => compare(shareOf(b.staff.person), shareOf(a.staff.person)));

  const unplaced: Id[] = [];
  for (const group of connected(trainees, view)) {
    const { placed } = bestPlacing(group.trainees, group.supervisors, view, shareOf);
    for (const { staff } of group.trainees) if (!placed.has(staff.person)) unplaced.push(staff.person);
  }
  return { all: trainees.map(({ staff }) => staff.person).sort(), unplaced: unplaced.sort() };
}

function isTrainee(entry: Entry, one: OnDuty, view: View): boolean {
  const isNamed = entry.anyOf.some((mix) => mix.some(({ who }) => passes(who, one, view.moment)));
  return isNamed && !passes(entry.supervisor, one, view.moment);
}

/** Trainees who share no supervisor in sight don't compete, so each such group is placed by itself. */
function connected(trainees: OnDuty[], view: View): { trainees: OnDuty[]; supervisors: Alternative[][] }[] {
  const groups: { trainees: OnDuty[]; supervisors: Map<Id, Alternative[]> }[] = [];
  for (const trainee of trainees) {
    let merged = { trainees: [trainee], supervisors: supervisorsOf(trainee, view) };
    for (const group of [...groups]) {
      if (![...merged.supervisors.keys()].some((id) => group.supervisors.has(id))) continue;
      groups.splice(groups.indexOf(group), 1);
      merged = {
        trainees: [...group.trainees, ...merged.trainees],
        supervisors: new Map([...group.supervisors, ...merged.supervisors]),
      };
    }
    groups.push(merged);
  }
  return groups.map(({ trainees: some, supervisors }) => ({
    trainees: trainees.filter((one) => some.includes(one)),
    supervisors: [...supervisors].sort(([a], [b]) => (a < b ? -1 : 1)).map(([, alternatives]) => alternatives),
  }));
}

function supervisorsOf(trainee: OnDuty, { rule, moment, youngsters }: View): Map<Id, Alternative[]> {
  const found = new Map<Id, Alternative[]>();
  for (const one of inSight(trainee)) {
    const supervisor = one.staff.person;
    if (youngsters.has(supervisor)) continue;
    const alternatives = rule.supervision
      .filter((entry) => passes(entry.supervisor, one, moment))
      .flatMap((entry) => entry.anyOf.map((mix) => mix.map(({ who, max }) => ({ entry, supervisor, who, max }))));
    if (alternatives.length > 0) found.set(supervisor, alternatives);
  }
  return found;
}

function bestPlacing(
  trainees: OnDuty[],
  supervisors: Alternative[][],
  view: View,
  shareOf: (person: Id) => Fraction,
): Placing {
  let best: Placing = { placed: new Set(), counts: ZERO };
  const chosen: Slot[] = [];

  function from(index: number): boolean {
    const alternatives = supervisors[index];
    if (alternatives === undefined) {
      const placed = place(trainees, chosen, view);
      const counts = [...placed].reduce((total, id) => plus(total, shareOf(id)), ZERO);
      const gain = placed.size - best.placed.size || compare(counts, best.counts);
      if (gain > 0) best = { placed, counts };
      return placed.size === trainees.length;
    }
    for (const mix of alternatives) {
      chosen.push(...mix);
      const done = from(index + 1);
      chosen.length -= mix.length;
      if (done) return true;
    }
    return false;
  }
  from(0);
  return best;
}

/** Trainees come in order of what they count, so that of two who want the last place the one who counts more has it. */
function place(trainees: OnDuty[], slots: Slot[], { moment }: View): ReadonlySet<Id> {
  const seats = slots.flatMap((slot) => new Array<Slot>(Math.min(slot.max, trainees.length)).fill(slot));
  const choices = trainees.map((trainee) => {
    const near = new Set(inSight(trainee).map(({ staff }) => staff.person));
    return seats.flatMap(({ entry, supervisor, who }, seat) =>
      near.has(supervisor) && passes(who, trainee, moment) && !passes(entry.supervisor, trainee, moment) ? [seat] : [],
    );
  });
  const taken = largestMatching(choices);
  return new Set(trainees.flatMap(({ staff }, i) => (taken[i] === -1 ? [] : [staff.person])));
}
