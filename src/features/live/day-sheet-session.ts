import { grouped } from '../../enforcement/rows.ts';
import { type Html, html } from '../../platform/http/html.ts';
import type { DaySheet, SheetAthlete, SheetBlock, SheetSession } from './day-sheet-schema.ts';
import { type Clock, foot, heading, listed, NONE, named, span, telephone } from './day-sheet-words.ts';

const WALK_IN_LINES = 3;
const MOST_SENTENCES = 6;

/** One session: its cover and limits, who teaches what, the roll to tick, and lines for those who walk in. */
export function sessionPage(sheet: DaySheet, session: SheetSession, number: number, say: Clock): Html {
  const { className, programme, plan, blocks, overseenBy, roll, athletesLeftOut, counts } = session;
  const title = html`<h2><bdi>${className}</bdi></h2>
<p class="when">${span(session.startsAt, session.endsAt, say)} · <bdi>${programme}</bdi>${plan === null ? NONE : html` · <bdi>${plan}</bdi>`}</p>`;
  const page = `Session ${number} of ${sheet.sessions.length}`;
  return html`<section class="${densityOf(session)}">
${heading(title, `${sheet.gymName} · ${say.day}`, page, `Printed ${say.printed}`)}
${coverLines(blocks)}
${overseenBy.length === 0 ? NONE : html`<p>Overseen by <bdi>${overseenBy.join(', ')}</bdi></p>`}
${blocks.length === 0 ? NONE : blockTable(blocks, say)}
${athletesLeftOut === 0 ? NONE : html`<p class="loud">On the roll and NOT on this sheet: ${athletesLeftOut} more. Print this session by itself.</p>`}
<div class="scrolls"><table class="roll">
<colgroup><col width="3%"><col width="32%"><col width="4%"><col width="9%"><col width="32%"><col width="6%"><col width="6%"><col width="8%"></colgroup>
<thead><tr><th colspan="8">Roll of ${counts.onRoll} · <bdi>${className}</bdi> · ${span(session.startsAt, session.endsAt, say)} · ${say.day}</th></tr>
<tr><th scope="col">#</th><th scope="col">Name, and <span class="alert">!</span> medical alert</th><th scope="col">Age</th><th scope="col">Group</th><th scope="col">May collect, and whom to call</th><th scope="col">In</th><th scope="col">Out</th><th scope="col">Collected by</th></tr></thead>
<tbody>${roll.map((athlete, index) => rollRow(athlete, index + 1, say))}</tbody>
<tbody>${Array.from({ length: WALK_IN_LINES }, () => walkIn)}</tbody>
</table></div>
${foot}
</section>`;
}

/** Text shrinks with what a page has to hold, and grows where there is room. */
function densityOf({ roll, blocks }: SheetSession): 'few' | 'some' | 'many' {
  if (roll.length + blocks.length / 2 > 20) return 'many';
  return roll.length <= 10 ? 'few' : 'some';
}

/** How it stands with the staff planned, and how many athletes that allows. */
function coverLines(blocks: readonly SheetBlock[]): Html {
  if (blocks.length === 0) return html`<p class="loud">Not laid out: no blocks, and nobody planned for them.</p>`;
  const short = blocks.filter(({ covered }) => !covered);
  const limits = new Map<string, number>();
  for (const { group, atMost } of blocks) {
    if (atMost !== null) limits.set(group, Math.min(atMost, limits.get(group) ?? atMost));
  }
  const most = [...limits].map(
    ([group, atMost], index) => html`${index === 0 ? '' : '; '}<bdi>${group}</bdi> at most <b>${atMost}</b>`,
  );
  const limit = most.length === 0 ? NONE : html`With the staff planned: ${most}, if those who join are no younger.`;
  if (short.length === 0) return html`<p>Cover: every block has the coaches it needs. ${limit}</p>`;
  return html`<div class="loud">NOT COVERED: ${short.length} of ${blocks.length} blocks.${whyShort(short)}</div>
<p>${limit}</p>`;
}

/** The first of what was found: the paper has to have room for the roll. */
function whyShort(blocks: readonly SheetBlock[]): Html[] {
  const sentences = [...new Set(blocks.flatMap(({ why }) => why))];
  const more = sentences.length - MOST_SENTENCES;
  const shown = [...sentences.slice(0, MOST_SENTENCES), ...(more > 0 ? [`And ${more} more.`] : [])];
  return shown.map((sentence) => html`<span class="line">${sentence}</span>`);
}

/** By group, each in the order in which it is taught; coaches who stay with a group are named once. */
function blockTable(blocks: readonly SheetBlock[], say: Clock): Html {
  const blocksOf = grouped(blocks, ({ groupId }) => groupId);
  const groupIds = [...new Set(blocks.map(({ groupId }) => groupId))];
  return html`<div class="scrolls"><table class="blocks">
<colgroup><col width="8%"><col width="22%"><col width="11%"><col width="22%"><col width="29%"><col width="8%"></colgroup>
<thead><tr><th scope="col">Group</th><th scope="col">Taught by</th><th scope="col">Time</th><th scope="col">Block, where</th><th scope="col">Spotting</th><th scope="col">Coaches</th></tr></thead>
${groupIds.map((groupId) => html`<tbody>${groupRows(blocksOf(groupId), say)}</tbody>`)}
</table></div>`;
}

function groupRows(blocks: readonly SheetBlock[], say: Clock): Html[] {
  const whoOf = ({ staff }: SheetBlock) => staff.map(({ personId, duty }) => `${personId} ${duty}`).join();
  const ways = blocks.map(whoOf);
  return blocks.map((block, index) => {
    const changes = ways.findIndex((who, at) => at > index && who !== ways[index]);
    const rows = (changes === -1 ? blocks.length : changes) - index;
    const group = html`<th scope="rowgroup" rowspan="${blocks.length}"><bdi>${block.group}</bdi></th>`;
    const coaches = html`<td rowspan="${rows}">${taughtBy(block)}</td>`;
    const isNew = index === 0 || ways[index] !== ways[index - 1];
    return html`<tr>${index === 0 ? group : NONE}${isNew ? coaches : NONE}${blockCells(block, say)}</tr>`;
  });
}

const MODES = { none: '', 'stand-by': 'stand by', 'hands-on': 'hands-on' } as const;
const DUTIES = { lead: 'leads', assist: 'assists', shadow: 'shadows', oversee: 'oversees' } as const;

const taughtBy = ({ staff }: SheetBlock): Html[] =>
  staff.length === 0
    ? [html`<b>nobody</b>`]
    : staff.map(({ name, duty }) => html`<span class="line"><bdi>${name}</bdi> ${DUTIES[duty]}</span>`);

function blockCells(block: SheetBlock, say: Clock): Html {
  const { title, areas, spotting, counted, needed, covered } = block;
  const spots = spotting.map(
    ({ station, mode, kind }) =>
      html`<span class="line"><bdi>${station}</bdi>: ${MODES[mode]}, <bdi>${kind}</bdi></span>`,
  );
  return html`<td>${span(block.startsAt, block.endsAt, say)}</td><td><bdi>${title}</bdi>, <bdi>${areas.join(', ')}</bdi></td>
<td>${spots.length === 0 ? html`none` : spots}</td><td><span class="time">${counted} of ${needed}</span>${covered ? NONE : html` <b>not covered</b>`}</td>`;
}

const KINDS = { enrolled: '', trial: 'trial', 'make-up': 'make-up', guest: 'walk-in' } as const;

const walkIn = html`<tr><td></td><th scope="row"><span class="small">walk-in:</span></th><td></td><td></td><td></td><td></td><td></td><td></td></tr>`;

function rollRow(athlete: SheetAthlete, number: number, say: Clock): Html {
  const { kind, age, group, ownGym, alerts, stopped, outAt } = athlete;
  const from = ownGym === null ? NONE : html` <span class="tag">of <bdi>${ownGym}</bdi></span>`;
  const tag = html`${kind === 'enrolled' ? NONE : html` <span class="tag">${KINDS[kind]}</span>`}${from}`;
  const stop = stopped ? html`<b class="line kept">NO ACTIVITY: clearance is missing</b>` : NONE;
  const alert =
    alerts === null ? NONE : html`<span class="line"><span class="alert">!</span> <bdi>${alerts}</bdi></span>`;
  return html`<tr><td class="num">${number}</td><th scope="row">${listed(athlete)}${tag}${stop}${alert}</th>
<td class="mid">${age ?? '?'}</td><td><bdi>${group ?? '–'}</bdi></td><td>${collectedBy(athlete)}</td>
<td class="mid">${cameIn(athlete, say)}</td><td class="mid">${outAt === null ? '' : say.time(outAt)}</td><td></td></tr>`;
}

function cameIn({ state, late, inAt }: SheetAthlete, say: Clock): Html {
  if (state === 'absent') return html`absent`;
  if (state === 'on-hold') return html`<b>on hold</b>`;
  if (inAt !== null) return html`${say.time(inAt)}`;
  return late ? html`late` : NONE;
}

function collectedBy({ guardians, others, phone, custodyNote, ownGym }: SheetAthlete): Html[] {
  const lines = [
    ...guardians.map(
      ({ relation, mayCollect, phone: theirs, ...who }) =>
        html`<span class="line">${mayCollect ? NONE : html`<b>MAY NOT COLLECT:</b> `}${named(who)}, <bdi>${relation}</bdi>, ${telephone(theirs)}</span>`,
    ),
    ...others.map(({ name, relation }) => html`<span class="line"><bdi>${name}</bdi>, <bdi>${relation}</bdi></span>`),
    ...(phone === null ? [] : [html`<span class="line">of their own: ${telephone(phone)}</span>`]),
    ...(custodyNote === null ? [] : [html`<span class="line kept">Custody: <bdi>${custodyNote}</bdi></span>`]),
  ];
  const nobody = ownGym === null ? html`<b>nobody on file</b>` : html`<b>ask</b> <bdi>${ownGym}</bdi>`;
  return lines.length === 0 ? [nobody] : lines;
}
