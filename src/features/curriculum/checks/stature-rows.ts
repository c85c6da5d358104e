/** One published row: sex, age in months, and the L, M (cm) and S of stature at that age. */
export interface StatureRow {
  sex: 'female' | 'male';
  months: number;
  l: number;
  m: number;
  s: number;
}

/** CDC growth charts, stature for age, 2000 edition (US National Center for Health Statistics): a row a year, at the half-month. */
export const STATURE_ROWS: readonly StatureRow[] = [
  { sex: 'female', months: 24.5, l: 1.051272912, m: 85.3973169, s: 0.040859727 },
  { sex: 'female', months: 36.5, l: 0.54198094, m: 94.21335709, s: 0.042017509 },
  { sex: 'female', months: 48.5, l: 0.225705996, m: 101.033927, s: 0.043259907 },
  { sex: 'female', months: 60.5, l: -0.057729947, m: 107.9566031, s: 0.044276588 },
  { sex: 'female', months: 72.5, l: -0.219069129, m: 115.0054978, s: 0.044963636 },
  { sex: 'female', months: 84.5, l: -0.210210748, m: 121.7616844, s: 0.045460702 },
  { sex: 'female', months: 96.5, l: -0.079283065, m: 127.8262759, s: 0.045968169 },
  { sex: 'female', months: 108.5, l: 0.08414848, m: 133.1303527, s: 0.04688401 },
  { sex: 'female', months: 120.5, l: 0.284748919, m: 138.2111552, s: 0.048704503 },
  { sex: 'female', months: 132.5, l: 0.744289752, m: 144.2609497, s: 0.050524236 },
  { sex: 'female', months: 144.5, l: 1.303044695, m: 151.4865636, s: 0.048599314 },
  { sex: 'female', months: 156.5, l: 1.242968236, m: 157.3436995, s: 0.043859135 },
  { sex: 'female', months: 168.5, l: 0.95657215, m: 160.4776996, s: 0.041022401 },
  { sex: 'female', months: 180.5, l: 0.895569834, m: 161.8979913, s: 0.040083845 },
  { sex: 'female', months: 192.5, l: 0.941145943, m: 162.5689958, s: 0.039820663 },
  { sex: 'female', months: 204.5, l: 0.999505539, m: 162.9238449, s: 0.039732048 },
  { sex: 'female', months: 216.5, l: 1.047571238, m: 163.1307866, s: 0.039687311 },
  { sex: 'male', months: 24.5, l: 1.00720807, m: 86.86160934, s: 0.040395626 },
  { sex: 'male', months: 36.5, l: -0.390918369, m: 95.27359106, s: 0.04053412 },
  { sex: 'male', months: 48.5, l: 0.827636736, m: 102.5104735, s: 0.041344257 },
  { sex: 'male', months: 60.5, l: 1.266367398, m: 109.1751441, s: 0.042593311 },
  { sex: 'male', months: 72.5, l: 1.137442868, m: 115.6608862, s: 0.043673359 },
  { sex: 'male', months: 84.5, l: 0.753244292, m: 122.0305342, s: 0.044403374 },
  { sex: 'male', months: 96.5, l: 0.455267507, m: 128.1237104, s: 0.045127088 },
  { sex: 'male', months: 108.5, l: 0.415687443, m: 133.7344759, s: 0.046217028 },
  { sex: 'male', months: 120.5, l: 0.505564115, m: 138.8234114, s: 0.047610108 },
  { sex: 'male', months: 132.5, l: 0.487939275, m: 143.7303663, s: 0.048937694 },
  { sex: 'male', months: 144.5, l: 0.420919142, m: 149.3088178, s: 0.049947823 },
  { sex: 'male', months: 156.5, l: 0.816239713, m: 156.4098858, s: 0.050333444 },
  { sex: 'male', months: 168.5, l: 1.670433444, m: 164.1418486, s: 0.04894519 },
  { sex: 'male', months: 180.5, l: 2.205180153, m: 170.139255, s: 0.045889585 },
  { sex: 'male', months: 192.5, l: 2.113023423, m: 173.6100518, s: 0.043085685 },
  { sex: 'male', months: 204.5, l: 1.724738292, m: 175.340954, s: 0.041408129 },
  { sex: 'male', months: 216.5, l: 1.399999187, m: 176.1850208, s: 0.04064364 },
];
