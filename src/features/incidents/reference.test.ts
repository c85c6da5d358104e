import { readFile } from 'node:fs/promises';
import { describe, expect, test } from 'vitest';
import { EDITIONS } from '../../tables/incidents.ts';
import { RED_FLAGS } from './concussion-codes.ts';
import { BODY_PARTS, DIAGNOSES, DISPOSITIONS, isCode, LOCATION, neissAge, PRODUCTS } from './neiss.ts';
import { promptsFor, type Reported, THRESHOLDS } from './reporting.ts';
import { keepUntil, keepUntilUnder, RETENTION_RULES } from './retention.ts';

// Against US CPSC NEISS option lists (2014 data year); Concussion Recognition Tool 5 (2017) and 6 (2023, from memory);
// British Gymnastics, RIDDOR and OSHA as summarised in incident-rules.json.
const reference = async (name: string) =>
  JSON.parse(await readFile(new URL(`../../../tests/reference/${name}.json`, import.meta.url), 'utf8'));
const neiss = await reference('neiss-codes');
const concussion = await reference('concussion-red-flags');
const rules = await reference('incident-rules');

interface Coded {
  code: number;
  label: string;
}
const tableOf = (list: Coded[]) => Object.fromEntries(list.map(({ code, label }) => [code, label]));

describe('the injury codes', () => {
  test('are those of the published tables, with the published gaps', () => {
    expect(BODY_PARTS).toEqual(tableOf(neiss.body_part));
    expect(DIAGNOSES).toEqual(tableOf(neiss.diagnosis));
    expect(DISPOSITIONS).toEqual(tableOf(neiss.disposition));
    expect(PRODUCTS).toEqual(tableOf(neiss.product));
    expect(neiss.location.map(({ code }: Coded) => code)).toContain(LOCATION);
  });

  test('take 0 for what it is, and know neither disposition 3 nor 7', () => {
    expect([isCode(BODY_PARTS, 0), isCode(DISPOSITIONS, 0), isCode(DIAGNOSES, 0)]).toEqual([true, true, false]);
    expect([3, 7].map((code) => isCode(DISPOSITIONS, code))).toEqual([false, false]);
  });

  test.each([
    ['1 month', '2026-08-07', 201],
    ['11 months', '2025-10-07', 211],
    ['23 months', '2024-10-07', 223],
    ['2 years', '2024-09-07', 2],
  ])('write %s as the table does', (meaning, born, code) => {
    expect(neiss.age_code).toContainEqual(expect.objectContaining({ code, meaning }));
    expect(neissAge(born, '2026-09-07', '03-01')).toBe(code);
  });
});

test('the observations of each edition are the reference’s', () => {
  const of = (tool: string) =>
    concussion.red_flags
      .filter((one: { tool: string }) => one.tool === tool)
      .map(({ code }: { code: string }) => code)
      .sort();
  expect(EDITIONS.map((edition) => [...RED_FLAGS[edition]].sort())).toEqual([of('CRT5'), of('CRT6')]);
  expect(EDITIONS.map((edition) => RED_FLAGS[edition].length)).toEqual([
    concussion.counts.CRT5,
    concussion.counts.CRT6,
  ]);
});

describe('a note is kept', () => {
  const [limitation, osha] = RETENTION_RULES;
  const [british, , oshaRule] = rules.retention;

  test.each<[string, string, string]>(
    british.examples.map((one: Record<string, string>) => [one.born, one.incident, one.keep_until_at_least]),
  )('about somebody born on %s, from %s until %s', (born, day, until) => {
    expect(keepUntilUnder(limitation!, day, { born, isStaff: false }, '03-01')).toBe(until);
    expect(keepUntil(day, [{ born, isStaff: false }], '03-01')).toBe(until);
  });

  test('five years from the end of its year about a worker, by the other rule', () => {
    const [example] = oshaRule.examples;
    expect(keepUntilUnder(osha!, example.incident, { born: '1990-01-01', isStaff: true }, '03-01')).toBe(
      example.keep_until_at_least,
    );
  });

  test('until the latest day of all whom it is about', () => {
    const child = { born: '2020-02-29', isStaff: false };
    const adult = { born: '1990-01-01', isStaff: true };
    expect(keepUntil('2026-09-14', [child, adult], '03-01')).toBe('2041-03-01');
    expect(keepUntil('2026-09-14', [child, adult], '02-28')).toBe('2041-02-28');
    expect(keepUntil('2026-09-14', [adult], '03-01')).toBe('2031-12-31');
    expect(keepUntil('2026-09-14', [], '03-01')).toBe('2029-09-14');
  });

  test('three years after the day, where that is later than three after the eighteenth birthday', () => {
    expect(keepUntil('2026-09-14', [{ born: '2008-09-15', isStaff: false }], '03-01')).toBe('2029-09-15');
    expect(keepUntil('2026-09-14', [{ born: '2008-09-14', isStaff: false }], '03-01')).toBe('2029-09-14');
  });

  test('without an end while a child’s birth date is unknown', () => {
    expect(
      keepUntil(
        '2026-09-14',
        [
          { born: null, isStaff: false },
          { born: '1990-01-01', isStaff: true },
        ],
        '03-01',
      ),
    ).toBe(null);
  });
});

describe('a threshold for reporting', () => {
  const at = new Date('2026-09-14T16:00:00Z');
  const injury = { personId: 'x', bodyPart: null, diagnosis: null, disposition: null, product: null, daysOut: null };
  const note = (one: Partial<Reported['injuries'][number]>, more: Partial<Reported> = {}): Reported => ({
    injuries: [{ ...injury, isStaff: false, ...one }],
    takenToHospital: null,
    observed: [],
    ...more,
  });
  const ids = (reported: Reported) => promptsFor(reported, at).map(({ id }) => id);

  test('is shown with its source, its time and the advice to check the law', () => {
    expect(promptsFor(note({ isStaff: true, daysOut: 8 }), at)).toEqual([
      expect.objectContaining({ id: 'osha-301', by: new Date('2026-09-21T16:00:00Z') }),
      expect.objectContaining({ id: 'riddor-over-seven-days', by: new Date('2026-09-29T16:00:00Z') }),
    ]);
    for (const { check, source } of promptsFor(note({ isStaff: true, daysOut: 8 }), at)) {
      expect([check, source]).toEqual([
        expect.stringContaining('Check your local law'),
        expect.stringMatching(/RIDDOR|OSHA/),
      ]);
    }
  });

  test('of over seven days is not met by seven', () => {
    expect(ids(note({ isStaff: true, daysOut: 7 }))).toEqual(['osha-301']);
  });

  test('of hospital is met by a child taken there, but not by a trip without an injury (disposition 0)', () => {
    expect(ids(note({ disposition: 1 }, { takenToHospital: true }))).toEqual([
      'riddor-hospital',
      'british-gymnastics-hospital',
    ]);
    expect(ids(note({ disposition: 0 }, { takenToHospital: true }))).toEqual(['british-gymnastics-hospital']);
    expect(ids(note({ disposition: 0 }))).toEqual([]);
  });

  test.each([
    ['a worker’s fracture of the wrist', { diagnosis: 57, bodyPart: 34 }, true],
    ['a worker’s fracture of a finger', { diagnosis: 57, bodyPart: 92 }, false],
    ['a worker’s fracture of a toe', { diagnosis: 57, bodyPart: 93 }, false],
    ['a worker’s amputation', { diagnosis: 50, bodyPart: 92 }, true],
    ['a worker’s internal burn (body part 0)', { diagnosis: 51, bodyPart: 0 }, true],
  ])('of specified injuries: %s', (_, coded, meets) => {
    expect(ids(note({ isStaff: true, ...coded })).includes('riddor-specified')).toBe(meets);
  });

  test('of the first hours comes first', () => {
    expect(ids(note({ isStaff: true, disposition: 8, diagnosis: 50 })).slice(0, 2)).toEqual([
      'osha-death',
      'osha-severe',
    ]);
  });

  test('has the time that the reference gives', () => {
    const time = (part: string) => rules.deadlines.find(({ rule }: { rule: string }) => rule.includes(part));
    const within = (id: string) => THRESHOLDS.find((one) => one.id === id)?.within;
    expect(within('osha-301')).toEqual({ days: time('OSHA 301').days });
    expect(within('osha-death')).toEqual({ hours: time('death').hours });
    expect(within('osha-severe')).toEqual({ hours: time('in-patient').hours });
    expect(within('riddor-specified')).toEqual({ days: time('generally').days });
    expect(within('riddor-over-seven-days')).toEqual({ days: time('over-seven-day').days });
  });
});
