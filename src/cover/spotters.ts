import { holdsDays } from './day.ts';
import type { Choices } from './matching.ts';
import type { Moment, OnDuty, Spot } from './scene.ts';
import { saysAsMuch } from './signs.ts';
import type { Day, Spotting, Staff, Station } from './types.ts';

export type Spotted = Exclude<Spotting, { mode: 'none' }>;

/** Open stations that are spotted (none, where there are no athletes), the staff there, and who of them (by index) may spot which; all by ids. */
export function spottersFor(spot: Spot, moment: Moment): { stations: Station[]; people: OnDuty[]; choices: Choices } {
  const stations = openSpotted(spot, moment);
  if (stations.length === 0) return { stations, people: [], choices: [] };
  const people = spot.staff.filter(({ staff }) => !spot.helpers.has(staff.person));
  const choices = stations.map(({ spotting }) =>
    people.flatMap((one, i) => (spotting.mode !== 'none' && maySpot(one.staff, one.spot.days, spotting) ? [i] : [])),
  );
  return { stations, people, choices };
}

/** Whether somebody holds the kind and has the sign-offs, valid on every one of these days. */
export function maySpot(
  staff: Pick<Staff, 'holds' | 'signedOff'>,
  days: { first: Day; last: Day },
  { kind, grade, skills }: Spotted,
): boolean {
  const holds = staff.holds.some(
    (held) => held.kind === kind && held.grade >= grade && holdsDays(held, days.first, days.last),
  );
  return (
    holds &&
    skills.every(({ skill, level }) =>
      staff.signedOff.some(
        (sign) => sign.skill === skill && saysAsMuch(sign.level, level) && holdsDays(sign, days.first, days.last),
      ),
    )
  );
}

const NONE: Station[] = [];

function openSpotted({ block, athletes }: Spot, { span }: Moment): Station[] {
  if (block === null || athletes.length === 0) return NONE;
  const open = block.stations.filter(
    (one) => one.spotting.mode !== 'none' && one.span.from <= span.from && span.to <= one.span.to,
  );
  return open.length < 2 ? open : open.sort((a, b) => (a.id < b.id ? -1 : 1));
}
