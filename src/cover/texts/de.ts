import type { Texts } from './texts.ts';
import { writingIn } from './writing.ts';

// Names and phrases from outside stand only where they need no other case than the one they come in.

const { number, choose, count, exact, and, or, time } = writingIn('de-DE');

const athletes = (n: number) => count(n, { one: 'turnende Person', other: 'Turnende' });
const need = (n: number) => choose(n, { one: 'braucht', other: 'brauchen' });
const is = (people: readonly string[]) => choose(people.length, { one: 'ist', other: 'sind' });
const has = (people: readonly string[]) => choose(people.length, { one: 'hat', other: 'haben' });
const under = (rule: string | null) => (rule === null ? '' : ` (${rule})`);
const age = (months: number) =>
  months < 24
    ? count(months, { one: 'Monat', other: 'Monate' })
    : count(Math.floor(months / 12), { one: 'Jahr', other: 'Jahre' });
const somebody = (who: string | null) => who ?? 'Diese Person';
const forDuty = (asked: string | null) => (asked === null ? '' : `: gefragt ist jemand, der ${asked}`);

const DUTIES = {
  lead: { does: 'leitet', could: 'leiten' },
  assist: { does: 'assistiert', could: 'assistieren' },
  shadow: { does: 'hospitiert', could: 'hospitieren' },
  oversee: { does: 'Aufsicht führt', could: 'die Aufsicht führen' },
};

export const de: Texts = {
  time,
  span: ({ from, to }, zone) => `${time(from, zone)} bis ${time(to, zone)} Uhr`,
  finding: ({ unit, span, reason }) => `${unit}, ${span}: ${reason}.`,
  reasons: {
    short({ heads, youngest, needed, counted, rule, limit, exactLoad }) {
      const aged = youngest === null ? '' : ` (jüngstes Alter: ${age(youngest)})`;
      const atMost = limit === null ? '' : `, ${limit.band} höchstens ${exact(limit.most)}`;
      const coaches = count(needed, { one: 'Betreuungskraft', other: 'Betreuungskräfte' });
      const counts = counted.n === 0n ? 'angerechnet wird niemand' : `angerechnet: ${exact(counted)}`;
      const load = exactLoad === null ? '' : `, genau gerechnet nötig: ${exact(exactLoad)}`;
      return `${athletes(heads)}${aged} ${need(heads)} ${coaches} (${rule ?? ''}${atMost}); ${counts}${load}`;
    },
    floor: ({ heads, needed, filled, rule, asked }) =>
      `${athletes(heads)} ${need(heads)} ${count(needed, { one: 'Person', other: 'Personen' })} auf festgelegten Posten${under(rule)}; ` +
      `besetzbar: ${number(filled)}, und für den offenen Posten fehlt ${asked === null ? 'noch jemand' : `jemand, der ${asked}`}`,
    cap: ({ heads, most, rule, places }) =>
      `${athletes(heads)}, erlaubt: höchstens ${exact(most)}${under(rule)}${places.length === 0 ? '' : `, betrifft: ${and(places)}`}`,
    'no-band': ({ people, rule }) =>
      `${and(people)} ${is(people)} nach Alter oder Einstufung von der Regel nicht zugelassen${under(rule)}`,
    spotting({ stations, able, needed }) {
      const wanted =
        stations.length === 1
          ? 'braucht eine qualifizierte Hilfestellung'
          : 'brauchen je eine eigene qualifizierte Hilfestellung';
      const who =
        able.length === 0
          ? 'dort ist niemand dafür qualifiziert'
          : `dafür qualifiziert ${is(able)} nur ${and(able)} (nötig: ${number(needed)})`;
      return `${and(stations)} ${wanted}; ${who}`;
    },
    supervision: ({ people, rule, asked }) =>
      `${and(people)} ${has(people)} keine Aufsicht in Sichtweite, die noch jemanden übernehmen kann${under(rule)}` +
      (asked === null ? '' : `; Aufsicht führen kann, wer ${asked}`),
    support: ({ people }) => `${and(people)} ${has(people)} dort keine Einzelbetreuung`,
    'plan-withdrawn': () =>
      'der Unterrichtsplan wurde aus Sicherheitsgründen zurückgezogen; bitte den neueren Plan nehmen',
  },
  refusals: {
    'two-places': ({ who, when }) => `${somebody(who)} ist von ${when} schon anderswo eingeteilt.`,
    absent: ({ who, when }) => `${somebody(who)} ist von ${when} als abwesend eingetragen.`,
    'not-employed': ({ who, when }) => `${somebody(who)} ist an diesem Tag hier nicht angestellt (${when}).`,
    'under-age': ({ who, asked }) => `${somebody(who)} ist für diese Aufgabe zu jung${forDuty(asked)}.`,
    'not-qualified': ({ who, when, asked }) =>
      `${somebody(who)} ist von ${when} für diese Aufgabe nicht qualifiziert${forDuty(asked)}.`,
  },
  ahead: {
    'not-in': ({ who, unit, time }) => `${who} ist noch nicht angemeldet. Einsatz um ${time} Uhr: ${unit}.`,
    'on-break': ({ who, unit, time }) => `${who} hat Pause. Einsatz um ${time} Uhr: ${unit}.`,
    left: ({ who, unit, time }) => `${who} ist gegangen. Einsatz um ${time} Uhr: ${unit}.`,
    lastDay: ({ who, unit, kind }) => `Heute zum letzten Mal gültig: ${kind} von ${who}, hier: ${unit}.`,
  },
  atAnotherGym: 'Das verträgt sich nicht mit einem Einsatz an einem anderen Standort.',
  uncoveredAtAnotherGym:
    'Damit fehlten einem bestätigten Block an einem anderen Standort die nötigen Betreuungskräfte; bitte dort nachfragen.',
  tests: {
    age: ({ years }) => `mindestens ${number(years)} Jahre alt ist`,
    'older-than-athletes': ({ years }) =>
      `mindestens ${count(years, { one: 'Jahr', other: 'Jahre' })} älter ist als alle Turnenden dort`,
    holds: ({ kind }) => `${kind} hat, gültig für den ganzen Block`,
    duty: ({ duties }) => `dort ${or(duties.map((duty) => DUTIES[duty].does))}`,
    'not-taking-part': () => 'nicht selbst mitturnt',
    'no-own-child-here': () => 'dort kein eigenes Kind hat',
    supervised: ({ asked }) => `in Sichtweite von jemandem ist, der ${asked}`,
    all: ({ parts }) => (parts.length === 0 ? 'da ist' : and(parts)),
    any: ({ parts }) => (parts.length === 0 ? 'nie zu finden ist' : or(parts)),
  },
  holding: ({ kind }) => `${kind} hat`,
  whyNot: {
    spotting: 'gibt in dieser Zeit Hilfestellung',
    'max-of': 'die Regel rechnet nur einen Teil der Nötigen aus dieser Gruppe an',
    helper: 'betreut eine einzelne Person und wird für die anderen nicht angerechnet',
    'no-supervisor-free': 'niemand, der Aufsicht führen darf, kann noch jemanden übernehmen',
  },
  countsOnlyWho: ({ asked }) => `angerechnet wird nur, wer ${asked}`,
  edges: {
    'day-begins': () => 'Ein Tag beginnt.',
    'block-starts': ({ who }) => `${who} beginnt.`,
    'block-ends': ({ who }) => `${who} endet.`,
    'station-starts': ({ who }) => `${who} ist an der Reihe.`,
    'station-ends': ({ who }) => `${who} ist nicht mehr an der Reihe.`,
    'staff-come': ({ who }) => `${who} beginnt den Einsatz.`,
    'staff-go': ({ who }) => `${who} beendet den Einsatz.`,
    'break-starts': ({ who }) => `${who} macht Pause.`,
    'break-ends': ({ who }) => `${who} ist aus der Pause zurück.`,
    'takes-part-from': ({ who }) => `${who} turnt selbst mit.`,
    'takes-part-until': ({ who }) => `${who} turnt nicht mehr selbst mit.`,
    'athlete-comes': ({ who }) => `${who} kommt.`,
    'athlete-goes': ({ who }) => `${who} geht.`,
    'trait-starts': ({ who }) => `Eine Angabe ändert sich: ${who}.`,
    'trait-ends': ({ who }) => `Eine Angabe ändert sich: ${who}.`,
    'override-starts': () => 'Eine namentlich verantwortete Ausnahme beginnt.',
    'override-ends': () => 'Eine namentlich verantwortete Ausnahme endet.',
  },
  nearest({ asked, missing, people }) {
    const takes = asked === null ? '' : `: gefragt ist jemand, der ${asked}`;
    const short = missing === null ? '' : `; es fehlt: ${exact(missing)}`;
    const nearly = people.map((one) => `${one.name} (dann fehlte noch: ${exact(one.short)})`);
    const near = nearly.length === 0 ? '' : ` Am nächsten kommt: ${and(nearly)}.`;
    return `Niemand, der kommen könnte, würde reichen${takes}${short}.${near}`;
  },
  remedies: {
    move: ({ who, duty, unit, span }) => `${unit}, ${span}: ${who} könnte ${DUTIES[duty].could}.`,
    swap: ({ first, second, span }) => `${first} und ${second} könnten die Plätze tauschen, ${span}.`,
    merge: ({ from, into }) =>
      `Zwei Gruppen könnten mit ihren Betreuungskräften für die ganze Stunde zusammengehen: ${from} zu ${into}.`,
    stepDown: ({ block, station, drill }) =>
      `${block}: ${station} könnte auf die leichtere Übung „${drill}“ ausweichen.`,
    stepDownReason: 'Weniger Hilfestellung nötig, damit der Block ausreichend betreut ist.',
    admitFewer: ({ block, most }) => `${block}: ausreichend betreut mit höchstens ${number(most)} Turnenden.`,
    admitFewerByHand:
      'Wer bleibt, entscheidet jemand, der die Kinder kennt: eine Anmeldung beenden oder Turnende in eine andere Gruppe oder Stunde geben.',
    stillShort: ({ short }) => `Danach fehlte noch: ${exact(short)}.`,
  },
  room: {
    full: ({ className, capacity, left }) =>
      `${className} hat ${count(capacity, { one: 'Platz', other: 'Plätze' })}, davon noch frei: ${number(left)}.`,
    notLaidOut: 'Gruppen und Blöcke sind noch nicht eingeteilt.',
    alreadyThere: 'Diese Person hat dort schon einen Platz.',
    elsewhere: ({ className }) => `Diese Person hat zu dieser Zeit schon einen Platz: ${className}.`,
  },
  atMoment({ unit, athletes: there, counted, bound }) {
    const asked =
      bound === null
        ? 'keine Betreuungsregel verlangte etwas'
        : `${bound.rule} (Fassung ${number(bound.version)}) verlangte: ${number(bound.needed)}`;
    return `${unit}: ${athletes(there)}, angerechnet: ${exact(counted)}; ${asked}.`;
  },
  substitutes: {
    notOnStaff: 'Diese Person gehört an diesem Standort nicht zum Team.',
    notReleased: 'Das ist kein Einsatz, der durch diese Abwesenheit frei wird.',
  },
  unnamed: {
    premises: 'Der Standort',
    session: 'Eine Stunde',
    block: 'Ein Block',
    athlete: 'eine turnende Person',
    person: 'jemand',
    rule: 'eine Regel',
    station: 'eine Station',
    area: 'ein Bereich',
    kind: 'eine Qualifikation',
    drill: 'eine leichtere Übung',
  },
  tried: { block: 'Der Block', session: 'Die Stunde', premises: 'Der Standort' },
  grade: ({ kind, grade }) => `${kind}, Stufe ${number(grade)}`,
};
