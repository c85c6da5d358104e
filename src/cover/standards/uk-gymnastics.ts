import { fraction } from '../fraction.ts';
import type { Rule } from '../types.ts';
import {
  aged,
  allOf,
  type Bound,
  band,
  counting,
  SILENT_ON_MIXED_AGES,
  type Standard,
  working,
  YOUNGEST,
  years,
} from './standard.ts';

const published = {
  publisher: 'British Gymnastics',
  title: "Gymnast to coach/teacher ratios (Health, Safety & Welfare policy), seen in an affiliated club's restatement",
  edition: 'policy line June 2005 / Jan 2012; restatement undated',
  url: 'http://www.marriottsgymnastics.com/policies/coach-gymnast-ratios/',
  kind: 'federation guidance',
  provenance: 'seen',
  superseded: null,
  slots: [
    { slot: 'lead-coach', required: true, means: 'suitably qualified to coach a group alone' },
    {
      slot: 'assistant-coach',
      required: true,
      means: 'qualified to coach a group under a more highly qualified coach',
    },
  ],
} satisfies Partial<Standard>;

const silentOn = [
  SILENT_ON_MIXED_AGES,
  'the age of a responsible adult: 18 (our choice)',
  'people who only shadow: they do not count (our choice)',
];

/** Leads count whole; each directly supervised assistant adds a part of a lead's number. */
function coaches({ holds }: Bound, assistantShare: number, of: number): Rule['counts'] {
  const lead = allOf(holds('lead-coach'), working);
  const assistant = allOf(holds('assistant-coach'), working, { test: 'supervised', by: lead });
  return [counting(lead), counting(assistant, fraction(assistantShare, of))];
}

/** Two responsible adults in the gymnasium: a suitably qualified coach, and somebody who is not a gymnast taking part. */
function twoAdults({ holds }: Bound): Partial<Rule> {
  const coach = allOf(holds('lead-coach'), aged(18), working);
  const other = allOf(aged(18), working, { test: 'not-taking-part' });
  const posts = [
    { people: 1, who: coach },
    { people: 1, who: other },
  ];
  return { per: 'premises', floors: [{ fromAthletes: 1, toAthletes: null, posts }] };
}

export const bgPreschool: Standard = {
  ...published,
  id: 'bg-preschool',
  name: 'British Gymnastics pre-school, independent',
  setting: 'pre-school gymnastics, UK',
  silentOn,
  parts: ['ratio', 'two-adults'],
  build: (bound) => ({
    ratio: { bands: [band('pre-school', null, years(5), 8)], mixed: YOUNGEST, counts: coaches(bound, 8, 8) },
    'two-adults': twoAdults(bound),
  }),
};

export const bgParentToddler: Standard = {
  ...published,
  id: 'bg-parent-toddler',
  name: 'British Gymnastics parent-and-child',
  setting: 'parent and child gymnastics, UK',
  silentOn: [
    ...silentOn,
    'what a supervised assistant adds in parent-and-child classes: 8 more, as in the other classes (our choice)',
    'a child whose adult has left: allowed in no band (our choice)',
  ],
  parts: ['ratio', 'two-adults'],
  build: (bound) => ({
    ratio: {
      bands: [band('with a participating adult', null, years(5), 20, { trait: bound.accompanied })],
      mixed: YOUNGEST,
      counts: coaches(bound, 8, 20),
    },
    'two-adults': twoAdults(bound),
  }),
};

export const bgGeneral: Standard = {
  ...published,
  id: 'bg-general',
  name: 'British Gymnastics general classes',
  setting: 'gymnastics, UK',
  silentOn: [...silentOn, 'the normal limit of 16 per coach: read as a limit (our choice)'],
  parts: ['ratio', 'two-adults'],
  build: (bound) => ({
    ratio: {
      bands: [band('any age', null, null, 16)],
      mixed: YOUNGEST,
      caps: [{ max: 8, of: 'apparatus', bands: null }],
      counts: coaches(bound, 8, 16),
    },
    'two-adults': twoAdults(bound),
  }),
};
