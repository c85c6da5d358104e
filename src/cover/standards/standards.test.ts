/**
 * Every published table of `tests/reference/ratio-standards.json` through the engine. Values marked `memory` or `derived`
 * there say so in the name of their check.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { aFloor, aStation, atBlock, bornBefore, holding } from '../../../tests/support/a-floor.ts';
import { adopted, bgClass } from '../../../tests/support/adopted.ts';
import { equal, fraction } from '../fraction.ts';
import { coverOf, coverTimeline } from '../timeline.ts';
import type { Athlete, Mixed } from '../types.ts';
import { standards } from './index.ts';

type Band = {
  label: string;
  min_age_months: number | null;
  max_age_months_exclusive: number | null;
  children_per_adult: number;
  max_group_size: number | null;
  unit?: string;
  accompanied?: boolean;
  condition?: string;
  defined_by?: string;
  max_per_apparatus?: number;
  range?: [number, number];
};
type Children = { age_years: number; count: number }[];
type Sourced = { provenance: string; derived?: boolean };
type Reference = {
  sources: { id: string; publisher: string; url: string | null }[];
  standards: (Sourced & {
    id: string;
    name: string;
    source: string;
    edition: string;
    kind: string;
    setting: string;
    bands: Band[];
    min_adults?: number;
    mixed_age_rule: string;
    ratio_by_group_size?: { label: string; cells: Record<string, number> }[];
  })[];
  worked_examples: (Sourced & { id: string; standard: string; children: Children; required_adults: number })[];
  mixed_age_comparison: Sourced & { children: Children; results: { method: string; adults: number }[] };
  mixed_age_capacity_comparison: Sourced & { results: { method: string; max_children: number }[] };
};
const reference: Reference = JSON.parse(
  readFileSync(new URL('../../../tests/reference/ratio-standards.json', import.meta.url), 'utf8'),
);

const seen = ({ provenance, derived }: Sourced) =>
  provenance === 'seen' ? '' : ` (from memory${derived ? ', derived' : ''})`;
const qualified = [...holding('lead-coach'), ...holding('certified-coach')];
const times = <T>(n: number, one: T): T[] => Array.from({ length: n }, () => one);

test('eighteen tables come to twenty-two rules, each in force from the day of adoption', () => {
  const rules = standards.flatMap(({ id }) => adopted(id));
  expect([standards.length, rules.length]).toEqual([18, 22]);
  expect(new Set(rules.map(({ id }) => id)).size).toBe(22);
  for (const rule of rules)
    expect(rule).toMatchObject({ version: 1, strength: 'refuse', inForce: { from: '2020-01-01', to: null } });
});

describe.each(reference.standards)('$name ($edition)', (published) => {
  const standard = standards.find(({ id }) => id === published.id)!;
  const source = reference.sources.find(({ id }) => id === published.source)!;

  test('tells its publisher, edition, kind, setting and address', () => {
    const { name, publisher, edition, kind, setting, url, provenance } = standard;
    expect({ name, publisher, edition, kind, setting, url, provenance }).toEqual({
      name: published.name,
      publisher: source.publisher,
      edition: published.edition,
      kind: published.kind,
      setting: published.setting,
      url: source.url,
      provenance: published.provenance,
    });
  });

  test('meaning 21: names our choice where it is silent on mixed ages, which is the stricter one', () => {
    const isSilent = published.mixed_age_rule.startsWith('unspecified');
    const named = standard.silentOn.some((one) => one.startsWith('mixed') || one.includes('mixed ages'));
    if (isSilent) {
      expect(named).toBe(true);
      for (const { mixed } of adopted(published.id)) expect(mixed).toEqual({ method: 'youngest' });
    } else expect(adopted(published.id)[0]?.mixed.method).toMatch(/majority|youngest/);
  });

  const ratios = published.ratio_by_group_size
    ? []
    : published.bands.filter(({ unit }) => unit !== 'pupils per trampoline bed');
  test.each(ratios)(`$label: as many as one adult may have, and not one more${seen(published)}`, (band) => {
    const most = band.range?.[0] ?? band.children_per_adult;
    expect([needed(published.id, band, most), needed(published.id, band, most + 1)]).toEqual([1, 2]);
  });

  test.each(published.bands.filter(({ range }) => range !== undefined))(
    '$label: the range $range is read strictly',
    (band) => {
      expect(band.range?.[0]).toBeLessThan(band.children_per_adult);
      expect(standard.silentOn.join()).toContain(`the range of ${band.range?.[0]} to ${band.range?.[1]}`);
    },
  );

  const sized = published.bands.filter(({ max_group_size }) => max_group_size !== null);
  test.each(sized)(`$label: a group of $max_group_size, and not one more${seen(published)}`, (band) => {
    const caps = (n: number) => findings(published.id, band, n).filter(({ code }) => code === 'cap').length;
    expect([caps(band.max_group_size as number), caps((band.max_group_size as number) + 1)]).toEqual([0, 1]);
  });

  if (published.ratio_by_group_size) {
    const cells = published.ratio_by_group_size.flatMap(({ label, cells }) =>
      Object.entries(cells).map(([size, perAdult]) => ({ label, size: Number(size), perAdult })),
    );
    test.each(cells)('$label in a group of $size: $perAdult per adult', ({ label, size, perAdult }) => {
      const [rule] = adopted(published.id);
      const index = published.ratio_by_group_size?.findIndex((one) => one.label === label) ?? -1;
      const { from, category } = rule!.bands[index]!;
      const born = bornBefore(from !== null && 'months' in from ? from.months + 11 : 11);
      const athletes = times(size, { born: category === null ? born : bornBefore(66), category });
      const [cover] = coverOf(aFloor({ athletes, rules: [rule!] }), atBlock('beam'));
      expect(equal(cover!.counts[0]!.load, fraction(size, perAdult))).toBe(true);
      expect(cover?.findings.filter(({ code }) => code === 'cap')).toEqual([]);
    });
  }
});

describe('worked examples: the fewest adults', () => {
  const examples = reference.worked_examples.map((one) => ({ ...one, from: seen(one) }));
  test.each(examples)('$id: $required_adults$from', ({ standard, children, required_adults }) => {
    expect(fewestAdults(standard, children)).toBe(required_adults);
  });
});

describe(`one class under five mixed-age methods${seen(reference.mixed_age_comparison)}`, () => {
  const methods: Record<string, Mixed> = {
    'youngest-governs': { method: 'youngest' },
    'per-band ceiling then sum': { method: 'each-band' },
    'sum of fractions then ceiling': { method: 'proportional' },
    'youngest-first fill': { method: 'fill' },
    'largest band governs': { method: 'majority' },
  };
  test.each(reference.mixed_age_comparison.results)('$method: $adults adults', ({ method, adults }) => {
    const rules = adopted('nspcc-cpsu', { mixed: methods[method]! });
    const [cover] = coverOf(
      aFloor({ athletes: aged(reference.mixed_age_comparison.children), rules }),
      atBlock('beam'),
    );
    expect(cover?.counts[0]?.needed).toBe(adults);
  });
});

describe('how many may two adults have, one child being two (EYFS as it stood before Sept 2023, practitioners’ discussion)', () => {
  const methods: Record<string, Mixed> = {
    'youngest-first fill': { method: 'fill' },
    'sum of fractions': { method: 'proportional' },
  };
  test.each(reference.mixed_age_capacity_comparison.results)('$method: $max_children', ({ method, max_children }) => {
    const covered = (children: number) => {
      const athletes = [{ months: 30 }, ...times(children - 1, { months: 45 })];
      const rules = adopted('eyfs-pre-2023', { mixed: methods[method]! });
      return coverTimeline(aFloor({ athletes, coaches: 2, rules })).every((cover) => cover.covered);
    };
    expect([covered(max_children), covered(max_children + 1)]).toEqual([true, false]);
  });
});

function childrenOf(band: Band, n: number): Partial<Athlete>[] {
  const months = band.min_age_months ?? 66;
  const category = band.label.startsWith('Kindergarten')
    ? 'kindergarten'
    : band.label.startsWith('School-age')
      ? 'school-age'
      : null;
  const overlapping = band.label.startsWith('Toddler/Two') ? 3 : band.label.startsWith('Preschool (30') ? 6 : 0;
  return Array.from({ length: n }, (_, i) => ({
    born: bornBefore(months + overlapping),
    category: band.defined_by === 'enrolment' ? category : null,
    family: `family-${i}`,
    traits: [
      ...(band.accompanied ? [{ trait: 'accompanied', spans: null }] : []),
      ...(band.condition === 'special needs' ? [{ trait: 'special-needs', spans: null }] : []),
    ],
  }));
}

/** Staffed by the better qualified where the row is theirs. */
function coverFor(id: string, band: Band, n: number) {
  const better =
    band.condition === 'special needs' ? null : band.condition?.includes('teacher') ? 'teacher' : 'level-6';
  const coaches =
    band.condition !== undefined && better !== null
      ? [{ holds: [...qualified, ...holding(better)] }]
      : [{ holds: qualified }];
  const part = band.label.startsWith('school class') ? '/school' : band.label.startsWith('party') ? '/party' : '/';
  const rules = adopted(id).filter((rule) => rule.bands.length > 0 && rule.id.includes(part));
  return coverTimeline(aFloor({ athletes: childrenOf(band, n), coaches, rules }));
}

const needed = (id: string, band: Band, n: number) =>
  coverFor(id, band, n).flatMap(({ counts }) => counts.map((count) => count.needed))[0];
const findings = (id: string, band: Band, n: number) => coverFor(id, band, n).flatMap((cover) => cover.findings);

const aged = (children: Children) => children.flatMap(({ age_years, count }) => times(count, { years: age_years }));

function fewestAdults(standard: string, children: Children): number {
  const rules = adopted(standard);
  const stations = [aStation('one'), aStation('two'), aStation('three'), aStation('four')];
  for (let adults = 0; adults < 20; adults++) {
    const staffed =
      standard === 'bg-general' ? bgClass(children[0]!.count, adults) : { athletes: aged(children), coaches: adults };
    if (coverTimeline(aFloor({ ...staffed, stations, rules })).every(({ covered }) => covered)) return adults;
  }
  return -1;
}
