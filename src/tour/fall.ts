import { z } from 'zod';
import { addDays, dayOf } from '../features/schedule/zone-time.ts';
import { type Cast, nameOf } from './cast.ts';
import type { ClassNow } from './class-now.ts';
import { coachName, type Hall } from './hall.ts';
import { get, post } from './player.ts';

const Incident = z.object({
  id: z.string(),
  revision: z.number(),
  snapshot: z.object({
    blockId: z.string(),
    staff: z.array(
      z.object({
        personId: z.string(),
        name: z.string(),
        duty: z.string(),
        unit: z.object({ id: z.string() }),
        qualifications: z.array(z.object({ kind: z.string() })),
      }),
    ),
    athletes: z.array(z.object({ state: z.string() })),
  }),
  concussions: z.tuple([z.object({ id: z.string(), cautions: z.array(z.string()).min(1) })]),
});
const Receipt = z.object({ link: z.number(), signedAs: z.string() });
const Attached = z.object({ id: z.string(), mediaType: z.literal('application/pdf') });
const Cleared = z.object({
  concussions: z.tuple([z.object({ clearance: z.object({ professional: z.string(), attachmentId: z.string() }) })]),
});
const Stopped = z.object({
  items: z.tuple([z.object({ stopped: z.literal(true), attendance: z.object({ state: z.literal('on-hold') }) })]),
});
/** Two of the note's own, the paper and the clearance. */
const LINKS = 4;
const Chain = z.object({ intact: z.literal(true), links: z.literal(LINKS), head: z.string() });

/** A note of a fall: who was there is attached by the service, and a suspected concussion stops the athlete. */
export async function playFall({ desk }: Cast, { coach, athleteIds }: Hall, now: ClassNow): Promise<Noted> {
  const { gymId, blocks } = now;
  const block = blocks[0];
  const athleteId = athleteIds[0] ?? '';
  const note = {
    kind: 'injury',
    people: [{ personId: athleteId, part: 'hurt' }],
    what: 'Ran into the edge of the mat at the third island and fell on the head.',
    whereItHurts: 'Forehead',
    done: 'Sat down beside the hall, cold pack; not left alone.',
    told: 'Father, by telephone, at once',
    suspectedConcussions: [{ athleteId, observed: ['severe_or_increasing_headache'] }],
  };
  const onBlock = ({ staff }: z.output<typeof Incident>['snapshot']) =>
    staff.filter(({ unit }) => unit.id === block?.id);
  const isWhoWasThere = (snapshot: z.output<typeof Incident>['snapshot']) => {
    const there = onBlock(snapshot).map(({ personId }) => personId);
    return snapshot.blockId === block?.id && there.includes(coach.piet) && !there.includes(coach.edda);
  };
  const incident = await desk.does(
    'writes the half-minute note: a child fell, and a concussion is suspected',
    post(`/gyms/${gymId}/incidents`, note),
    Incident.refine(({ snapshot }) => isWhoWasThere(snapshot)),
    ({ snapshot, concussions: [{ cautions }] }) => {
      const who = onBlock(snapshot).map(
        ({ name, duty, qualifications }) => `${name} (${duty}; ${qualifications.map(({ kind }) => kind).join(', ')})`,
      );
      const here = snapshot.athletes.filter(({ state }) => state === 'present').length;
      return `a draft. The service attached who was on ${block?.title} at that minute: ${who.join(' and ')}, with ${here} children; not ${coachName('edda')}, who had left. It says: ${cautions[0]}`;
    },
  );
  await desk.does(
    'signs and sends it',
    post(`/gyms/${gymId}/incidents/${incident.id}/send`, { signedAs: nameOf('hugo') }, incident.revision),
    Receipt,
    ({ link }) => `from now on it is amended, never edited; it is link ${link} of the gym’s chain of hashes.`,
  );
  return { incidentId: incident.id, concussionId: incident.concussions[0].id, athleteId };
}

/** The note, and whom it is about. */
export interface Noted {
  incidentId: string;
  concussionId: string;
  athleteId: string;
}

/**
 * At the desk for the child's next class: stopped until a licensed professional's clearance is on file, and all that day.
 * Then the chain is verified. The clock is the real one, so it is a class of the same day.
 */
export async function playNextClass(
  { manager, desk }: Cast,
  { zone }: Hall,
  now: ClassNow,
  noted: Noted,
): Promise<void> {
  const { gymId, laterId, startsAt } = now;
  const { incidentId, concussionId, athleteId } = noted;
  const ofNote = `/gyms/${gymId}/incidents/${incidentId}`;
  const today = dayOf(new Date(startsAt), zone);
  const arrival = { arrivals: [{ athleteId, sessionId: laterId }] };
  const comes = post(`/gyms/${gymId}/check-ins`, arrival);
  await desk.does(
    'checks the child in for the next class',
    comes,
    Stopped,
    () => 'on hold, stopped; no activity before a clearance is on file.',
  );
  const paper = Buffer.from('%PDF-1.4\n% The tour’s paper: a clearance.\n%%EOF\n').toString('base64');
  const { id: attachmentId } = await manager.does(
    'attaches the paper that the family brought',
    post(`${ofNote}/attachments`, { name: 'Clearance.pdf', content: paper }),
    Attached,
    () => 'a PDF by its content.',
  );
  const clearance = {
    professional: 'Dr Solveig Ashmarl',
    profession: 'physician',
    licence: 'TOUR-0417',
    licensedBy: 'An invented college of physicians',
    examinedOn: today,
    stages: [
      { words: 'Light activity, nothing upside down.', notBefore: null },
      { words: 'Everything, if the first stage stays without complaints.', notBefore: addDays(today, 7) },
    ],
    attachmentId,
  };
  await manager.does(
    'puts the clearance on file: who gave it, and by which licence',
    post(`${ofNote}/suspected-concussions/${concussionId}/clearance`, clearance),
    Cleared,
    ({ concussions: [one] }) => `by ${one.clearance.professional}, with the return as the clinician wrote it.`,
  );
  await desk.does(
    'checks the child in again',
    comes,
    Stopped,
    () => 'still stopped today: no return on the day of the fall. The child may come from tomorrow.',
  );
  await manager.does(
    'verifies the gym’s chain of hashes',
    get(`/gyms/${gymId}/incident-chain`),
    Chain,
    ({ links, head }) => `${links} links, intact; its head is ${head.slice(0, 12)}…`,
  );
}
