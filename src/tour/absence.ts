import { z } from 'zod';
import { type Cast, nameOf } from './cast.ts';
import { get, post } from './player.ts';
import { barsOf, type PlannedSession } from './session.ts';
import type { PersonOf } from './staffing.ts';
import { TourStops } from './told.ts';

const Request = z.object({ method: z.literal('POST'), path: z.string(), body: z.unknown() });
const Settled = z.object({
  settled: z.object({
    released: z.array(z.object({ assignmentId: z.string() })),
    unconfirmed: z.array(
      z.object({
        name: z.string(),
        findings: z.array(z.object({ sentence: z.string() })),
        remedies: z.array(z.object({ sentence: z.string(), request: Request.nullable() })),
      }),
    ),
  }),
});
const Covered = z.object({ cover: z.object({ covered: z.literal(true) }) });
const Confirmed = z.object({ confirmed: z.array(z.string()) });
const Session = z.object({ state: z.literal('confirmed') });
const BlockCover = z.object({
  covered: z.literal(true),
  confirmed: z.literal(true),
  athletes: z.number(),
  needed: z.number(),
  counted: z.string(),
  headroom: z.object({ more: z.number() }),
});

/** Act four: a choice that would uncover a block is refused; a fact never is, and comes with its remedy. */
export async function playAbsence(
  cast: Cast,
  planned: PlannedSession,
  person: PersonOf,
  assignmentId: string,
): Promise<void> {
  const { manager, desk } = cast;
  const { gymId, sessionId, blocks } = planned;
  await manager.isRefused(
    `wants to take ${nameOf('joss')} off the bars again`,
    post(`/gyms/${gymId}/assignments/${assignmentId}/release`, { reason: 'Needed at the desk' }),
    'cover-broken',
  );
  const span = { startsAt: blocks[0]?.startsAt, endsAt: blocks.at(-1)?.endsAt };
  const all = blocks.length;
  const { settled } = await desk.does(
    `takes a call: ${nameOf('joss')} is ill and cannot come`,
    post(`/gyms/${gymId}/absences`, { personId: person('joss'), ...span }),
    Settled.refine(({ settled: { released, unconfirmed } }) => released.length === all && unconfirmed.length === all),
    ({ settled: { released, unconfirmed } }) =>
      `recorded, as a fact always is. ${released.length} places are given up, and ${unconfirmed.length} blocks lost their confirmation. ${unconfirmed[0]?.findings[0]?.sentence ?? ''}`,
  );
  for (const { name, remedies } of settled.unconfirmed) {
    const remedy = remedies.find(({ request }) => request !== null);
    if (!remedy?.request) throw new TourStops(`No remedy that is ready to send was offered for ${name}.`);
    await manager.does(
      `sends the first remedy that came with it, as it is: ${remedy.sentence.replace(/\.$/, '')}`,
      { method: 'POST', path: remedy.request.path, body: remedy.request.body },
      Covered,
      () => 'covered again.',
    );
  }
  await manager.does(
    'confirms the session again',
    post(`/gyms/${gymId}/sessions/${sessionId}/confirm`),
    Confirmed.refine(({ confirmed }) => confirmed.length === all),
    ({ confirmed }) => `${confirmed.length} blocks are confirmed.`,
  );
  await desk.does(
    'asks whether another child would fit on the bars',
    get(`/gyms/${gymId}/blocks/${barsOf(planned).id}/cover`),
    BlockCover,
    ({ athletes, needed, counted, headroom }) =>
      `${athletes} children need ${needed} coaches, ${counted} count; room for ${headroom.more} more like the youngest.`,
  );
  await desk.quietly(get(`/gyms/${gymId}/sessions/${sessionId}`), Session);
}
