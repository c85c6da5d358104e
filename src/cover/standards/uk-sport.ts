import {
  adult,
  allOf,
  anyOf,
  atLeastTwo,
  band,
  counting,
  SILENT_ON_MIXED_AGES,
  SILENT_ON_WHO_COUNTS,
  type Standard,
  YOUNGEST,
  years,
} from './standard.ts';

export const nspccCpsu: Standard = {
  id: 'nspcc-cpsu',
  name: 'NSPCC / CPSU recommended minimum',
  publisher: 'Child Protection in Sport Unit (NSPCC), UK',
  title: "Supervision ratios for children's sport and activities",
  edition: 'undated web page, stored copy',
  url: 'https://thecpsu.org.uk/resource-library/best-practice/guidelines-on-staffing-supervision-ratios-for-children-young-peoples-activities',
  kind: 'guidance',
  setting: 'sport and activity groups, UK',
  provenance: 'seen',
  superseded: null,
  silentOn: [
    SILENT_ON_MIXED_AGES,
    'the lowest two bands, printed as 0-2 and 2-3: a child of two is in the second, as NSPCC Learning prints it (our choice)',
    'people who only shadow: they do not count (our choice)',
  ],
  slots: [
    {
      slot: 'screened',
      required: false,
      means: 'recruited, checked and trained, so that a parent may supervise others',
    },
  ],
  parts: ['ratio'],
  build({ holds }) {
    const supervisor = allOf(adult, anyOf({ test: 'no-own-child-here' }, holds('screened')));
    return {
      ratio: {
        bands: [
          band('under 2', null, years(2), 3),
          band('2 to 3', years(2), years(4), 4),
          band('4 to 8', years(4), years(9), 6),
          band('9 to 12', years(9), years(13), 8),
          band('13 to 18', years(13), years(19), 10),
        ],
        mixed: YOUNGEST,
        floors: atLeastTwo(supervisor),
        counts: [counting(supervisor)],
      },
    };
  },
};

export const sportWales: Standard = {
  id: 'sport-wales-multisport',
  name: 'Sport Wales leisure-centre / multi-sport',
  publisher: 'Sport Wales',
  title: 'Other guidance: coaching ratios',
  edition: 'undated, stored copy',
  url: 'https://sport.wales/foundations/resources/other-guidance',
  kind: 'guidance',
  setting: 'leisure centres, Wales',
  provenance: 'seen',
  superseded: null,
  silentOn: [
    `${SILENT_ON_MIXED_AGES}; families with a child under four are a load of their own`,
    SILENT_ON_WHO_COUNTS,
    'a child under four without their adult: allowed in no band (our choice)',
  ],
  slots: [],
  parts: ['ratio'],
  build: ({ accompanied }) => ({
    ratio: {
      bands: [
        band('under 4 with families', null, years(4), 8, { trait: accompanied, countBy: 'family', mixes: 'apart' }),
        band('4 to 8', years(4), years(9), 6),
        band('9 to 12', years(9), years(13), 8),
        band('13 to 18', years(13), years(19), 10),
      ],
      mixed: YOUNGEST,
      counts: [counting(adult)],
    },
  }),
};

export const birminghamTrampoline: Standard = {
  id: 'birmingham-trampoline',
  name: 'Birmingham schools trampolining',
  publisher: 'Birmingham City Council, UK',
  title: 'Trampolining policy',
  edition: 'June 2007, revised Aug 2012',
  url: 'https://m.moam.info/trampolining-policy-services-for-education_5a1c8b451723ddc77734dec1.html',
  kind: 'local authority policy',
  setting: 'school trampolining, UK',
  provenance: 'seen',
  superseded: null,
  silentOn: [
    'ages, mixed ages, and athletes per coach: it limits pupils per bed and asks nothing else (no choice to make)',
  ],
  slots: [],
  parts: ['per-bed'],
  build: () => ({ 'per-bed': { caps: [{ max: 10, of: 'equipment-item', bands: null }] } }),
};
