import type { Day, Days, Span } from './types.ts';

const SLOT = 15 * 60_000; // every zone's midnight falls on a quarter of an hour, so the local day is constant within one
const REMEMBERED = 20_000;

const formats = new Map<string, Intl.DateTimeFormat>();
const days = new Map<string, Map<number, Day>>();

/** The local day of an instant (epoch ms) in an IANA zone. Throws a RangeError on an unknown zone. */
export function localDay(zone: string, at: number): Day {
  let known = days.get(zone);
  if (known === undefined) {
    known = new Map();
    days.set(zone, known);
  }
  const slot = Math.floor(at / SLOT);
  let day = known.get(slot);
  if (day === undefined) {
    if (known.size > REMEMBERED) known.clear();
    day = formatDay(zone, slot * SLOT);
    known.set(slot, day);
  }
  return day;
}

/** The instants strictly inside the span at which a local day begins. */
export function midnightsIn(zone: string, span: Span): number[] {
  const found: number[] = [];
  let at = span.from;
  while (localDay(zone, at) !== localDay(zone, span.to - 1)) {
    at = endOfDay(zone, at);
    found.push(at);
  }
  return found;
}

/** Whether a half-open run of days holds every day from `first` to `last`. */
export function holdsDays(run: Days, first: Day, last: Day): boolean {
  return run.from <= first && (run.to === null || last < run.to);
}

/** Year, month (1 to 12) and day of an ISO date. */
export function partsOf(day: Day): { y: number; m: number; d: number } {
  return { y: digits(day, 0, 4), m: digits(day, 5, 7), d: digits(day, 8, 10) };
}

export function isoDay(y: number, m: number, d: number): Day {
  return `${String(y).padStart(4, '0')}-${String(m).padStart(2, '0')}-${String(d).padStart(2, '0')}`;
}

export function daysInMonth(y: number, m: number): number {
  if (m === 2) return (y % 4 === 0 && y % 100 !== 0) || y % 400 === 0 ? 29 : 28;
  return m === 4 || m === 6 || m === 9 || m === 11 ? 30 : 31;
}

function digits(day: Day, from: number, to: number): number {
  let value = 0;
  for (let i = from; i < to; i++) value = value * 10 + day.charCodeAt(i) - 48;
  return value;
}

function endOfDay(zone: string, at: number): number {
  const today = localDay(zone, at);
  let inside = Math.floor(at / SLOT);
  let outside = inside + 192; // two days on
  while (outside - inside > 1) {
    const middle = Math.floor((inside + outside) / 2);
    if (localDay(zone, middle * SLOT) === today) inside = middle;
    else outside = middle;
  }
  return outside * SLOT;
}

function formatDay(zone: string, at: number): Day {
  let format = formats.get(zone);
  if (format === undefined) {
    const options = { timeZone: zone, calendar: 'gregory', year: 'numeric', month: 'numeric', day: 'numeric' } as const;
    format = new Intl.DateTimeFormat('en-US', options);
    formats.set(zone, format);
  }
  const part = { year: 0, month: 0, day: 0 };
  for (const { type, value } of format.formatToParts(at)) {
    if (type === 'year' || type === 'month' || type === 'day') part[type] = Number(value);
  }
  return isoDay(part.year, part.month, part.day);
}
