import {
  allOf,
  type Bound,
  band,
  counting,
  limit,
  months,
  SILENT_ON_MIXED_AGES,
  type Standard,
  working,
  YOUNGEST,
  years,
} from './standard.ts';

const published = {
  publisher: 'Gymnastics BC, Canada',
  title: 'Coach to participant ratio guidelines (layout flattened in the stored copy)',
  edition: 'stored copy',
  url: 'https://www.gymbc.org/coach-to-participant-ratio-guidelines',
  kind: 'federation guidance',
  provenance: 'seen',
  superseded: null,
} satisfies Partial<Standard>;

const certified: Standard['slots'][number] = { slot: 'certified-coach', required: true, means: 'a certified coach' };

const silentOn = [
  SILENT_ON_MIXED_AGES,
  'what coaches in training count: nothing (our choice); volunteers are not counted, as the table says',
  'people who only shadow: they do not count (our choice)',
];

const coaches = ({ holds }: Bound) => [counting(allOf(holds('certified-coach'), working))];

export const gymbcRecreational: Standard = {
  ...published,
  id: 'gymbc-rec',
  name: 'Gymnastics BC recreational classes',
  setting: 'recreational gymnastics, British Columbia',
  silentOn: [
    ...silentOn,
    'accompanied children beside others: a load of their own (our choice)',
    'the range of 8 to 12 accompanied children: 8 (our choice)',
    'the age of 18 months, printed in two rows: the second (both say the same)',
  ],
  slots: [certified],
  parts: ['ratio'],
  build: (bound) => ({
    ratio: {
      bands: [
        band('3 to 18 months with parents', months(3), months(18), 8, { trait: bound.accompanied, mixes: 'apart' }),
        band('18 months to 3 years with parents', months(18), years(3), 8, {
          trait: bound.accompanied,
          mixes: 'apart',
        }),
        band('3 to 5', years(3), years(6), 6),
        band('6 to 11', years(6), years(12), 10),
        band('12 and over', years(12), null, 10),
      ],
      mixed: YOUNGEST,
      counts: coaches(bound),
    },
  }),
};

export const gymbcCompetitive: Standard = {
  ...published,
  id: 'gymbc-competitive',
  name: 'Gymnastics BC competitive programs',
  setting: 'competitive gymnastics, British Columbia',
  silentOn: [
    ...silentOn,
    'the range of 6 to 12 at ages 6 to 11: 6 (our choice)',
    'the range of 8 to 10 from age 12: 8 (our choice)',
  ],
  slots: [certified],
  parts: ['ratio'],
  build: (bound) => ({
    ratio: {
      bands: [band('6 to 11', years(6), years(12), 6), band('12 and over', years(12), null, 8)],
      mixed: YOUNGEST,
      counts: coaches(bound),
    },
  }),
};

export const gymbcParty: Standard = {
  ...published,
  id: 'gymbc-party',
  name: 'Gymnastics BC birthday parties / school visits',
  setting: 'parties and school groups, British Columbia',
  silentOn: [...silentOn, 'a school class whose teacher does not lead or assist: 15, as at a party (our choice)'],
  slots: [certified, { slot: 'teacher', required: false, means: "the class's teacher, active and participating" }],
  parts: ['party', 'school'],
  build: (bound) => ({
    party: { bands: [band('party, 6 to 11', years(6), years(12), 15)], mixed: YOUNGEST, counts: coaches(bound) },
    school: {
      bands: [band('school class', null, null, [limit(30, null, bound.holds('teacher')), limit(15)])],
      mixed: YOUNGEST,
      counts: coaches(bound),
    },
  }),
};
