/**
 * Published tables (`tests/reference/ratio-standards.json`, each with its publisher there) from adoption to answer, over HTTP:
 * the table is adopted by name, a class is built, coaches are assigned, and the cover is read.
 */
import { readFileSync } from 'node:fs';
import { Temporal } from 'temporal-polyfill';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { aFranchise, type Franchise } from '../support/a-franchise.ts';
import { aProgramme, aPublishedPlan, type PublishedPlan } from '../support/a-plan.ts';
import { anAssignment, aSession, type TestSession } from '../support/a-session.ts';
import { type Api, openApi } from '../support/api.ts';
import { anAthlete, aQualificationKind, aStaffMember, athletes } from '../support/people.ts';

interface Standard {
  id: string;
  bands: {
    label: string;
    min_age_months: number | null;
    children_per_adult: number;
    range?: [number, number];
    condition?: string;
    defined_by?: string;
    accompanied?: boolean;
    unit?: string;
  }[];
}
type Children = { age_years: number; count: number }[];
const reference: {
  standards: Standard[];
  worked_examples: { id: string; standard: string; children: Children; required_adults: number; provenance: string }[];
  mixed_age_comparison: { children: Children; results: { method: string; adults: number }[] };
  mixed_age_capacity_comparison: { results: { method: string; max_children: number }[] };
} = JSON.parse(readFileSync(new URL('../reference/ratio-standards.json', import.meta.url), 'utf8'));

const DAY = '2026-09-14';
const FOUR = [{}, { apparatus: 'vault' }, { apparatus: 'bars' }, { apparatus: 'beam' }] as const;
const bornBefore = (months: number) => Temporal.PlainDate.from(DAY).subtract({ months, days: 1 }).toString();

let api: Api;
beforeAll(async () => {
  api = await openApi();
});
afterAll(() => api.close());

interface Cover {
  covered: boolean;
  segments: { counts: { needed: number }[] }[];
}

/** A franchise that has adopted a table, with a kind for every slot that it speaks of. */
async function adopted(standard: string, more: Record<string, unknown> = {}, known?: Franchise) {
  const f = known ?? (await aFranchise(api));
  const owner = api.as(f.owner);
  const shown = await owner.get<{ slots: { slot: string }[] }>(`/ratio-standards/${standard}`);
  const lead = await aQualificationKind(f, {
    countsFor: ['leading', 'assisting', 'spotting', 'screening', 'first-aid', 'other'],
  });
  const assistant = await aQualificationKind(f, { countsFor: ['assisting'] });
  const kindOf = (slot: string) => (slot === 'assistant-coach' ? assistant : lead);
  const kinds = Object.fromEntries(shown.body.slots.map(({ slot }) => [slot, { kindId: kindOf(slot).id }]));
  const answer = await owner.post('/ratio-rules', { standard, kinds, from: '2026-09-07', ...more });
  expect(answer.status, answer.text).toBe(201);
  return { f, lead, assistant, plan: await aPublishedPlan(f, { blocks: [{ stations: [...FOUR] }] }) };
}

async function aClassOf(
  f: Franchise,
  plan: PublishedPlan,
  children: { months: number; count: number }[],
  confirmed?: true,
) {
  const who: string[] = [];
  for (const { months, count } of children) who.push(...(await athletes(f, count, { born: bornBefore(months) })));
  return aSession(f, { plan, groups: [who], ...(confirmed && { confirmed }) });
}

const coverOf = async (f: Franchise, { blocks }: TestSession) =>
  (await api.as(f.owner).get<Cover>(`/gyms/${f.gym.id}/blocks/${blocks[0]!.id}/cover`)).body;
const needed = ({ segments }: Cover) => Math.max(...segments.flatMap(({ counts }) => counts.map((one) => one.needed)));
/** By whichever unit the table is about. */
const neededOnDay = async (f: Franchise) => {
  const path = `/gyms/${f.gym.id}/days/${DAY}/cover/timeline`;
  const { body } = await api.as(f.owner).get<{ items: Cover[] }>(path);
  return Math.max(...body.items.map(needed));
};
const inMonths = (children: Children) => children.map(({ age_years, count }) => ({ months: age_years * 12, count }));

describe.each([...new Set(reference.worked_examples.map(({ standard }) => standard))])('%s', (standard) => {
  const examples = reference.worked_examples.filter((one) => one.standard === standard);

  test.each(examples)('$id: $required_adults are the fewest ($provenance)', async ({ children, required_adults }) => {
    const { f, lead, assistant, plan } = await adopted(standard);
    const session = await aClassOf(f, plan, inMonths(children));
    const owner = api.as(f.owner);
    const covered: boolean[] = [(await coverOf(f, session)).covered];
    for (let adults = 1; adults <= required_adults; adults += 1) {
      const isLead = adults === 1 || standard !== 'bg-general';
      const personId = await aStaffMember(f, { holds: [{ kind: isLead ? lead : assistant }] });
      const duty = adults === 1 ? 'lead' : 'assist';
      const path = `/gyms/${f.gym.id}/blocks/${session.blocks[0]!.id}/assignments`;
      const answer = await owner.post<{ cover: Cover }>(path, { personId, duty });
      expect(answer.status, answer.text).toBe(201);
      covered.push(answer.body.cover.covered);
    }
    expect(covered).toEqual([...Array<boolean>(required_adults).fill(false), true]);
  });
});

/** The first row of a table that is about age alone. */
const plainBand = ({ bands }: Standard) =>
  bands.find(
    ({ condition, defined_by, accompanied, unit }) =>
      !condition && !accompanied && !unit && (!defined_by || defined_by === 'age'),
  );
const tables = reference.standards
  .filter(({ id }) =>
    [
      'nspcc-cpsu',
      'sport-wales-multisport',
      'aca-day',
      'aca-overnight',
      'cfoc-large-fcc',
      'eyfs-2023',
      'eyfs-pre-2023',
      'mississippi-camp',
      'gymbc-rec',
    ].includes(id),
  )
  .flatMap((one) => {
    const band = plainBand(one);
    return band
      ? [
          {
            id: one.id,
            label: band.label,
            months: band.min_age_months ?? 12,
            most: band.range?.[0] ?? band.children_per_adult,
          },
        ]
      : [];
  });

test('nine tables have a row about age alone', () => {
  expect(tables.map(({ id }) => id)).toHaveLength(9);
});

test.each(tables)(
  '$id, $label: $most to one adult, and one more child asks for a second',
  async ({ id, months, most }) => {
    const { f, plan } = await adopted(id);
    // Confirmed, so that a table for the whole premises sees them.
    const session = await aClassOf(f, plan, [{ months, count: most }], true);
    const before = await neededOnDay(f);
    const athleteId = await anAthlete(f, { born: bornBefore(months) });
    const path = `/gyms/${f.gym.id}/classes/${session.class.id}/enrolments`;
    const enrolled = await api.as(f.owner).post(path, { athleteId, from: DAY });
    expect(enrolled.status, enrolled.text).toBe(201);
    expect([before, await neededOnDay(f)]).toEqual([1, 2]);
  },
);

const METHODS: Record<string, string> = {
  'youngest-governs': 'youngest',
  'per-band ceiling then sum': 'each-band',
  'sum of fractions then ceiling': 'proportional',
  'sum of fractions': 'proportional',
  'youngest-first fill': 'fill',
  'largest band governs': 'majority',
};

test('one class of sixteen under five methods, a programme each: 4, 4, 3, 3, 2 (derived from the NSPCC/CPSU table)', async () => {
  const f = await aFranchise(api);
  const found: Record<string, number> = {};
  for (const { method } of reference.mixed_age_comparison.results) {
    const programme = await aProgramme(f);
    await adopted('nspcc-cpsu', { scope: { programme: [programme.id] }, mixed: { method: METHODS[method] } }, f);
    const plan = await aPublishedPlan(f, { programme });
    const session = await aClassOf(f, plan, inMonths(reference.mixed_age_comparison.children));
    found[method] = needed(await coverOf(f, session));
  }
  const published = reference.mixed_age_comparison.results.map(({ method, adults }) => [method, adults]);
  expect(found).toEqual(Object.fromEntries(published));
});

test.each(reference.mixed_age_capacity_comparison.results)(
  'two adults, one child of two: by $method $max_children may come (EYFS before September 2023, practitioners’ discussion)',
  async ({ method, max_children }) => {
    const { f, plan } = await adopted('eyfs-pre-2023', { mixed: { method: METHODS[method] } });
    const session = await aClassOf(f, plan, [{ months: 30, count: 1 }]);
    for (const duty of ['lead', 'assist'] as const)
      await anAssignment(f, session.blocks[0]!, await aStaffMember(f), { duty });
    const path = `/gyms/${f.gym.id}/sessions/${session.id}/headroom?ageMonths=45`;
    const { body } = await api.as(f.owner).get<{ groups: { more: number; stop: { what: string } }[] }>(path);
    expect(body.groups).toMatchObject([{ more: max_children - 1, stop: { what: 'rule' } }]);
  },
);
