import { expect } from 'vitest';
import type { SentContent } from '../../src/features/curriculum/plan-content-schema.ts';
import type { LessonPlan, Publication, WholePlanVersion } from '../../src/features/curriculum/plan-schema.ts';
import type { Drill, Programme, SentDrill } from '../../src/features/curriculum/schema.ts';
import type { Franchise } from './a-franchise.ts';
import type { Caller } from './api.ts';

export type Block = SentContent['blocks'][number];
export type Station = Block['stations'][number];
export type Step = Station['steps'][number];

/** Three turns for everyone; with several drills, one of them is chosen. */
export const aStep = (drillIds: string[], more: Partial<Step> = {}): Step => ({
  drillIds,
  chooseBy: drillIds.length > 1 ? 'By who lands on their feet' : null,
  fromLevelId: null,
  dose: { amount: 3, unit: 'turns', sets: 1, eachSide: false, note: null },
  weight: 'core',
  ...more,
});

/** A block of 15 minutes on whatever its stations stand on. */
export const aBlock = (stations: Station[], more: Partial<Block> = {}): Block => ({
  title: 'Floor',
  activity: 'apparatus',
  minutes: 15,
  apparatusIds: [...new Set(stations.map(({ apparatusId }) => apparatusId))],
  formation: 'stations',
  importance: 1,
  classRule: 'One at a time.',
  waterFirst: false,
  stationsRun: 'side-by-side',
  stations,
  ...more,
});

export const content = (...blocks: Block[]): SentContent => ({ focus: [], blocks });

let made = 0;
/** The name with a number that no other has. */
export function unique(name: string): string {
  made += 1;
  return `${name} ${made}`;
}

/** What a programme lead writes, over HTTP. */
export function writing(f: Franchise, lead: Caller) {
  async function aProgramme(name = unique('Recreational')): Promise<Programme> {
    const levels = [{ name: 'Bronze' }, { name: 'Silver' }];
    return (await lead.post<Programme>('/programmes', { name, levels })).body;
  }

  /** On the floor, not spotted, when left out. */
  async function aDrill(more: Partial<SentDrill> = {}): Promise<Drill> {
    const answer = await lead.post<Drill>('/drills', {
      name: unique('Forward roll down the wedge'),
      apparatusId: f.apparatus.floor,
      sayFirst: 'Chin to chest, hands flat.',
      spotting: { mode: 'none' },
      skills: [],
      secondsATurn: 20,
      places: 2,
      ...more,
    });
    expect(answer.status, answer.text).toBe(201);
    return answer.body;
  }

  /** One step a drill, on the floor. */
  const aStation = (drillIds: string[], more: Partial<Station> = {}): Station => ({
    name: 'Wedge',
    apparatusId: f.apparatus.floor,
    items: 1,
    setUp: { words: 'One wedge to slope, one mat to land on', pieces: [], staysUp: false, diagram: null },
    places: null,
    steps: drillIds.map((drillId) => aStep([drillId])),
    ...more,
  });

  type Drafted = LessonPlan & { draft: NonNullable<LessonPlan['draft']> };
  async function aDraft(programmeId?: string, weekOf = '2026-09-14'): Promise<Drafted> {
    const programmeIds = [programmeId ?? (await aProgramme()).id];
    const answer = await lead.post<LessonPlan>('/lesson-plans', { title: 'Rolls', weekOf, programmeIds });
    expect(answer.status, answer.text).toBe(201);
    const { draft } = answer.body;
    if (draft === null) throw new Error('a new plan has a draft');
    return { ...answer.body, draft };
  }

  async function write(planId: string, ifMatch: number, said: SentContent): Promise<WholePlanVersion> {
    const answer = await lead.put<WholePlanVersion>(`/lesson-plans/${planId}/draft`, said, { ifMatch });
    expect(answer.status, answer.text).toBe(200);
    return answer.body;
  }

  async function publish(planId: string, ifMatch: number, how: Publication = {}): Promise<WholePlanVersion> {
    const answer = await lead.post<WholePlanVersion>(`/lesson-plans/${planId}/draft/publish`, how, { ifMatch });
    expect(answer.status, answer.text).toBe(200);
    return answer.body;
  }

  /** Writes the next version of a published plan and publishes it. */
  async function publishNext(planId: string, said: SentContent, how: Publication = {}): Promise<WholePlanVersion> {
    const begun = await lead.post<WholePlanVersion>(`/lesson-plans/${planId}/versions`);
    expect(begun.status, begun.text).toBe(201);
    return publish(planId, (await write(planId, begun.body.revision, said)).revision, how);
  }

  return { aProgramme, aDrill, aStation, aDraft, write, publish, publishNext };
}
