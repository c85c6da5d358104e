// The invented franchise: its gyms, what stands in them, what it teaches and whom it employs for it.

export const FRANCHISE = 'Fernlarch Gymnastics';

export const APPARATUS = ['Floor', 'Vault', 'Bars', 'Beam', 'Soft shapes'] as const;
export type ApparatusName = (typeof APPARATUS)[number];

export const AREAS: { name: string; apparatus: ApparatusName; items: number }[] = [
  { name: 'Sprung floor', apparatus: 'Floor', items: 4 },
  { name: 'Vault run', apparatus: 'Vault', items: 2 },
  { name: 'Bars bay', apparatus: 'Bars', items: 3 },
  { name: 'Beam lane', apparatus: 'Beam', items: 4 },
  { name: 'Play corner', apparatus: 'Soft shapes', items: 6 },
];

export const GYMS = {
  quillmere: { name: 'Quillmere', zone: 'America/Halifax' },
  brandle: { name: 'Brandle Cove', zone: 'America/Halifax' },
  pellowick: { name: 'Pellowick', zone: 'America/Toronto' },
} as const;
export type GymKey = keyof typeof GYMS;

export const PROGRAMMES = {
  toddlers: { name: 'Parent and child', levels: ['Hand in hand', 'Side by side'] },
  preschool: { name: 'Preschool', levels: ['First steps', 'Next steps'] },
  recreational: { name: 'Recreational', levels: ['Beginners', 'Improvers', 'Confident'] },
  development: { name: 'Development', levels: ['First stage', 'Second stage', 'Third stage'] },
} as const;
export type ProgrammeKey = keyof typeof PROGRAMMES;
export type LevelName = (typeof PROGRAMMES)[ProgrammeKey]['levels'][number];

export const KINDS = {
  coaching: {
    name: 'Coaching certificate',
    countsFor: ['leading', 'assisting'],
    grades: ['Assistant coach', 'Coach', 'Senior coach'],
  },
  spotting: { name: 'Spotting', countsFor: ['spotting'], grades: ['Basic', 'Full', 'Advanced'] },
  firstAid: { name: 'First aid', countsFor: ['first-aid'], grades: ['Held'] },
  check: { name: 'Background check', countsFor: ['screening'], grades: ['Clear'] },
} as const;
export type KindKey = keyof typeof KINDS;
