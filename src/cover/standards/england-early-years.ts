import type { Edge, Rule } from '../types.ts';
import {
  aged,
  allOf,
  anyOf,
  type Bound,
  band,
  counting,
  limit,
  SILENT_ON_MIXED_AGES,
  type Standard,
  working,
  YOUNGEST,
  years,
} from './standard.ts';

const silentOn = [
  `${SILENT_ON_MIXED_AGES}; settings commonly fill youngest first, which asks for less`,
  'children past the age that it covers: allowed in no band (our choice)',
  'people who only shadow: they do not count (our choice)',
];

/** The table ends on 1 September after the fifth birthday. */
const SCHOOL: Edge = { firstOn: { month: 9, day: 1 }, afterBirthday: 5 };

/** Over the whole provision rather than each room. */
function ratio({ holds }: Bound, perTwoYearOld: number): Partial<Rule> {
  const apprentice = allOf(aged(16), holds('apprentice'), working);
  return {
    per: 'premises',
    bands: [
      band('under 2', null, years(2), 3),
      band('aged 2', years(2), years(3), perTwoYearOld),
      band('3 and over', years(3), SCHOOL, [limit(13, null, holds('level-6')), limit(8)]),
    ],
    mixed: YOUNGEST,
    counts: [counting(anyOf(allOf(aged(17), working), apprentice))],
  };
}

const slots: Standard['slots'] = [
  { slot: 'level-6', required: false, means: 'qualified at level 6, working directly with the children' },
  { slot: 'apprentice', required: false, means: 'an apprentice of 16 who was judged competent' },
];

export const eyfs2023: Standard = {
  id: 'eyfs-2023',
  name: 'EYFS staff:child ratios',
  publisher: 'Department for Education, England',
  title: 'Early years foundation stage statutory framework, group and school providers',
  edition: 'framework in force from Sept 2023 onward (1:5 for two-year-olds)',
  url: 'https://neu.org.uk/latest/library/implementing-effective-ratios-early-years-settings-checklist',
  kind: 'statute',
  setting: 'registered early years, England',
  provenance: 'seen',
  superseded: null,
  silentOn,
  slots,
  parts: ['ratio'],
  build: (bound) => ({ ratio: ratio(bound, 5) }),
};

export const eyfsPre2023: Standard = {
  id: 'eyfs-pre-2023',
  name: 'EYFS two-year-old ratio before Sept 2023',
  publisher: 'Norfolk County Council, England',
  title: 'EYFS summary still showing the two-year-old ratio from before Sept 2023',
  edition: 'stored copy, superseded',
  url: 'https://www.norfolk.gov.uk/children-and-families/childcare-and-early-learning/childcare-advice-and-guidance/types-of-childcare/day-nurseries',
  kind: 'statute (superseded)',
  setting: 'registered early years, England',
  provenance: 'seen',
  superseded: 'from September 2023, one adult may have five two-year-olds',
  silentOn,
  slots,
  parts: ['ratio'],
  build: (bound) => ({ ratio: ratio(bound, 4) }),
};
