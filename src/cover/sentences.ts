import type { Edge } from './edges.ts';
import { ceilOf, ZERO } from './fraction.ts';
import { type Language, type Texts, textsIn } from './texts/index.ts';
import type { Finding, Fraction, Id, Refusal, Subject, Test, Unit } from './types.ts';

/** What ids are called, the reader's language, and the zone that times are told in. */
export type Names = {
  language: Language;
  zone: string;
  unit: (unit: Unit) => string;
  rule: (rule: Id) => string;
  band: (rule: Id, band: Id) => string;
  /** `as` an athlete, who may be somebody on the staff as well: not everybody may know that they are. */
  person: (person: Id, as?: 'athlete') => string;
  station: (station: Id) => string;
  area: (area: Id) => string;
  kind: (kind: Id, grade: number) => string;
};

/**
 * A finding in plain words: where, when, how many, of what, against what. "Beam, 16:20 to 16:40: 9 athletes with the
 * youngest aged 4 need 2 coaches (Club rule, under 5 at most 8); 1 counts."
 */
export function sentence(finding: Finding, names: Names): string {
  const texts = textsIn(names.language);
  return texts.finding({
    unit: names.unit(finding.unit),
    span: texts.span(finding.span, names.zone),
    reason: reason(finding, names, texts.reasons),
  });
}

/**
 * What is missing where no change that could be offered would clear a finding: "Nobody who could come would do: it takes
 * somebody who holds First aid. Nearest: Ana (1/2 would be missing yet)."
 */
export function nearestSentence(
  { code, short, failed }: Finding,
  { asked, nearest }: { asked: string | null; nearest: readonly { person: Id; short: Fraction }[] },
  names: Names,
): string {
  return textsIn(names.language).nearest({
    asked: failed === null ? asked : testPhrase(failed, names),
    missing: code === 'short' || code === 'floor' ? short : null,
    people: nearest.map((one) => ({ name: names.person(one.person), short: one.short })),
  });
}

/** Why a stretch begins or ends, in plain words: "Ana takes their place." */
export function edgeSentence({ code, subject: { what, id } }: Edge, names: Names): string {
  const person = what === 'athlete' ? names.person(id, what) : names.person(id);
  const who = what === 'block' ? names.unit({ per: 'block', id }) : what === 'station' ? names.station(id) : person;
  return textsIn(names.language).edges[code]({ who });
}

/** A refusal in plain words; with the person's id, it names them. */
export function refusalSentence({ why, span, failed }: Refusal, names: Names, person?: Id): string {
  const texts = textsIn(names.language);
  return texts.refusals[why]({
    who: person === undefined ? null : names.person(person),
    when: texts.span(span, names.zone),
    asked: phraseOrNull(failed, names),
  });
}

/** What a test asks, to follow "somebody who": "holds First aid and is at least 18". */
export function testPhrase(test: Test, names: Names): string {
  const { tests } = textsIn(names.language);
  switch (test.test) {
    case 'age':
      return tests.age({ years: test.atLeastYears });
    case 'older-than-athletes':
      return tests['older-than-athletes']({ years: test.byYears });
    case 'holds':
      return tests.holds({ kind: names.kind(test.kind, test.grade) });
    case 'duty':
      return tests.duty({ duties: test.in });
    case 'not-taking-part':
    case 'no-own-child-here':
      return tests[test.test]({});
    case 'supervised':
      return tests.supervised({ asked: testPhrase(test.by, names) });
    case 'all':
    case 'any':
      return tests[test.test]({ parts: test.of.map((part) => testPhrase(part, names)) });
  }
}

const phraseOrNull = (test: Test | null, names: Names) => (test === null ? null : testPhrase(test, names));

function reason(finding: Finding, names: Names, reasons: Texts['reasons']): string {
  const { code, numbers, failed } = finding;
  const rule = finding.rule === null ? null : names.rule(finding.rule);
  const heads = whole(numbers.heads);
  const needed = whole(numbers.needed);
  const called = (...whats: Subject['what'][]) =>
    finding.subjects.filter(({ what }) => whats.includes(what)).map((one) => nameOf(one, names));
  switch (code) {
    case 'short':
      return shortReason(finding, names, reasons.short);
    case 'floor':
      return reasons.floor({
        heads,
        needed,
        filled: whole(numbers.counted),
        rule,
        asked: phraseOrNull(failed, names),
      });
    case 'cap':
      return reasons.cap({ heads, most: numbers.most ?? ZERO, rule, places: called('station', 'area') });
    case 'no-band':
      return reasons['no-band']({ people: called('athlete'), rule });
    case 'spotting':
      return reasons.spotting({ stations: called('station'), able: called('staff'), needed });
    case 'supervision':
      return reasons.supervision({ people: called('staff'), rule, asked: phraseOrNull(failed, names) });
    case 'support':
      return reasons.support({ people: called('athlete') });
    case 'plan-withdrawn':
      return reasons['plan-withdrawn']({});
  }
}

function shortReason({ numbers, rule, count: judged }: Finding, names: Names, say: Texts['reasons']['short']): string {
  const band = rule !== null && judged?.band != null ? names.band(rule, judged.band) : null;
  return say({
    heads: whole(numbers.heads),
    youngest: numbers.youngest === undefined ? null : whole(numbers.youngest),
    needed: whole(numbers.needed),
    counted: numbers.counted ?? ZERO,
    rule: rule === null ? null : names.rule(rule),
    limit: band === null || numbers.most === undefined ? null : { band, most: numbers.most },
    exactLoad: hiddenLoad(numbers),
  });
}

/** The load where rounding would hide the shortfall: 9/8 against a count of 1 needs 2, but 3/2 against 5/4 needs 2 too. */
function hiddenLoad({ load, counted, needed }: Finding['numbers']): Fraction | null {
  if (load === undefined || counted === undefined || needed === undefined) return null;
  return ceilOf(counted) >= ceilOf(needed) ? load : null;
}

function nameOf({ what, id }: Subject, names: Names): string {
  switch (what) {
    case 'station':
      return names.station(id);
    case 'area':
      return names.area(id);
    case 'block':
      return names.unit({ per: 'block', id });
    case 'athlete':
      return names.person(id, what);
    case 'staff':
      return names.person(id);
  }
}

const whole = (value: Fraction | undefined): number => (value === undefined ? 0 : ceilOf(value));
