import { z } from 'zod';
import type { StaffKey } from '../demo/data/staff.ts';
import { type Cast, nameOf } from './cast.ts';
import { find } from './plan.ts';
import { post } from './player.ts';
import { barsOf, type PlannedSession } from './session.ts';

const Staff = z.object({
  items: z.array(z.object({ personId: z.string(), given: z.string().nullable(), family: z.string().nullable() })),
});
const Assigned = z.object({
  assignment: z.object({ id: z.string() }),
  cover: z.object({
    covered: z.boolean(),
    segments: z.array(z.object({ findings: z.array(z.object({ sentence: z.string() })) })),
  }),
});
const Confirmed = z.object({ confirmed: z.array(z.string()) });

export type PersonOf = (key: StaffKey) => string;

/** Who is who on the gym's staff, by name. */
export async function findStaff({ manager }: Cast, gymId: string): Promise<PersonOf> {
  const { items } = await manager.reads(`/gyms/${gymId}/staff?limit=200`, Staff);
  const all = items.map(({ personId, given, family }) => ({ personId, name: `${given} ${family}` }));
  return (key) => find(all, nameOf(key)).personId;
}

/**
 * Act three: whom nothing can excuse, what is short, and a yes once it is covered. Gives the assignment that the cover
 * of the bars rests on.
 */
export async function playStaffing(cast: Cast, planned: PlannedSession, person: PersonOf): Promise<string> {
  const { manager, coach } = cast;
  const { gymId, sessionId, blocks } = planned;
  const bars = barsOf(planned);
  const placing = (blockId: string, who: StaffKey, duty: 'lead' | 'assist') =>
    post(`/gyms/${gymId}/blocks/${blockId}/assignments`, { personId: person(who), duty });

  await manager.isRefused(
    `wants ${nameOf('petra')}, whose certificate has lapsed, to lead on the bars`,
    placing(bars.id, 'petra', 'lead'),
    'not-admissible',
  );
  await coach.isRefused('tries to take the bars herself', placing(bars.id, 'iris', 'lead'), 'not-allowed');
  await manager.does(
    `lets ${nameOf('iris')} lead on the bars`,
    placing(bars.id, 'iris', 'lead'),
    Assigned.refine(({ cover }) => !cover.covered),
    ({ cover }) => {
      const [finding] = cover.segments.flatMap(({ findings }) => findings);
      return `she has the place. It is only planned, for it is still short: ${finding?.sentence}`;
    },
  );
  await manager.isRefused(
    'tries to confirm the bars like that',
    post(`/gyms/${gymId}/blocks/${bars.id}/confirm`),
    'not-covered',
  );
  const { assignment } = await manager.does(
    `lets ${nameOf('joss')} assist on the bars`,
    placing(bars.id, 'joss', 'assist'),
    Assigned.refine(({ cover }) => cover.covered),
    () => 'that covers it.',
  );
  for (const { id } of blocks.filter((block) => block !== bars)) {
    await manager.quietly(placing(id, 'iris', 'lead'), Assigned);
    await manager.quietly(placing(id, 'joss', 'assist'), Assigned);
  }
  await manager.does(
    'puts both on the other two blocks as well, and confirms the session',
    post(`/gyms/${gymId}/sessions/${sessionId}/confirm`),
    Confirmed.refine(({ confirmed }) => confirmed.length === blocks.length),
    ({ confirmed }) => `${confirmed.length} blocks are confirmed.`,
  );
  return assignment.id;
}
