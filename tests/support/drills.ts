import type { Drill, SentDrill } from '../../src/features/curriculum/schema.ts';
import type { Franchise } from './a-franchise.ts';
import type { Caller } from './api.ts';

let made = 0;
/** A name that nothing else has. */
export function unique(name: string): string {
  made += 1;
  return `${name} ${made}`;
}

/** A drill to be sent: on the floor, spotted by nobody, two at a time. */
export const drillBody = (f: Franchise, more: Partial<SentDrill> = {}): SentDrill => ({
  name: unique('Forward roll down the wedge'),
  apparatusId: f.apparatus.floor,
  sayFirst: 'Chin to chest, hands flat.',
  spotting: { mode: 'none' },
  skills: [],
  secondsATurn: 20,
  places: 2,
  ...more,
});

/** What a drill says where it was sent without. */
export const UNSAID = {
  ifItGoesWrong: '',
  lookFors: [],
  levels: [],
  equipment: [],
  placesAre: 'side-by-side',
  height: null,
  demonstration: null,
  diagram: null,
  retired: false,
} as const;

/** A drill, added over HTTP. */
export async function aDrill(as: Caller, f: Franchise, more: Partial<SentDrill> = {}): Promise<Drill> {
  const answer = await as.post<Drill>('/drills', drillBody(f, more));
  if (answer.status !== 201) throw new Error(`no drill: ${answer.text}`);
  return answer.body;
}

/** A skill, added over HTTP; gives its id. */
export async function aSkill(as: Caller, f: Franchise, name = unique('Cast')): Promise<string> {
  return (await as.post('/skills', { name, apparatusId: f.apparatus.bars })).body.id;
}
