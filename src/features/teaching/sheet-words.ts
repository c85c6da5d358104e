import { Temporal } from 'temporal-polyfill';
import type { Diagram } from '../curriculum/diagram-schema.ts';
import { type Kept, keptWithout, leftOutOf, mostLookFors } from './sheet-lesser.ts';
import type { LessonSheet, SheetPart, SheetStation, SheetStep, SheetTurn } from './sheet-schema.ts';

// What a printed sheet says, as boxes of lines, in the same words on the page and in the PDF.

export const CAUTION =
  'Local code, the emergency services and licensed practice come first. Matside gives no medical or legal advice.';

export interface Line {
  /** What the line is about, in bold before it. */
  label: string | null;
  text: string;
  loud: boolean;
  /** It belongs to the line before it, and may stand in one paragraph with it. */
  runsOn: boolean;
}
export interface Box {
  kind: 'part' | 'station';
  title: string;
  lines: Line[];
  /** The set-up from above, with a name that no other has on the sheet, in letters and digits. */
  drawing: { diagram: Diagram; id: string } | null;
}
export interface Words {
  title: string;
  when: string;
  about: string[];
  /** Nobody may overlook these. */
  loud: Line[];
  boxes: Box[];
  /** What is not on the paper. */
  leftOut: string | null;
}

export const line = (label: string | null, text: string, loud = false): Line => ({ label, text, loud, runsOn: false });
const more = (label: string | null, text: string): Line => ({ ...line(label, text), runsOn: true });

/** What comes next week, for a place that has said "next week" already. */
export const afterNextWeek = (text: string): string => text.replace(/^next week[,:]?\s+/i, '');

export interface Clock {
  day: string;
  /** "17:00" at the gym. */
  time: (moment: string) => string;
}

/** Days and times in words, as they are at the gym. */
export function clockOf(day: string, zone: string): Clock {
  const at = (moment: string) => Temporal.Instant.from(moment).toZonedDateTimeISO(zone).toPlainTime();
  return { day: dayInWords(day), time: (moment) => at(moment).toString({ smallestUnit: 'minute' }) };
}

/** "Monday 14 September 2026" */
export function dayInWords(day: string): string {
  const date = Temporal.PlainDate.from(day);
  const [weekday, month] = [{ weekday: 'long' }, { month: 'long' }] as const;
  return `${date.toLocaleString('en-GB', weekday)} ${date.day} ${date.toLocaleString('en-GB', month)} ${date.year}`;
}

/** Everything that a sheet says, but for so many of what may be left out. */
export function wordsOf(sheet: LessonSheet, without = 0): Words {
  const clock = clockOf(sheet.day, sheet.zone);
  const { plan, coach, levels, focus, change, alerts } = sheet;
  const kept = keptWithout(without);
  const told = new Set<string>();
  let drawn = 0;
  return {
    title: coach === null ? sheet.className : `${sheet.className} · ${coach.name}`,
    when: `${clock.day} · ${clock.time(sheet.startsAt)}–${clock.time(sheet.endsAt)}`,
    about: [
      [sheet.gym, sheet.programme, ...levels].join(' · '),
      plan === null ? 'Not laid out from a plan.' : `${plan.title}, version ${plan.number}`,
      `Printed ${clock.time(sheet.printedAt)}`,
    ],
    loud: [
      ...(plan?.withdrawn ? [line('Withdrawn', 'This plan has been withdrawn: ask before you teach it.', true)] : []),
      ...alerts.map((one) => line(`Medical: ${one.name} (${one.group})`, one.alerts, true)),
      ...(change === null ? [] : [line('Changed', change)]),
      ...(kept('focus') ? focus : []).map(({ apparatus, skills, nextWeek }) =>
        line(
          `Focus, ${apparatus}`,
          [
            ...(skills.length === 0 ? [] : [skills.map(({ skill, standing }) => `${skill} (${standing})`).join(', ')]),
            ...(nextWeek === null ? [] : [`Next week: ${afterNextWeek(nextWeek)}`]),
          ].join('. '),
        ),
      ),
    ],
    boxes: sheet.parts.flatMap((part) => [
      partBox(sheet, part, clock),
      ...part.stations.map((station, index) => {
        drawn += 1;
        return stationBox(part, station, index + 1, { kept, told, id: `drawing${drawn}` });
      }),
    ]),
    leftOut: leftOutOf(sheet, kept),
  };
}

const FORMATIONS = {
  circle: 'in a circle',
  file: 'one behind another',
  lanes: 'in lanes',
  stations: 'at stations',
  circuit: 'as a circuit',
} as const;

function partBox({ coach }: LessonSheet, part: SheetPart, clock: Clock): Box {
  const { classRule, stationsRun, stations } = part;
  const turns = stationsRun === 'in-turn' && stations.length > 1 ? ', one station after another' : '';
  return {
    kind: 'part',
    title: part.title,
    lines: [
      ...part.turns.flatMap((turn) => turnLines(turn, clock, coach?.personId ?? null)),
      line(
        null,
        `${part.waterFirst ? 'Water first · ' : ''}${part.minutes} min ${FORMATIONS[part.formation]}${turns} · importance ${part.importance}`,
      ),
      ...(classRule.trim() === '' ? [] : [line('Class rule', classRule)]),
    ],
    drawing: null,
  };
}

const DUTIES = { lead: 'leads', assist: 'assists', shadow: 'shadows', oversee: 'oversees' } as const;

function turnLines(turn: SheetTurn, clock: Clock, of: string | null): Line[] {
  const heads = `${turn.athletes} ${turn.athletes === 1 ? 'athlete' : 'athletes'}`;
  const who = turn.staff.map(({ name, duty }) => `${name} ${DUTIES[duty]}`).join(', ') || 'nobody placed';
  const where = turn.areas.join(', ');
  return [
    line(`${clock.time(turn.startsAt)}–${clock.time(turn.endsAt)} ${turn.group}`, `${heads} · ${where} · ${who}`),
    ...(turn.covered ? [] : [line('NOT COVERED', whyInWords(turn), true)]),
    ...spottedBy(turn).map(([name, stations]) => line('Spots', `${name}: ${stations.join(', ')}`)),
    ...(turn.unspotted.length === 0 ? [] : [line('NOBODY MAY SPOT', turn.unspotted.join(', '), true)]),
    ...turn.standIns.map((one) => line(ifLeaves(one, of), standInWords(one))),
    ...turn.notYetShown.map(({ skill, athletes, names }) => {
      const few = names.length > 0 && names.length <= 4 ? `: ${names.join(', ')}` : '';
      return line('Not yet shown', `${skill}, ${athletes} of ${turn.athletes}${few}`);
    }),
  ];
}

const whyInWords = ({ why }: SheetTurn) => `${why[0] ?? ''}${why.length > 1 ? ` And ${why.length - 1} more.` : ''}`;

function spottedBy({ spotters }: SheetTurn): [string, string[]][] {
  const by = new Map<string, string[]>();
  for (const { name, station } of spotters) by.set(name, [...(by.get(name) ?? []), station]);
  return [...by];
}

const ifLeaves = ({ personId, name }: SheetTurn['standIns'][number], of: string | null) =>
  personId === of ? 'If you have to leave' : `If ${name} has to leave`;

function standInWords({ outcome, by }: SheetTurn['standIns'][number]): string {
  if (outcome === 'still-covered') return 'it is covered without.';
  if (outcome === 'nobody') return 'nobody who is free may step in.';
  return `${by.map(({ name }) => name).join(', or ')} may step in.`;
}

const MODES = { none: '', 'stand-by': 'Stand by', 'hands-on': 'Hands on' } as const;
const JOBS = {
  landing: 'to land on',
  raise: 'as a raise',
  slope: 'as a slope',
  target: 'as a target',
  'keep-off': 'to keep off',
  'keep-back': 'to keep back',
} as const;

/** What is said, of which drills it has been said already, and what a drawing is called. */
interface Saying {
  kept: Kept;
  told: Set<string>;
  id: string;
}

function stationBox(part: SheetPart, station: SheetStation, number: number, saying: Saying): Box {
  const { setUp, spotting, places, fromMinute, toMinute, adapted, steps } = station;
  const { kept, id } = saying;
  const drawing = setUp.diagram !== null && kept('drawings') ? { diagram: setUp.diagram, id } : null;
  const isChanged = setUp.pieces.some(({ insteadOf }) => insteadOf !== null);
  const time = part.stationsRun === 'in-turn' && part.stations.length > 1 ? ` (min ${fromMinute}–${toMinute})` : '';
  const pieces = setUp.pieces.map(
    ({ amount, apparatus, job, forMixedSizes, orInstead, insteadOf }) =>
      `${amount} × ${apparatus} ${JOBS[job]}${forMixedSizes ? ' for the smaller' : ''}${
        orInstead.length > 0 && kept('alternatives') ? ` (or ${orInstead.join(', or ')})` : ''
      }${insteadOf === null ? '' : ` [instead of ${insteadOf}]`}`,
  );
  const kit = [`${station.items} × ${station.apparatus}`, setUp.words.trim().replace(/[.;,]+$/, ''), ...pieces].filter(
    (one) => one !== '',
  );
  const also = [
    places === null ? '' : ` ${places} at once.`,
    setUp.staysUp ? ' Stays up.' : '',
    drawing !== null && isChanged ? ' Drawn as the plan has it.' : '',
  ];
  return {
    kind: 'station',
    title: `${number} ${station.name}${time}`,
    lines: [
      line('Set up', `${kit.join('; ')}.${also.join('')}`),
      ...(spotting.mode === 'none' ? [] : [line(MODES[spotting.mode], spotting.by ?? '', true)]),
      ...adapted.map(({ what, reason, by }) =>
        line('Adapted', kept('reasons') ? `${what} ${reason}${by === null ? '' : ` (${by})`}` : what),
      ),
      ...steps.flatMap((step, index) =>
        step.weight === 'if-time' && !kept('if-time') ? [] : stepLines(step, index + 1, saying),
      ),
    ],
    drawing,
  };
}

const WEIGHTS = { core: '', extend: ' · extend', 'if-time': ' · if time' } as const;
const RUNGS = { floor: ', on the floor', low: ', low', full: ', full height' } as const;

function stepLines(step: SheetStep, number: number, { kept, told }: Saying): Line[] {
  const { drills, chooseBy, fromLevel, dose, weight } = step;
  const names = drills.map(
    ({ drillId, name, height, insteadOf }) =>
      `${name}${height === null ? '' : RUNGS[height]}${insteadOf.length > 0 ? ` [instead of ${insteadOf.join(', ')}]` : ''}${told.has(drillId) ? ' (as above)' : ''}`,
  );
  const which =
    chooseBy === null
      ? names.join(', or ')
      : `choose one by ${chooseBy.replace(/^by\s+/i, '')}: ${names.join(', or ')}`;
  const fresh = drills.filter(({ drillId }) => !told.has(drillId));
  for (const { drillId } of fresh) told.add(drillId);
  return [
    line(`${number}. ${which}`, `· ${dose}${fromLevel === null ? '' : ` · from ${fromLevel}`}${WEIGHTS[weight]}`),
    ...fresh.flatMap((drill) => {
      const of = drills.length > 1 ? `${drill.name}: ` : '';
      return [
        ...(drill.sayFirst.trim() === '' ? [] : [more('Say first', `${of}${drill.sayFirst}`)]),
        ...(drill.ifItGoesWrong.trim() === '' ? [] : [more('If it goes wrong', `${of}${drill.ifItGoesWrong}`)]),
        ...drill.lookFors
          .slice(0, mostLookFors(kept))
          .map(({ phase, right, wrong, say }) =>
            more(`${of}${phase}`, `right: ${right}; wrong: ${wrong}; say “${say}”`),
          ),
      ];
    }),
  ];
}
