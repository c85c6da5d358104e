import { z } from 'zod';
import { PROGRAMMES } from '../demo/data/place.ts';
import type { Cast } from './cast.ts';
import { get, post, put } from './player.ts';
import { TourStops } from './told.ts';

const Named = z.object({ id: z.string(), name: z.string() });
const Drills = z.object({ items: z.array(Named.extend({ apparatusId: z.string() })) });
const Programmes = z.object({ items: z.array(Named) });
const Plan = z.object({ id: z.string(), draft: z.object({ revision: z.number() }) });
const Version = z.object({ id: z.string(), number: z.number(), state: z.string(), revision: z.number() });
const Check = z.object({ whole: z.boolean(), faults: z.array(z.object({ pointer: z.string(), detail: z.string() })) });

/** The plan that the rest of the tour teaches. */
export interface PublishedPlan {
  planId: string;
  programmeId: string;
}

const SET_UP = { words: 'A low bar with a thick mat under it; thin mats elsewhere.', pieces: [], staysUp: false };

/** Act one: the programme lead writes a week's plan, is told what is missing, mends it and publishes it. */
export async function playPlan({ lead }: Cast, monday: string): Promise<PublishedPlan> {
  const programmes = await lead.reads('/programmes?limit=200', Programmes);
  const drills = await lead.reads('/drills?limit=200', Drills);
  const programmeId = find(programmes.items, PROGRAMMES.recreational.name).id;
  const step = (name: string, amount: number, unit: string) => {
    const dose = { amount, unit, sets: 1, eachSide: false, note: null };
    const { id, apparatusId } = find(drills.items, name);
    return { apparatusId, steps: [{ drillIds: [id], chooseBy: null, fromLevelId: null, dose, weight: 'core' }] };
  };
  const block = (
    title: string,
    activity: string,
    minutes: number,
    station: { apparatusId: string; steps: object[] },
  ) => ({
    title,
    activity,
    minutes,
    apparatusIds: [station.apparatusId],
    formation: 'stations',
    importance: 1,
    classRule: 'One at a time; the next one waits on the line.',
    stationsRun: 'side-by-side',
    stations: [{ name: title, items: 1, setUp: SET_UP, places: null, ...station }],
  });
  const bars = step('Pullover from two feet', 4, 'turns');
  const contentWith = (onTheBars: typeof bars) => ({
    focus: [],
    blocks: [
      block('Warm-up', 'warm-up', 8, step('Islands', 3, 'rounds')),
      block('Bars', 'apparatus', 16, onTheBars),
      block('Cool-down', 'cool-down', 6, step('Shake and breathe', 10, 'times')),
    ],
  });

  const { id: planId, draft } = await lead.does(
    `drafts a lesson plan for the week of ${monday}`,
    post('/lesson-plans', { title: 'Tour: a week of pullovers', weekOf: monday, programmeIds: [programmeId] }),
    Plan,
    () => 'an empty draft, version 1.',
  );
  const begun = await lead.does(
    'writes a warm-up, bars and a cool-down, and leaves the drill on the bars for later',
    put(`/lesson-plans/${planId}/draft`, contentWith({ ...bars, steps: [] }), draft.revision),
    Version,
    () => 'kept; a draft may be unfinished.',
  );
  await lead.does(
    'asks whether it is whole',
    get(`/lesson-plans/${planId}/draft/check`),
    Check.refine(({ whole }) => !whole),
    ({ faults }) => `not yet. ${faults.map(({ pointer, detail }) => `${detail} (${pointer})`).join(' ')}`,
  );
  await lead.isRefused(
    'tries to publish it all the same',
    post(`/lesson-plans/${planId}/draft/publish`, {}, begun.revision),
    'plan-not-whole',
  );
  const mended = await lead.does(
    'adds the pullover, which somebody has to spot by hand',
    put(`/lesson-plans/${planId}/draft`, contentWith(bars), begun.revision),
    Version,
    () => 'kept.',
  );
  await lead.does(
    'publishes it',
    post(`/lesson-plans/${planId}/draft/publish`, {}, mended.revision),
    Version.refine(({ state }) => state === 'published'),
    ({ number }) => `version ${number} is published at every gym, and does not change any more.`,
  );
  return { planId, programmeId };
}

export function find<T extends { name: string }>(all: readonly T[], name: string): T {
  const found = all.find((one) => one.name === name);
  if (!found)
    throw new TourStops(`The demo's "${name}" is not there: the tour plays on the demo franchise as it was loaded.`);
  return found;
}
