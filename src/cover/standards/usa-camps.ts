import { fraction, ONE } from '../fraction.ts';
import type { Rule } from '../types.ts';
import {
  adult,
  aged,
  allOf,
  band,
  counting,
  SILENT_ON_MIXED_AGES,
  type Standard,
  working,
  YOUNGEST,
  years,
} from './standard.ts';

const aca = {
  publisher: 'American Camp Association, USA',
  title: 'Standards on staff screening, supervision and training (camper supervision ratios, HR.8/HR.9)',
  edition: 'web page; HR.8/HR.9 numbering as of May 2014',
  url: 'https://www.acacamps.org/resource-library/accreditation-standards/aca-standards-relate-staff-screening-supervision-training',
  kind: 'accreditation',
  provenance: 'seen',
  superseded: null,
  silentOn: [
    SILENT_ON_MIXED_AGES,
    'staff ages (16 and two years older than the campers, 80% of them 18 or over): from memory of the 2012 numbering',
    'people who only shadow: they do not count (our choice)',
  ],
  slots: [],
  parts: ['ratio'],
} satisfies Partial<Standard>;

function ratio([to5, to8, to14, to18]: [number, number, number, number]): Partial<Rule> {
  const older = { test: 'older-than-athletes', byYears: 2 } as const;
  return {
    bands: [
      band('5 and younger', null, years(6), to5),
      band('6 to 8', years(6), years(9), to8),
      band('9 to 14', years(9), years(15), to14),
      band('15 to 18', years(15), years(19), to18),
    ],
    mixed: YOUNGEST,
    counts: [
      counting(allOf(adult, older)),
      { who: allOf(aged(16), working, older), share: ONE, maxOf: { share: fraction(1, 5), base: 'counted' } },
    ],
  };
}

export const acaDay: Standard = {
  ...aca,
  id: 'aca-day',
  name: 'American Camp Association, day camp',
  setting: 'day camps, USA',
  build: () => ({ ratio: ratio([6, 8, 10, 12]) }),
};

export const acaOvernight: Standard = {
  ...aca,
  id: 'aca-overnight',
  name: 'American Camp Association, overnight camp',
  setting: 'overnight camps, USA',
  build: () => ({ ratio: ratio([5, 6, 8, 10]) }),
};

export const mississippiCamp: Standard = {
  id: 'mississippi-camp',
  name: 'Mississippi residential camps',
  publisher: 'Mississippi Department of Health, USA',
  title: '15 Miss. Code R. 11-55-4.3.1',
  edition: 'current to 14 Jan 2025',
  url: 'https://d1tvxue8o4w0fl.cloudfront.net/regulation/mississippi-administrative-code/title-15-mississippi-department-of-health/part-11-bureau-of-child-care-facilities/subpart-55-child-care-facilities-licensure/chapter-4-regulations-governing-licensure-of-youth-camps/subchapter-3-general-supervision/rule-15-11-55-431-ratio-of-counselors-to-campers',
  kind: 'statute',
  setting: 'youth camps, Mississippi',
  provenance: 'seen',
  superseded: null,
  silentOn: [
    'mixed groups: one camper with special needs brings the whole group to their number (our choice)',
    'the age from which somebody counts, above 16: 18 (our choice)',
  ],
  slots: [],
  parts: ['ratio'],
  build: ({ specialNeeds }) => ({
    ratio: {
      bands: [
        band('campers with special needs', null, null, 5, { trait: specialNeeds }),
        band('all campers', null, null, 10),
      ],
      mixed: YOUNGEST,
      counts: [counting(adult)],
    },
  }),
};
