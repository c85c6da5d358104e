import { holdsDays, localDay } from './day.ts';
import { overlaps } from './passes.ts';
import type { Block, Change, Duty, Finding, Floor, Place, Span, Staff, Unit } from './types.ts';

/** Changes worth trying for a finding, best first. None is verified. */
export function candidates(floor: Floor, finding: Finding): Change[] {
  const block = finding.unit.per === 'block' ? floor.blocks.find(({ id }) => id === finding.unit.id) : undefined;
  const places = placesFor(floor, finding, block);
  return [
    ...moves(floor, places),
    ...swaps(floor, finding, block?.span ?? finding.span),
    ...(block === undefined
      ? []
      : [...steps(block, finding), ...merges(floor, block), ...admissions(floor, block, finding)]),
  ];
}

/** Where one more person could help: at the unit, for all of its span first; of a session and the premises, at their blocks. */
function placesFor(floor: Floor, { unit, span }: Finding, block: Block | undefined): Place[] {
  if (block !== undefined) return spansFor(block.span, span).flatMap((time) => atBlock(floor, block, time));
  const duties: Duty[] = unit.per === 'session' ? ['oversee'] : ['assist', 'lead'];
  const inView = floor.blocks.filter(
    (one) => one.confirmed && overlaps(one.span, span) && (unit.per === 'premises' || one.session === unit.id),
  );
  return [...duties.map((duty) => ({ unit, duty, span })), ...inView.flatMap((one) => atBlock(floor, one, one.span))];
}

const spansFor = (whole: Span, part: Span): Span[] =>
  whole.from === part.from && whole.to === part.to ? [whole] : [whole, part];

function atBlock(floor: Floor, { id }: Block, span: Span): Place[] {
  const unit: Unit = { per: 'block', id };
  const isLed = floor.staff.some(({ at }) => at.some((place) => place.duty === 'lead' && isAt(place, unit, span)));
  const duties: Duty[] = isLed ? ['assist', 'lead'] : ['lead', 'assist'];
  return duties.map((duty) => ({ unit, duty, span }));
}

/** Free people first, those already in that day before those who would have to come; then floaters; then the rest. */
function moves(floor: Floor, places: Place[]): Change[] {
  const ranked = floor.staff
    .filter((one) => places.some((place) => isIn(floor, one, place.span)))
    .map((one) => ({ one, rank: rankOf(floor, one) }))
    .sort((a, b) => a.rank - b.rank || (a.one.person < b.one.person ? -1 : 1));
  return ranked.flatMap(({ one }) => places.map((to) => ({ move: one.person, to })));
}

function rankOf(floor: Floor, { at }: Staff): number {
  const now = at.filter(({ span }) => overlaps(span, floor.over));
  if (now.length === 0) return at.length > 0 ? 0 : 1;
  return now.every(({ unit }) => unit.per === 'premises') ? 2 : 3;
}

function isIn(floor: Floor, { employed, elsewhere, absent }: Staff, span: Span): boolean {
  const day = localDay(floor.zone, span.from);
  return (
    employed.some((run) => holdsDays(run, day, day)) &&
    ![...elsewhere, ...absent].some((other) => overlaps(other, span))
  );
}

function swaps(floor: Floor, { unit }: Finding, span: Span): Change[] {
  const there = floor.staff.filter(({ at }) => at.some((place) => isAt(place, unit, span)));
  const others = floor.staff.filter(
    (one) => !there.includes(one) && one.at.some((place) => overlaps(place.span, span)) && isIn(floor, one, span),
  );
  return there.flatMap((one) => others.map((other): Change => ({ swap: [one.person, other.person], span })));
}

function steps(block: Block, { code, subjects }: Finding): Change[] {
  if (code !== 'spotting' && code !== 'short') return [];
  const named = block.stations.filter(({ id }) => code === 'short' || subjects.some((subject) => subject.id === id));
  return named.flatMap(({ id, easier }) => easier.map(({ drill }) => ({ station: id, stepTo: drill })));
}

function merges(floor: Floor, block: Block): Change[] {
  return floor.blocks
    .filter(({ id, session, span }) => id !== block.id && session === block.session && isSame(span, block.span))
    .map(({ id }) => ({ merge: [id, block.id] }));
}

/** The largest number of those now there that would do. */
function admissions(floor: Floor, block: Block, { code }: Finding): Change[] {
  if (code !== 'short' && code !== 'cap' && code !== 'floor') return [];
  const unit: Unit = { per: 'block', id: block.id };
  const there = floor.athletes.filter(({ at }) => at.some((place) => isAt(place, unit, block.span))).length;
  return Array.from({ length: Math.max(0, there - 1) }, (_, i) => ({
    block: block.id,
    admitAtMost: there - 1 - i,
  })).slice(0, 60);
}

const isSame = (a: Span, b: Span): boolean => a.from === b.from && a.to === b.to;

const isAt = (place: { unit: Unit; span: Span }, unit: Unit, span: Span): boolean =>
  place.unit.per === unit.per && place.unit.id === unit.id && overlaps(place.span, span);
