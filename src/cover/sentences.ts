import { ceilOf, ZERO } from './fraction.ts';
import type { Duty, Finding, Fraction, Id, Refusal, Span, Subject, Test, Unit } from './types.ts';

/** What ids are called, in the reader's language, and the zone that times are told in. */
export type Names = {
  zone: string;
  unit: (unit: Unit) => string;
  rule: (rule: Id) => string;
  band: (rule: Id, band: Id) => string;
  person: (person: Id) => string;
  station: (station: Id) => string;
  area: (area: Id) => string;
  kind: (kind: Id, grade: number) => string;
};

/**
 * A finding in plain English: where, when, how many, of what, against what. "Beam, 16:20 to 16:40: 9 athletes with the
 * youngest aged 4 need 2 coaches (Club rule, under 5 at most 8); 1 counts."
 */
export function sentence(finding: Finding, names: Names): string {
  return `${names.unit(finding.unit)}, ${timesOf(finding.span, names)}: ${reason(finding, names)}.`;
}

/** A refusal in plain English; with the person's id, it names them. */
export function refusalSentence({ why, span, failed }: Refusal, names: Names, person?: Id): string {
  const who = person === undefined ? 'This person' : names.person(person);
  const when = timesOf(span, names);
  const asked = failed === null ? '' : `: the duty asks for somebody who ${testPhrase(failed, names)}`;
  switch (why) {
    case 'two-places':
      return `${who} is already in another place from ${when}.`;
    case 'absent':
      return `${who} is recorded as away from ${when}.`;
    case 'not-employed':
      return `${who} is not employed here on that day (${when}).`;
    case 'under-age':
      return `${who} is too young for that duty${asked}.`;
    case 'not-qualified':
      return `${who} is not qualified for that duty from ${when}${asked}.`;
  }
}

/** What a test asks, to follow "somebody who": "holds First aid and is at least 18". */
export function testPhrase(test: Test, names: Names): string {
  switch (test.test) {
    case 'age':
      return `is at least ${test.atLeastYears}`;
    case 'older-than-athletes':
      return `is at least ${count(test.byYears, 'year', 'years')} older than every athlete there`;
    case 'holds':
      return `holds ${names.kind(test.kind, test.grade)}, valid for the whole block`;
    case 'duty':
      return `${listed(
        test.in.map((duty) => DUTIES[duty]),
        'or',
      )} there`;
    case 'not-taking-part':
      return 'is not taking part';
    case 'no-own-child-here':
      return 'has no child of their own there';
    case 'supervised':
      return `is in sight of somebody who ${testPhrase(test.by, names)}`;
    case 'all':
      return test.of.length === 0
        ? 'is there'
        : listed(
            test.of.map((part) => testPhrase(part, names)),
            'and',
          );
    case 'any':
      return test.of.length === 0
        ? 'can never be found'
        : listed(
            test.of.map((part) => testPhrase(part, names)),
            'or',
          );
  }
}

const DUTIES: Record<Duty, string> = { lead: 'leads', assist: 'assists', shadow: 'shadows', oversee: 'oversees' };

function reason(finding: Finding, names: Names): string {
  const { code, rule, numbers, failed } = finding;
  const by = rule === null ? '' : ` (${names.rule(rule)})`;
  const heads = whole(numbers.heads);
  switch (code) {
    case 'short':
      return shortReason(finding, names);
    case 'floor':
      return (
        `${athletes(heads)} ${need(heads)} ${count(whole(numbers.needed), 'person', 'people')} at named posts${by}; ` +
        `${whole(numbers.counted)} can be filled, and the open one takes somebody ${failed ? `who ${testPhrase(failed, names)}` : 'more'}`
      );
    case 'cap':
      return `${athletes(heads)} where at most ${mixed(numbers.most ?? ZERO)} may be${by}${at(finding, names)}`;
    case 'no-band':
      return `${people(finding, 'athlete', names)} ${heads === 1 ? 'is' : 'are'} of no age or kind that the rule allows${by}`;
    case 'spotting':
      return spottingReason(finding, names);
    case 'supervision':
      return (
        `${people(finding, 'staff', names)} ${finding.subjects.length === 1 ? 'has' : 'have'} no supervisor in sight with room for them${by}` +
        (failed ? `; a supervisor ${testPhrase(failed, names)}` : '')
      );
    case 'support':
      return `${people(finding, 'athlete', names)} ${heads === 1 ? 'has' : 'have'} no one-to-one helper there`;
    case 'plan-withdrawn':
      return 'its lesson plan was withdrawn for safety; take the newer plan';
  }
}

function shortReason({ numbers, rule, count: judged }: Finding, names: Names): string {
  const heads = whole(numbers.heads);
  const youngest = numbers.youngest === undefined ? '' : ` with the youngest aged ${age(whole(numbers.youngest))}`;
  const band = rule !== null && judged?.band != null ? names.band(rule, judged.band) : null;
  const limit = band === null || numbers.most === undefined ? '' : `, ${band} at most ${mixed(numbers.most)}`;
  const counted = numbers.counted ?? ZERO;
  const counts = counted.n === counted.d || counted.n === 0n ? 'counts' : 'count';
  return (
    `${athletes(heads)}${youngest} ${need(heads)} ${count(whole(numbers.needed), 'coach', 'coaches')} ` +
    `(${rule === null ? '' : names.rule(rule)}${limit}); ${counted.n === 0n ? 'nobody' : mixed(counted)} ${counts}` +
    hairsbreadth(numbers)
  );
}

/** Said where rounding would hide the shortfall: a load of 9/8 against a count of 1 needs 2, but 3/2 against 5/4 needs 2 too. */
function hairsbreadth({ load, counted, needed }: Finding['numbers']): string {
  if (load === undefined || counted === undefined || needed === undefined) return '';
  return ceilOf(counted) >= ceilOf(needed) ? `, and the exact load is ${mixed(load)}` : '';
}

function spottingReason({ subjects, numbers }: Finding, names: Names): string {
  const stations = subjects.filter(({ what }) => what === 'station').map(({ id }) => names.station(id));
  const able = subjects.filter(({ what }) => what === 'staff').map(({ id }) => names.person(id));
  const each = stations.length === 1 ? 'needs' : 'need different';
  const spotters = stations.length === 1 ? 'a qualified spotter' : 'qualified spotters';
  const who =
    able.length === 0
      ? 'nobody there is qualified'
      : `only ${listed(able, 'and')} ${able.length === 1 ? 'is' : 'are'} qualified`;
  return `${listed(stations, 'and')} ${each} ${spotters}; ${who}${able.length > 0 ? ` (${whole(numbers.needed)} needed)` : ''}`;
}

function at({ subjects }: Finding, names: Names): string {
  const named = subjects.flatMap(({ what, id }) =>
    what === 'station' ? names.station(id) : what === 'area' ? names.area(id) : [],
  );
  return named.length === 0 ? '' : ` at ${listed(named, 'and')}`;
}

function people({ subjects }: Finding, what: Subject['what'], names: Names): string {
  return listed(
    subjects.filter((one) => one.what === what).map(({ id }) => names.person(id)),
    'and',
  );
}

const whole = (value: Fraction | undefined): number => (value === undefined ? 0 : ceilOf(value));
const athletes = (n: number): string => count(n, 'athlete', 'athletes');
const need = (n: number): string => (n === 1 ? 'needs' : 'need');
const count = (n: number, one: string, many: string): string => `${n} ${n === 1 ? one : many}`;
const age = (months: number): string => (months < 24 ? count(months, 'month', 'months') : `${Math.floor(months / 12)}`);

function listed(words: readonly string[], last: 'and' | 'or'): string {
  return words.length < 2 ? words.join('') : `${words.slice(0, -1).join(', ')} ${last} ${words.at(-1)}`;
}

/** "1", "1/2", "1 1/2". */
function mixed({ n, d }: Fraction): string {
  const [units, rest] = [n / d, n % d];
  if (rest === 0n) return `${units}`;
  return units === 0n ? `${n}/${d}` : `${units} ${rest < 0n ? -rest : rest}/${d}`;
}

const clocks = new Map<string, Intl.DateTimeFormat>();

function timesOf({ from, to }: Span, { zone }: Names): string {
  let clock = clocks.get(zone);
  if (clock === undefined) {
    clock = new Intl.DateTimeFormat('en-GB', { timeZone: zone, hour: '2-digit', minute: '2-digit', hourCycle: 'h23' });
    clocks.set(zone, clock);
  }
  return `${clock.format(from)} to ${clock.format(to)}`;
}
