import type { Rule } from '../types.ts';
import {
  adult,
  type Bound,
  band,
  counting,
  limit,
  months,
  SILENT_ON_WHO_COUNTS,
  type Standard,
  YOUNGEST,
  years,
} from './standard.ts';

type Row = [label: string, from: number | null, to: number, perCoach: number, largestGroup: number];

const cfoc = {
  publisher: 'AAP / APHA / National Resource Center, USA',
  title: 'Caring for Our Children, standard 1.1.1.2',
  edition: 'online database (4th edition line), stored copy',
  url: 'https://nrckids.org/CFOC/Database/1.1.1.2',
  kind: 'national standard',
  provenance: 'seen',
  superseded: null,
  silentOn: [
    SILENT_ON_WHO_COUNTS,
    'mixed ages: that the largest band governs, and infants and toddlers do when present, is from memory',
    'the edge printed as 12 and 13 months: completed months (our choice)',
  ],
  slots: [],
  parts: ['ratio'],
} satisfies Partial<Standard>;

/** The band with most children governs, but infants and toddlers (under three) do as soon as one is there. */
function byMajority(rows: Row[]): Partial<Rule> {
  const bands = rows.map(([label, from, to, perCoach, largestGroup]) =>
    band(label, from === null ? null : months(from), months(to), perCoach, {
      largestGroup,
      mixes: to <= 36 ? 'rules' : 'in',
    }),
  );
  return { bands, mixed: { method: 'majority' }, counts: [counting(adult)] };
}

export const cfocCenter: Standard = {
  ...cfoc,
  id: 'cfoc-center',
  name: 'Caring for Our Children, child care centers',
  setting: 'child care centers, USA',
  build: () => ({
    ratio: byMajority([
      ['12 months and under', null, 13, 3, 6],
      ['13 to 35 months', 13, 36, 4, 8],
      ['3-year-olds', 36, 48, 7, 14],
      ['4-year-olds', 48, 60, 8, 16],
      ['5-year-olds', 60, 72, 8, 16],
      ['6- to 8-year-olds', 72, 108, 10, 20],
      ['9- to 12-year-olds', 108, 156, 12, 24],
    ]),
  }),
};

export const cfocLargeHome: Standard = {
  ...cfoc,
  id: 'cfoc-large-fcc',
  name: 'Caring for Our Children, large family child care homes',
  setting: 'large family child care homes, USA',
  build: () => ({
    ratio: byMajority([
      ['12 months and under', null, 13, 2, 6],
      ['13 to 23 months', 13, 24, 2, 8],
      ['24 to 35 months', 24, 36, 3, 12],
      ['3-year-olds', 36, 48, 7, 12],
      ['4- to 5-year-olds', 48, 72, 8, 12],
      ['6- to 8-year-olds', 72, 108, 10, 12],
      ['9- to 12-year-olds', 108, 156, 12, 12],
    ]),
  }),
};

const naeyc = {
  publisher: 'NAEYC, USA',
  kind: 'accreditation',
  setting: 'early learning programs, USA',
  provenance: 'seen',
  superseded: null,
  slots: [],
  parts: ['ratio'],
} satisfies Partial<Standard>;

export const naeyc2018: Standard = {
  ...naeyc,
  id: 'naeyc-2018',
  name: 'NAEYC staff-to-child ratio and class size',
  title: 'Staff-to-child ratio and class size (third-party copy)',
  edition: 'copyright 2018',
  url: 'https://www.scribd.com/document/565545334/staff-child-ratio-0',
  silentOn: [
    SILENT_ON_WHO_COUNTS,
    'bands that overlap in age: the younger one (our choice)',
    'a child of five or over with no enrolment on record: as in kindergarten (our choice)',
  ],
  build: ({ kindergarten, schoolAge }) => ({
    ratio: {
      bands: [
        band('infant', null, months(15), 4, { largestGroup: 8 }),
        band('toddler or two', months(12), months(36), 6, { largestGroup: 12 }),
        band('preschool', months(30), years(5), 10, { largestGroup: 20 }),
        band('kindergarten', null, null, 12, { largestGroup: 24, category: kindergarten }),
        band('school-age', null, null, 15, { largestGroup: 30, category: schoolAge }),
      ],
      mixed: YOUNGEST,
      counts: [counting(adult)],
    },
  }),
};

export const naeyc2013: Standard = {
  ...naeyc,
  id: 'naeyc-2013',
  name: 'NAEYC ratio within group size (two-dimensional)',
  title: 'Teacher-child ratios within group size, criterion 10.B.12 (third-party copy)',
  edition: 'copyright 2013',
  url: 'https://studylib.net/doc/7947914/teacher-child-ratios---national-association-for-the-educa...',
  silentOn: [
    SILENT_ON_WHO_COUNTS,
    'bands that overlap in age: the younger one (our choice)',
    'a group size between two columns: the next larger column (our choice)',
    'its separate criteria for mixed groups: the youngest governs everybody (our choice)',
  ],
  build: ({ beforeKindergarten, kindergarten }: Bound) => ({
    ratio: {
      bands: [
        bySize('infant', null, 15, { 6: 3, 8: 4 }),
        bySize('toddler', 12, 28, { 6: 3, 8: 4, 10: 4, 12: 4 }),
        bySize('two', 21, 36, { 8: 4, 10: 5, 12: 6 }),
        bySize('preschool', 30, 48, { 12: 6, 14: 7, 16: 8, 18: 9 }),
        bySize('4-year-olds', 48, 60, { 16: 8, 18: 9, 20: 10 }),
        bySize('5-year-olds, before kindergarten', 60, null, { 16: 8, 18: 9, 20: 10 }, beforeKindergarten),
        bySize('kindergarten', null, null, { 20: 10, 22: 11, 24: 12 }, kindergarten),
      ],
      mixed: YOUNGEST,
      counts: [counting(adult)],
    },
  }),
};

function bySize(
  label: string,
  from: number | null,
  to: number | null,
  cells: Record<number, number>,
  category: string | null = null,
): Rule['bands'][number] {
  const limits = Object.entries(cells).map(([size, perCoach]) => limit(perCoach, Number(size)));
  const largestGroup = Math.max(...Object.keys(cells).map(Number));
  const [start, end] = [from === null ? null : months(from), to === null ? null : months(to)];
  return band(label, start, end, limits, { largestGroup, category });
}
