import type { Texts } from './texts.ts';
import { writingIn } from './writing.ts';

const { number, choose, count, exact, and, or, time } = writingIn('en-GB');

const athletes = (n: number) => count(n, { one: 'athlete', other: 'athletes' });
const need = (n: number) => choose(n, { one: 'needs', other: 'need' });
const under = (rule: string | null) => (rule === null ? '' : ` (${rule})`);
const age = (months: number) =>
  months < 24 ? count(months, { one: 'month', other: 'months' }) : number(Math.floor(months / 12));
const somebody = (who: string | null) => who ?? 'This person';
const forDuty = (asked: string | null) => (asked === null ? '' : `: the duty asks for somebody who ${asked}`);

const DUTIES = {
  lead: { does: 'leads', could: 'lead' },
  assist: { does: 'assists', could: 'assist' },
  shadow: { does: 'shadows', could: 'shadow' },
  oversee: { does: 'oversees', could: 'oversee' },
};

export const en: Texts = {
  time,
  span: ({ from, to }, zone) => `${time(from, zone)} to ${time(to, zone)}`,
  finding: ({ unit, span, reason }) => `${unit}, ${span}: ${reason}.`,
  reasons: {
    short({ heads, youngest, needed, counted, rule, limit, exactLoad }) {
      const aged = youngest === null ? '' : ` with the youngest aged ${age(youngest)}`;
      const atMost = limit === null ? '' : `, ${limit.band} at most ${exact(limit.most)}`;
      const coaches = count(needed, { one: 'coach', other: 'coaches' });
      const isOne = counted.n === counted.d;
      const counts = counted.n === 0n ? 'nobody counts' : `${exact(counted)} ${isOne ? 'counts' : 'count'}`;
      const load = exactLoad === null ? '' : `, and the exact load is ${exact(exactLoad)}`;
      return `${athletes(heads)}${aged} ${need(heads)} ${coaches} (${rule ?? ''}${atMost}); ${counts}${load}`;
    },
    floor: ({ heads, needed, filled, rule, asked }) =>
      `${athletes(heads)} ${need(heads)} ${count(needed, { one: 'person', other: 'people' })} at named posts${under(rule)}; ` +
      `${number(filled)} can be filled, and the open one takes somebody ${asked === null ? 'more' : `who ${asked}`}`,
    cap: ({ heads, most, rule, places }) =>
      `${athletes(heads)} where at most ${exact(most)} may be${under(rule)}${places.length === 0 ? '' : ` at ${and(places)}`}`,
    'no-band': ({ people, rule }) =>
      `${and(people)} ${choose(people.length, { one: 'is', other: 'are' })} of no age or kind that the rule allows${under(rule)}`,
    spotting({ stations, able, needed }) {
      const wanted = stations.length === 1 ? 'needs a qualified spotter' : 'need different qualified spotters';
      const who =
        able.length === 0
          ? 'nobody there is qualified'
          : `only ${and(able)} ${choose(able.length, { one: 'is', other: 'are' })} qualified (${number(needed)} needed)`;
      return `${and(stations)} ${wanted}; ${who}`;
    },
    supervision: ({ people, rule, asked }) =>
      `${and(people)} ${choose(people.length, { one: 'has', other: 'have' })} no supervisor in sight with room for them${under(rule)}` +
      (asked === null ? '' : `; a supervisor ${asked}`),
    support: ({ people }) =>
      `${and(people)} ${choose(people.length, { one: 'has', other: 'have' })} no one-to-one helper there`,
    'plan-withdrawn': () => 'its lesson plan was withdrawn for safety; take the newer plan',
  },
  refusals: {
    'two-places': ({ who, when }) => `${somebody(who)} is already in another place from ${when}.`,
    absent: ({ who, when }) => `${somebody(who)} is recorded as away from ${when}.`,
    'not-employed': ({ who, when }) => `${somebody(who)} is not employed here on that day (${when}).`,
    'under-age': ({ who, asked }) => `${somebody(who)} is too young for that duty${forDuty(asked)}.`,
    'not-qualified': ({ who, when, asked }) =>
      `${somebody(who)} is not qualified for that duty from ${when}${forDuty(asked)}.`,
  },
  ahead: {
    'not-in': ({ who, unit, time }) => `${who} has not checked in, and is due at ${unit} at ${time}.`,
    'on-break': ({ who, unit, time }) => `${who} is on a break, and is due at ${unit} at ${time}.`,
    left: ({ who, unit, time }) => `${who} has left, and is due at ${unit} at ${time}.`,
    lastDay: ({ who, unit, kind }) => `Today is the last day of ${kind} of ${who}, who is at ${unit}.`,
  },
  atAnotherGym: 'It does not go with a place that they have at another gym.',
  uncoveredAtAnotherGym:
    'It would leave a confirmed block at another gym without the coaches it needs; ask somebody there.',
  tests: {
    age: ({ years }) => `is at least ${number(years)}`,
    'older-than-athletes': ({ years }) =>
      `is at least ${count(years, { one: 'year', other: 'years' })} older than every athlete there`,
    holds: ({ kind }) => `holds ${kind}, valid for the whole block`,
    duty: ({ duties }) => `${or(duties.map((duty) => DUTIES[duty].does))} there`,
    'not-taking-part': () => 'is not taking part',
    'no-own-child-here': () => 'has no child of their own there',
    supervised: ({ asked }) => `is in sight of somebody who ${asked}`,
    all: ({ parts }) => (parts.length === 0 ? 'is there' : and(parts)),
    any: ({ parts }) => (parts.length === 0 ? 'can never be found' : or(parts)),
  },
  holding: ({ kind }) => `holds ${kind}`,
  whyNot: {
    spotting: 'spots by hand meanwhile',
    'max-of': 'the rule lets only a part of those needed be of this kind',
    helper: 'helps one athlete and counts for nobody else',
    'no-supervisor-free': 'nobody who may supervise has room for them',
  },
  countsOnlyWho: ({ asked }) => `counts only somebody who ${asked}`,
  edges: {
    'day-begins': () => 'A day begins.',
    'block-starts': ({ who }) => `${who} starts.`,
    'block-ends': ({ who }) => `${who} ends.`,
    'station-starts': ({ who }) => `${who} has its turn.`,
    'station-ends': ({ who }) => `The turn of ${who} ends.`,
    'staff-come': ({ who }) => `${who} takes their place.`,
    'staff-go': ({ who }) => `${who} leaves their place.`,
    'break-starts': ({ who }) => `${who} has a break.`,
    'break-ends': ({ who }) => `${who} is back from a break.`,
    'takes-part-from': ({ who }) => `${who} takes part as an athlete.`,
    'takes-part-until': ({ who }) => `${who} no longer takes part as an athlete.`,
    'athlete-comes': ({ who }) => `${who} comes.`,
    'athlete-goes': ({ who }) => `${who} goes.`,
    'trait-starts': ({ who }) => `What is known of ${who} changes.`,
    'trait-ends': ({ who }) => `What is known of ${who} changes.`,
    'override-starts': () => 'What was accepted by name begins.',
    'override-ends': () => 'What was accepted by name ends.',
  },
  nearest({ asked, missing, people }) {
    const takes = asked === null ? '' : `: it takes somebody who ${asked}`;
    const short = missing === null ? '' : `, and ${exact(missing)} is missing`;
    const nearly = people.map((one) => `${one.name} (${exact(one.short)} would be missing yet)`);
    return `Nobody who could come would do${takes}${short}.${nearly.length === 0 ? '' : ` Nearest: ${and(nearly)}.`}`;
  },
  remedies: {
    move: ({ who, duty, unit, span }) => `${who} could ${DUTIES[duty].could} at ${unit}, ${span}.`,
    swap: ({ first, second, span }) => `${first} and ${second} could change places, ${span}.`,
    merge: ({ from, into }) =>
      `The group of ${from} could join that of ${into}, with its coaches, for all of the session.`,
    stepDown: ({ block, station, drill }) => `${block}: ${station} could step down to “${drill}”.`,
    stepDownReason: 'Spotted less, so that the block is covered.',
    admitFewer: ({ block, most }) => `${block} would be covered with ${athletes(most)} at most.`,
    admitFewerByHand:
      'Who stays is for somebody who knows the children: end an enrolment, or move athletes to another group or another session.',
    stillShort: ({ short }) => `It would still fall short by ${exact(short)}.`,
  },
  room: {
    full: ({ className, capacity, left }) =>
      `${className} takes ${number(capacity)} and has ${number(left)} of its places left.`,
    notLaidOut: 'Its groups and blocks are not laid out yet.',
    alreadyThere: 'This athlete has a place in it already.',
    elsewhere: ({ className }) => `This athlete is in ${className} at that time.`,
  },
  atMoment({ unit, athletes: there, counted, bound }) {
    const asked =
      bound === null
        ? 'no ratio rule asked anything'
        : `${bound.rule} (version ${number(bound.version)}) asked for ${number(bound.needed)}`;
    return `${unit}: ${athletes(there)}, ${exact(counted)} counted; ${asked}.`;
  },
  substitutes: {
    notOnStaff: 'There is no such member of staff at this gym.',
    notReleased: 'That is no place that this absence releases.',
  },
  unnamed: {
    premises: 'The premises',
    session: 'A session',
    block: 'A block',
    athlete: 'an athlete',
    person: 'somebody',
    rule: 'a rule',
    station: 'a station',
    area: 'an area',
    kind: 'a qualification',
    drill: 'an easier drill',
  },
  tried: { block: 'The block', session: 'The session', premises: 'The premises' },
  grade: ({ kind, grade }) => `${kind}, grade ${number(grade)}`,
};
