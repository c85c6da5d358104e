import { createHash } from 'node:crypto';
import { type Html, html } from '../../platform/http/html.ts';
import type { DaySheet, OnPremises, SheetSession, SheetStaff } from './day-sheet-schema.ts';
import { sessionPage } from './day-sheet-session.ts';
import { STYLE } from './day-sheet-style.ts';
import { type Clock, clockOf, foot, heading, listed, NONE, span, telephone } from './day-sheet-words.ts';

// A function from data to a page. The page is one file with its style in it: kept on a disk, it prints without a network.

const HASH = createHash('sha256').update(STYLE.markup).digest('base64');
/** No script, nothing from anywhere, and no style but its own. */
export const PAGE_POLICY = `default-src 'none'; style-src 'sha256-${HASH}'; img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'`;

/** The sheet as a page: first one to clear the building by, then one for each session. Times are the gym's own. */
export function daySheetPage(sheet: DaySheet): string {
  const say = clockOf(sheet);
  return html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Day sheet · ${sheet.gymName} · ${sheet.day}</title>
<link rel="icon" href="data:,">
<style>${STYLE}</style>
</head>
<body>
${firstPage(sheet, say)}
${sheet.sessions.map((session, index) => sessionPage(sheet, session, index + 1, say))}
</body>
</html>
`.markup;
}

function firstPage(sheet: DaySheet, say: Clock): Html {
  const { sessions, onPremises, staff } = sheet;
  const left = [
    sheet.sessionsLeftOut > 0 ? `sessions of this day: ${sheet.sessionsLeftOut} more` : null,
    sheet.onPremisesLeftOut > 0 ? `athletes in the building: ${sheet.onPremisesLeftOut} more` : null,
    sheet.staffLeftOut > 0 ? `staff: ${sheet.staffLeftOut} more` : null,
  ].filter((part) => part !== null);
  const title = html`<h1>To clear the building</h1><p class="when">${sheet.gymName} · ${say.day}</p>`;
  return html`<section>
${heading(title, `First page, then ${sheet.sessions.length} by session`, `Printed ${say.printed}`)}
<p>What is marked here is as last recorded when this was printed. From then on, this paper is the record: take it outside,
tick who is there, and count each session.</p>
${left.length === 0 ? NONE : html`<p class="loud">Not on this sheet: ${left.join('; ')}.</p>`}
<h3>Sessions</h3>
${sessions.length === 0 ? html`<p>No session takes place on this day.</p>` : sessionTable(sessions, say)}
<h3>Athletes in the building: ${onPremises.length + sheet.onPremisesLeftOut}</h3>
${
  onPremises.length === 0
    ? html`<p>Nobody, as last recorded.</p>`
    : html`<ul class="here">${onPremises.map((one) => present(one, sheet.printedAt, say))}</ul>`
}
<h3>Staff planned, or here</h3>
${staff.length === 0 ? html`<p>Nobody is planned on this day.</p>` : staffTable(staff, sessions, say)}
${foot}
</section>`;
}

const sessionTable = (sessions: readonly SheetSession[], say: Clock): Html => html`<div class="scrolls"><table>
<colgroup><col width="36%"><col width="14%"><col width="8%"><col width="7%"><col width="8%"><col width="7%"><col width="8%"><col width="12%"></colgroup>
<thead><tr><th scope="col">Session</th><th scope="col">Time</th><th scope="col">On the roll</th><th scope="col">In</th><th scope="col">At the door</th><th scope="col">Left</th><th scope="col">Absent</th><th scope="col">Counted outside</th></tr></thead>
<tbody>${sessions.map(
  ({
    className,
    startsAt,
    endsAt,
    counts,
  }) => html`<tr><th scope="row"><bdi>${className}</bdi></th><td>${span(startsAt, endsAt, say)}</td>
<td class="num">${counts.onRoll}</td><td class="num"><b>${counts.present}</b></td><td class="num">${counts.onHold}</td><td class="num">${counts.left}</td><td class="num">${counts.absent}</td><td></td></tr>`,
)}</tbody>
</table></div>`;

function present({ className, endsAt, state, since, out, ...who }: OnPremises, printedAt: string, say: Clock): Html {
  const notes = [
    state === 'on-hold' ? 'on hold at the door' : `in ${say.time(since)}`,
    ...(state === 'present' && endsAt <= printedAt ? ['NOT COLLECTED'] : []),
    ...(out === null
      ? []
      : [`out of the hall ${say.time(out.since)}, ${out.with === null ? 'alone' : `with ${out.with}`}`]),
  ];
  return html`<li><span class="box"></span><span>${listed(who)} · <bdi>${className}</bdi> · ${notes.join(' · ')}</span></li>`;
}

const HERE = { 'not-yet': 'not in yet', here: 'here', 'on-break': 'on a break', left: 'has left' } as const;

function staffTable(staff: readonly SheetStaff[], sessions: readonly SheetSession[], say: Clock): Html {
  const nameOf = new Map(sessions.map(({ sessionId, className }) => [sessionId, className]));
  return html`<div class="scrolls"><table>
<colgroup><col width="8%"><col width="32%"><col width="17%"><col width="11%"><col width="32%"></colgroup>
<thead><tr><th scope="col">Outside</th><th scope="col">Name</th><th scope="col">Telephone</th><th scope="col">Here</th><th scope="col">When and where</th></tr></thead>
<tbody>${staff.map(
    ({
      phone,
      places,
      here,
      ...who
    }) => html`<tr><td class="mid"><span class="box"></span></td><th scope="row">${listed(who)}</th>
<td>${telephone(phone)}</td><td>${HERE[here]}</td><td>${whereOf(places, nameOf, say)}</td></tr>`,
  )}</tbody>
</table></div>`;
}

/** A line a session, however many of its blocks they teach. */
function whereOf(places: SheetStaff['places'], nameOf: ReadonlyMap<string, string>, say: Clock): Html | Html[] {
  const bySession = new Map<string | null, { from: string; to: string }>();
  for (const { sessionId, startsAt, endsAt } of places) {
    const known = bySession.get(sessionId);
    bySession.set(sessionId, {
      from: known?.from ?? startsAt,
      to: known && known.to > endsAt ? known.to : endsAt,
    });
  }
  if (bySession.size === 0) return html`not planned`;
  return [...bySession].map(([sessionId, { from, to }]) => {
    const where = sessionId === null ? 'wherever needed' : (nameOf.get(sessionId) ?? 'a session not on this sheet');
    return html`<span class="line">${span(from, to, say)} <bdi>${where}</bdi></span>`;
  });
}
