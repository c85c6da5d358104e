import { largestMatching } from './matching.ts';
import { inSight, passes } from './passes.ts';
import type { OnDuty, Trainees, View } from './scene.ts';
import type { Id, Rule, Test } from './types.ts';

type Entry = Rule['supervision'][number];
type Slot = { supervisor: Id; who: Test; max: number };
type Mix = Slot[];
type Placed = Trainees['under'][number];

const named = (placed: readonly Placed[]): string => placed.map(({ trainee }) => trainee).join('\n');

/**
 * Puts every trainee under a supervisor in sight: each supervisor takes one of the mixes that a rule allows them. Chosen
 * so that most trainees have a place, then by ids. A trainee is somebody whom an entry names and who could not be that
 * entry's supervisor; staff who are athletes under the rule are looked after as such.
 */
export function placeTrainees(view: View): Trainees {
  const { rule, people, youngsters } = view;
  if (rule.supervision.length === 0) return { all: [], unplaced: [], under: [] };
  const trainees = people.filter(
    (one) => !youngsters.has(one.staff.person) && rule.supervision.some((entry) => isTrainee(entry, one, view)),
  );
  const under = connected(trainees, view).flatMap((group) => bestPlacing(group.trainees, group.supervisors, view));
  const placed = new Set(under.map(({ trainee }) => trainee));
  const all = trainees.map(({ staff }) => staff.person);
  under.sort((a, b) => (a.trainee < b.trainee ? -1 : 1));
  return { all, unplaced: all.filter((person) => !placed.has(person)), under };
}

function isTrainee(entry: Entry, one: OnDuty, view: View): boolean {
  const isNamed = entry.anyOf.some((mix) => mix.some(({ who }) => passes(who, one, view.moment)));
  return isNamed && !passes(entry.supervisor, one, view.moment);
}

/** Trainees who share no supervisor in sight don't compete, so each such group is placed by itself. */
function connected(trainees: OnDuty[], view: View): { trainees: OnDuty[]; supervisors: Mix[][] }[] {
  let groups: { trainees: OnDuty[]; supervisors: Map<Id, Mix[]> }[] = [];
  for (const trainee of trainees) {
    const own = { trainees: [trainee], supervisors: supervisorsOf(trainee, view) };
    const sharing = groups.filter(({ supervisors }) => [...own.supervisors.keys()].some((id) => supervisors.has(id)));
    const merged = [...sharing, own];
    groups = groups.filter((group) => !sharing.includes(group));
    groups.push({
      trainees: trainees.filter((one) => merged.some((group) => group.trainees.includes(one))),
      supervisors: new Map(merged.flatMap(({ supervisors }) => [...supervisors])),
    });
  }
  return groups.map((group) => ({ trainees: group.trainees, supervisors: [...group.supervisors.values()] }));
}

function supervisorsOf(trainee: OnDuty, { rule, moment }: View): Map<Id, Mix[]> {
  const found = new Map<Id, Mix[]>();
  for (const one of inSight(trainee)) {
    const supervisor = one.staff.person;
    const mixes = rule.supervision
      .filter((entry) => passes(entry.supervisor, one, moment))
      .flatMap((entry) => entry.anyOf.map((mix) => mix.map(({ who, max }) => ({ supervisor, who, max }))));
    if (mixes.length > 0) found.set(supervisor, mixes);
  }
  return found;
}

/** As many choices as eight supervisors have of two mixes each. */
export const MOST_CHOICES = 256;

/** Tries every choice of mixes; of more than can be tried, the best of the first ones. */
function bestPlacing(trainees: OnDuty[], supervisors: Mix[][], view: View): Placed[] {
  let best: Placed[] = [];
  const chosen: Slot[] = [];
  let left = MOST_CHOICES;

  function from(index: number): boolean {
    const mixes = supervisors[index];
    if (mixes === undefined) {
      const placed = place(trainees, chosen, view);
      if (placed.length > best.length || (placed.length === best.length && named(placed) < named(best))) best = placed;
      left -= 1;
      return placed.length === trainees.length || left === 0;
    }
    for (const mix of mixes) {
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

/** A largest placing; trainees come by id, so that of those who want the last place the first has it. */
function place(trainees: OnDuty[], slots: Slot[], { moment }: View): Placed[] {
  const sizes = slots.map(({ max }) => Math.min(max, trainees.length));
  const seatsOf = (slot: number) => {
    const before = sizes.slice(0, slot).reduce((sum, size) => sum + size, 0);
    return Array.from({ length: sizes[slot] ?? 0 }, (_, i) => before + i);
  };
  const choices = trainees.map((trainee) => {
    const near = new Set(inSight(trainee).map(({ staff }) => staff.person));
    return slots.flatMap(({ supervisor, who }, slot) =>
      near.has(supervisor) && passes(who, trainee, moment) ? seatsOf(slot) : [],
    );
  });
  const taken = largestMatching(choices);
  const seats = slots.flatMap(({ supervisor }, slot) => seatsOf(slot).map(() => supervisor));
  return trainees.flatMap(({ staff }, i) => {
    const supervisor = seats[taken[i] ?? -1];
    return supervisor === undefined ? [] : [{ trainee: staff.person, supervisor }];
  });
}
