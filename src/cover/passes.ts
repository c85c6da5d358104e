import { birthday, completedMonths } from './age.ts';
import { holdsDays } from './day.ts';
import type { Moment, OnDuty } from './scene.ts';
import type { Span, Staff, Test } from './types.ts';

export const overlaps = (a: Span, b: Span): boolean => a.from < b.to && b.from < a.to;

export const passes = (test: Test, who: OnDuty, moment: Moment): boolean => failing(test, who, moment) === null;

/**
 * The part of a test that somebody fails, null when they pass. Of an `all`, the first part that fails; an `any` that
 * nothing fits fails as a whole.
 */
export function failing(test: Test, who: OnDuty, moment: Moment): Test | null {
  switch (test.test) {
    case 'age':
      return ageOfStaff(who.staff, moment) >= test.atLeastYears * 12 ? null : test;
    case 'older-than-athletes':
      return isOlder(who, test.byYears, moment) ? null : test;
    case 'holds':
      return isHeld(who, test.kind, test.grade) ? null : test;
    case 'duty':
      return test.in.includes(who.duty) ? null : test;
    case 'not-taking-part':
      return who.staff.takingPart.some((span) => overlaps(span, moment.span)) ? test : null;
    case 'no-own-child-here':
      return hasOwnChildHere(who, moment) ? test : null;
    case 'supervised':
      return inSight(who).some((one) => passes(test.by, one, moment)) ? null : test;
    case 'all':
      for (const part of test.of) {
        const failed = failing(part, who, moment);
        if (failed !== null) return failed;
      }
      return null;
    case 'any':
      return test.of.some((part) => passes(part, who, moment)) ? null : test;
  }
}

export function ageOfStaff(staff: Staff, moment: Moment): number {
  return ageInMonths(staff.born, moment);
}

/** Completed months on the moment's day, remembered for the moment. */
export function ageInMonths(born: string, moment: Moment): number {
  let months = moment.ages.get(born);
  if (months === undefined) {
    months = completedMonths(born, moment.day, moment.leapDay);
    moment.ages.set(born, months);
  }
  return months;
}

/**
 * Everybody else at the same block or overseeing its session, but for one-to-one helpers, who look after nobody else.
 * Nobody is in sight of somebody who is at no block.
 */
export function inSight(who: OnDuty): OnDuty[] {
  const { staff, overseers, helpers, block } = who.spot;
  if (block === null) return [];
  const others = overseers.length === 0 ? staff : [...staff, ...overseers];
  return others.filter((one) => one.staff.person !== who.staff.person && !helpers.has(one.staff.person));
}

/** An athlete whose birth date is unknown can't be shown to be younger. */
function isOlder(who: OnDuty, years: number, moment: Moment): boolean {
  const from = birthday(who.staff.born, years, moment.leapDay);
  const young = moment.young.filter((one) => one.staff.person !== who.staff.person && looksAfter(who, one));
  return (
    who.spot.watched.every(({ born }) => born !== null && from <= born) &&
    young.every(({ staff }) => from <= staff.born)
  );
}

/** Whether somebody looks after whoever stands there: their own block, the blocks of the session, all of the premises. */
function looksAfter({ spot }: OnDuty, { spot: there }: OnDuty): boolean {
  if (spot.unit.per === 'premises') return true;
  return spot.block === null ? there.block?.session === spot.unit.id : there.block === spot.block;
}

function isHeld({ staff, spot }: OnDuty, kind: string, grade: number): boolean {
  for (const held of staff.holds) {
    if (held.kind === kind && held.grade >= grade && holdsDays(held, spot.days.first, spot.days.last)) return true;
  }
  return false;
}

function hasOwnChildHere(who: OnDuty, moment: Moment): boolean {
  const { ownChildren } = who.staff;
  if (ownChildren.length === 0) return false;
  return (
    who.spot.watched.some(({ person }) => ownChildren.includes(person)) ||
    moment.young.some((one) => ownChildren.includes(one.staff.person) && looksAfter(who, one))
  );
}
