import { Temporal } from 'temporal-polyfill';
import { type Html, html } from '../../platform/http/html.ts';
import type { DaySheet } from './day-sheet-schema.ts';

// What both kinds of page of a day sheet say, in the same words. Names stand apart (`bdi`), whichever way they are written.

export const NONE = html``;

export interface Clock {
  /** "Monday 14 September 2026" */
  day: string;
  /** "17:00" at the gym. */
  time: (moment: string) => string;
  printed: string;
}

export function clockOf({ zone, day, printedAt }: DaySheet): Clock {
  const at = (moment: string) => Temporal.Instant.from(moment).toZonedDateTimeISO(zone);
  const inWords = (date: Temporal.PlainDate) => {
    const [weekday, month] = [{ weekday: 'long' }, { month: 'long' }] as const;
    return `${date.toLocaleString('en-GB', weekday)} ${date.day} ${date.toLocaleString('en-GB', month)} ${date.year}`;
  };
  const time = (moment: string) => at(moment).toPlainTime().toString({ smallestUnit: 'minute' });
  const made = at(printedAt);
  return {
    day: inWords(Temporal.PlainDate.from(day)),
    time,
    printed: `${inWords(made.toPlainDate())}, ${time(printedAt)} (${zone}, UTC${made.offset})`,
  };
}

interface Named {
  given: string | null;
  family: string | null;
}

export const named = ({ given, family }: Named): Html =>
  given === null && family === null
    ? html`(name erased)`
    : html`<bdi>${[given, family].filter((part) => part !== null).join(' ')}</bdi>`;

/** As in a list by family name. */
export const listed = ({ given, family }: Named): Html =>
  given === null || family === null ? named({ given, family }) : html`<bdi><b>${family}</b>, ${given}</bdi>`;

export const span = (from: string, to: string, { time }: Clock): Html =>
  html`<span class="time">${time(from)}–${time(to)}</span>`;

export const telephone = (phone: string | null): Html =>
  phone === null ? html`no telephone` : html`<span class="time">${phone}</span>`;

export const heading = (title: Html, ...lines: string[]): Html =>
  html`<header><div>${title}</div><p class="meta">${lines.map((line) => html`<span class="line">${line}</span>`)}</p></header>`;

/** Where people write what they counted, and what stands at the foot of every page. */
export const foot = html`<div class="heads">${[1, 2, 3].map(
  (number) => html`<div>Head count ${number}<i></i>at<i></i>by<i></i></div>`,
)}</div>
<p class="caution">In an emergency local code and the emergency services come first. Matside gives no medical or legal advice.</p>`;
