import { type CoverLock, lockCover } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { newId } from '../../platform/ids.ts';
import { invalid, refuse } from '../../platform/problem.ts';
import { incidentConcussions } from '../../tables/incidents.ts';
import { openActivityHold } from '../attendance/repo.ts';
import { about, type IncidentRow, lockIncident, refuseStranger } from './access.ts';
import type { AtIncident, Suspicion } from './addition-schema.ts';
import { refuseFull } from './bounds.ts';
import { link } from './chain.ts';
import { isInEdition } from './concussion-codes.ts';
import { type PersonHere, peopleHere } from './people-here.ts';
import { peopleOf, readIncident } from './read-note.ts';
import type { Incident } from './schema.ts';

/** Holds the athletes, so that nobody checks them in meanwhile; taken before anything else. */
export const stopActivity = (ctx: Context, athleteIds: readonly string[]): Promise<CoverLock> =>
  lockCover(ctx, 'fact', async () => ({ people: athleteIds }));

/** Writes down what was seen, and stops the athlete's check-in to activity until a clearance is on file. */
export async function suspect(
  ctx: Context,
  lock: CoverLock,
  note: Pick<IncidentRow, 'id' | 'gymId' | 'kind' | 'revision'>,
  { athleteId, edition, observed }: Suspicion,
  known: ReadonlyMap<string, PersonHere>,
): Promise<void> {
  if (!known.get(athleteId)?.isAthlete)
    throw invalid('/athleteId', 'This is none of the note’s people, or no athlete.');
  const foreign = observed.find((code) => !isInEdition(edition, code));
  if (foreign !== undefined)
    throw invalid('/observed', `"${foreign}" is not among the codes of the edition of ${edition}.`);
  if (ctx.accountId === null) throw new Error('somebody has seen it');
  const hold = await openActivityHold(ctx, lock, note.gymId, {
    athleteId,
    since: ctx.now,
    why: 'A concussion is suspected',
    // Were it said of the others, saying nothing would tell of a safeguarding concern; the note knows its hold.
  });
  const row = {
    id: newId(),
    incidentId: note.id,
    athleteId,
    edition,
    observed: [...new Set(observed)].sort(),
    holdId: hold.id,
    createdAt: ctx.now,
    createdBy: ctx.accountId,
  };
  await ctx.tx.insert(incidentConcussions).values({ franchiseId: ctx.franchiseId, ...row });
  await link(ctx, note, 'concussion', row.id);
  await ctx.record('incidents.concussion-suspected', about(note), { concussionId: row.id });
}

/** The same later, on a note that is there already; draft or sent. */
export async function addSuspicion(ctx: Context, at: AtIncident, suspicion: Suspicion): Promise<Incident> {
  const { lock, note } = await lockedWith(ctx, at, suspicion.athleteId);
  const people = await peopleOf(ctx, at.incidentId);
  if (!people.some(({ personId }) => personId === suspicion.athleteId)) {
    throw refuse('invalid-request', 'Nobody of that id is in the note.', {
      errors: [
        { pointer: '/athleteId', detail: 'Name one of the note’s people; another athlete needs a note of their own.' },
      ],
    });
  }
  await refuseFull(ctx, note.id, 'concussions');
  const known = await peopleHere(ctx, at.gymId, [suspicion.athleteId]);
  await suspect(ctx, lock, note, suspicion, known);
  return readIncident(ctx, at);
}

/** The athlete's row before the note's, as everywhere; somebody who is not there is left to the check that follows. */
async function lockedWith(ctx: Context, at: AtIncident, athleteId: string) {
  const known = await peopleHere(ctx, at.gymId, [athleteId]);
  const lock = await stopActivity(ctx, [...known.keys()]);
  const note = await lockIncident(ctx, at);
  refuseStranger(ctx, note);
  return { lock, note };
}
