import { type Cover, compare, type Finding, type Floor, localDay, type Place, textsIn } from '../../cover/index.ts';
import type { FloorNames } from '../../enforcement/names.ts';
import type { StaffState } from '../../enforcement/recorded.ts';
import { holds } from '../../enforcement/spans.ts';
import { findingOnWire } from '../../enforcement/wire.ts';
import { instantOf } from '../../platform/http/wire.ts';
import { type BoardWarning, WARNED_AHEAD_MINUTES } from './schema.ts';

/** What the warnings are worked out from. */
export interface Outlook {
  moment: number;
  planned: Floor;
  /** Covers with those who are there, and with everybody expected. */
  here: readonly Cover[];
  expected: readonly Cover[];
  stateOf: (personId: string) => StaffState;
  /** Do the staff of this gym check in at all? */
  staffCheckIn: boolean;
  names: FloorNames;
}

const MOST = 200;

/** What will go wrong within half an hour, the soonest first. */
export function warnings(outlook: Outlook): BoardWarning[] {
  const until = outlook.moment + WARNED_AHEAD_MINUTES * 60_000;
  const all = [...missingStaff(outlook, until), ...endingQualifications(outlook, until), ...losses(outlook, until)];
  const keyOf = ({ at, kind, unit, personId }: BoardWarning) => `${at ?? ''} ${kind} ${unit.id} ${personId}`;
  return all.sort((a, b) => (keyOf(a) < keyOf(b) ? -1 : 1)).slice(0, MOST);
}

const MISSING = { 'not-in': 'coach-not-in', 'on-break': 'coach-on-break', left: 'coach-left' } as const;

/** Those whose place begins, and who are not at work. */
function missingStaff({ moment, planned, stateOf, staffCheckIn, names }: Outlook, until: number): BoardWarning[] {
  const { ahead, time } = textsIn(names.language);
  return planned.staff.flatMap(({ person, at }) => {
    const state = stateOf(person);
    if (state === 'in' || (state === 'not-in' && !staffCheckIn)) return [];
    return at
      .filter(({ span }) => span.from > moment && span.from <= until)
      .map(({ unit, span }) => ({
        kind: MISSING[state],
        at: instantOf(new Date(span.from)),
        unit,
        personId: person,
        sentence: ahead[state]({
          who: names.person(person),
          unit: names.unit(unit),
          time: time(span.from, names.zone),
        }),
        finding: null,
      }));
  });
}

/** Qualifications and screenings that are not renewed and have their last day today, of those whose place runs or begins. */
function endingQualifications({ moment, planned, names }: Outlook, until: number): BoardWarning[] {
  const today = localDay(planned.zone, moment);
  const midnight = planned.over.to;
  if (moment >= midnight) return [];
  const tomorrow = localDay(planned.zone, midnight);
  const isNear = ({ span }: Place) => span.from <= until && span.to > moment;
  return planned.staff.flatMap(({ person, at, holds: held }) => {
    const place = at.find(isNear);
    if (!place) return [];
    const isRenewed = ({ kind, grade }: (typeof held)[number]) =>
      held.some(
        (one) =>
          one.kind === kind && one.grade >= grade && one.from <= tomorrow && (one.to === null || one.to > tomorrow),
      );
    return held
      .filter((one) => one.from <= today && one.to === tomorrow && !isRenewed(one))
      .map(({ kind, grade }) => ({
        kind: 'qualification-ends' as const,
        at: instantOf(new Date(midnight)),
        unit: place.unit,
        personId: person,
        sentence: textsIn(names.language).ahead.lastDay({
          who: names.person(person),
          unit: names.unit(place.unit),
          kind: names.kind(kind, grade),
        }),
        finding: null,
      }));
  });
}

/** Findings ahead that are not there, or smaller, now. */
function losses({ moment, planned, here, expected, names }: Outlook, until: number): BoardWarning[] {
  const isAhead = ({ span }: Finding) => span.to > moment && span.from <= until;
  const now = uncoveringOf(here).filter(({ span }) => holds(span, moment));
  const later = uncoveringOf(here).filter(isAhead);
  const startOf = new Map(planned.blocks.map(({ id, span }) => [id, span.from]));
  const told = new Set<string>();
  return uncoveringOf(expected)
    .filter(isAhead)
    .filter((finding) => !now.some((one) => isOf(one, finding)))
    .flatMap((finding) => {
      const { unit, span } = finding;
      const startsAt = unit.per === 'block' ? (startOf.get(unit.id) ?? moment) : moment;
      const isLostAnyway = later.some((one) => isOf(one, finding) && one.span.from <= span.from);
      const kind = startsAt > moment ? 'starts-uncovered' : isLostAnyway ? 'cover-ends' : 'too-many-coming';
      const key = `${kind} ${unit.id} ${finding.code} ${finding.rule}`;
      if (told.has(key)) return [];
      told.add(key);
      const shown = findingOnWire(finding, names);
      const at = span.from > moment ? instantOf(new Date(span.from)) : null;
      return [{ kind, at, unit, personId: null, sentence: shown.sentence, finding: shown } as const];
    });
}

export const uncoveringOf = (covers: readonly Cover[]): Finding[] =>
  covers.flatMap(({ findings }) => findings.filter((one) => one.strength === 'refuse' && one.override === null));

/** Is this what the other is about, and as large? */
const isOf = (one: Finding, other: Finding) =>
  one.unit.per === other.unit.per &&
  one.unit.id === other.unit.id &&
  one.code === other.code &&
  one.rule === other.rule &&
  compare(one.short, other.short) >= 0;
