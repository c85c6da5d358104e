import { asChoice } from '../enforcement/choice.ts';
import { type CoverLock, lockCover } from '../enforcement/lock.ts';
import type { WholeSession } from '../features/schedule/schema.ts';
import { readBlockCover } from '../features/staffing/cover.ts';
import { acceptFinding } from '../features/staffing/override.ts';
import { insert } from '../features/staffing/place.ts';
import { sweepDay } from '../features/staffing/sweep.ts';
import type { Context } from '../platform/context.ts';
import type { Act } from './acting.ts';
import type { StaffKey } from './data/staff.ts';
import { OPEN_NEXT_WEEK, type Post } from './data/timetable.ts';
import type { Place } from './seed-place.ts';
import type { LaidOut } from './seed-schedule.ts';

type Block = WholeSession['blocks'][number];

export interface StaffingStage {
  act: Act;
  at: Date;
  managerId: string;
  ownerId: string;
  place: Place;
  staff: (key: StaffKey) => string;
}

/** Places the staff, accepts what is said to be accepted, and confirms whatever is covered. */
export async function seedStaffing(stage: StaffingStage, laidOut: readonly LaidOut[]): Promise<void> {
  const { act, at, managerId, ownerId } = stage;
  for (const sessions of byGymDay(laidOut)) {
    await act(at, managerId, (ctx) => placeStaff(ctx, stage, sessions));
    const accepted = sessions.filter(({ data, week }) => week === 1 && acceptedAt(data.key) !== undefined);
    if (accepted.length > 0) await act(at, ownerId, (ctx) => acceptFindings(ctx, stage, accepted));
    // The rehearsal is beyond every gym's window: it waits to be confirmed by hand.
    const [first] = sessions.filter(({ data }) => data.key !== 'rehearsal');
    if (first) await act(at, managerId, (ctx) => sweepDay(ctx, gymDayOf(stage, first)));
  }
}

const acceptedAt = (classKey: string) =>
  OPEN_NEXT_WEEK.find((open) => open.class === classKey && open.because !== null);

function byGymDay(laidOut: readonly LaidOut[]): LaidOut[][] {
  const days = new Map<string, LaidOut[]>();
  for (const one of laidOut) {
    const key = `${one.data.gym} ${one.session.day}`;
    days.set(key, [...(days.get(key) ?? []), one]);
  }
  return [...days.values()];
}

const gymDayOf = ({ place }: StaffingStage, { data, session }: LaidOut) => ({
  gymId: place.gym(data.gym),
  day: session.day,
});

/** All places of a gym's day as one choice: refused like any other when somebody may not have theirs. */
async function placeStaff(ctx: Context, stage: StaffingStage, sessions: readonly LaidOut[]): Promise<void> {
  const places = sessions.flatMap((one) => placesOf(one).map((place) => ({ ...place, at: gymDayOf(stage, one) })));
  const days = places.map(({ at }) => at);
  const people = places.map(({ post }) => stage.staff(post.who));
  const lock = await lockCover(ctx, 'choice', async () => ({ days, people }));
  await asChoice(ctx, lock, async () => {
    for (const { block, post, at } of places) await placeOne(ctx, lock, stage.staff(post.who), post, block, at);
  });
}

function placeOne(
  ctx: Context,
  lock: CoverLock,
  personId: string,
  { duty }: Post,
  { id, startsAt, endsAt }: Block,
  at: { gymId: string; day: string },
) {
  const span = { from: Date.parse(startsAt), to: Date.parse(endsAt) };
  return insert(ctx, lock, personId, duty, { ...at, unit: { per: 'block', id }, span });
}

/** Everybody at every block of their group, but for the places that are said to be open. */
function placesOf({ data, week, session }: LaidOut): { block: Block; post: Post }[] {
  return session.groups.flatMap((group, index) =>
    session.blocks
      .filter(({ groupId }) => groupId === group.id)
      .flatMap((block) =>
        (data.groups[index] ?? [])
          .filter(({ who }) => !isOpen(data.key, week, block, who))
          .map((post) => ({ block, post })),
      ),
  );
}

const isOpen = (classKey: string, week: number, { title }: Block, who: StaffKey): boolean =>
  week === 1 && OPEN_NEXT_WEEK.some((open) => open.class === classKey && open.title === title && open.who === who);

/** Accepts by name, with its reason, what an open place leaves short. */
async function acceptFindings(ctx: Context, stage: StaffingStage, sessions: readonly LaidOut[]): Promise<void> {
  for (const one of sessions) {
    const open = acceptedAt(one.data.key);
    const { gymId } = gymDayOf(stage, one);
    for (const block of one.session.blocks.filter(({ title }) => title === open?.title)) {
      const { findings } = await readBlockCover(ctx, gymId, block.id);
      for (const { unit, startsAt, endsAt, code, ruleId, subjects, short } of findings) {
        await acceptFinding(ctx, gymId, {
          unit,
          startsAt,
          endsAt,
          code,
          ruleId,
          subjects: subjects.map(({ id }) => id),
          short,
          reason: open?.because ?? '',
        });
      }
    }
  }
}
