import { coverOf, type Floor, type Unit } from '../../cover/index.ts';
import { liveFloor, withExpected } from '../../enforcement/live-floor.ts';
import { loadFloor } from '../../enforcement/load-floor.ts';
import { loadNames } from '../../enforcement/names.ts';
import { loadRecorded, type Recorded, stateAt } from '../../enforcement/recorded.ts';
import { holds } from '../../enforcement/spans.ts';
import { coverOnWire } from '../../enforcement/wire.ts';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { LANGUAGE_OF_RECORD } from '../../platform/language.ts';
import { qualificationKinds } from '../../tables/people.ts';
import type { StoredFacts } from './schema.ts';

/**
 * The facts of a moment at a gym: who was on the block (or, with no block, on any that ran) with which qualifications
 * valid that day, the athletes who belong there with where each was, the cover and the rules in force. From what was
 * recorded, and from the plan as it stood then; of a session whose attendance nobody took, those enrolled are taken to
 * have been there. People by id only: names are looked up when it is read, so that they can be erased. Its
 * sentences are in the language of record.
 */
export async function takeFacts(
  ctx: Context,
  { gymId, day, at, blockId }: { gymId: string; day: string; at: Date; blockId: string | null },
): Promise<StoredFacts> {
  const moment = at.getTime();
  const stored = await loadRecorded(ctx, { gymId, day });
  const { floor: planned } = await loadFloor(ctx, { gymId, day }, [], {
    athletes: stored.attended.map(({ athleteId }) => athleteId),
    ...(at < ctx.now && { past: { knownAt: at } }),
  });
  const recorded = { ...stored, attended: withGroupsOf(planned, stored.attended) };
  const taken = new Set(recorded.attended.map(({ sessionId }) => sessionId));
  const live = liveFloor(planned, recorded, moment);
  const floor = withExpected(live, recorded, (session) => !taken.has(session));
  const blocks = floor.blocks.filter(({ id, span }) => (blockId === null ? holds(span, moment) : id === blockId));
  const blockIds = new Set(blocks.map(({ id }) => id));
  const sessions = new Set(blocks.map(({ session }) => session));
  const groups = new Set(blocks.map(({ group }) => group));
  const isAround = ({ per, id }: Unit) => per === 'premises' || (per === 'block' ? blockIds : sessions).has(id);

  const kinds = await ctx.tx
    .select({ id: qualificationKinds.id, name: qualificationKinds.name })
    .from(qualificationKinds)
    .where(ours(ctx, qualificationKinds));
  const kindName = new Map(kinds.map(({ id, name }) => [id, name]));
  const names = await loadNames({ ...ctx, language: LANGUAGE_OF_RECORD }, { gymId, day, floor });
  const unnamed = { ...names, person: () => 'somebody' };
  return {
    blockId,
    staff: floor.staff.flatMap((one) =>
      one.at
        .filter(({ unit, span }) => isAround(unit) && holds(span, moment))
        .map(({ duty, unit }) => ({
          personId: one.person,
          duty,
          unit,
          qualifications: one.holds
            .filter(({ from, to }) => from <= day && (to === null || to > day))
            .map(({ kind, grade, from, to }) => ({
              kindId: kind,
              kind: kindName.get(kind) ?? '',
              grade,
              from,
              until: to,
            })),
        })),
    ),
    athletes: withState(
      planned.athletes.filter(({ enrolled }) => enrolled.some(({ block }) => blockIds.has(block))),
      recorded.attended.filter(({ sessionId, groupId }) =>
        blockId === null ? sessions.has(sessionId) : groupId !== null && groups.has(groupId),
      ),
      moment,
    ),
    cover: blocks.flatMap((block) =>
      coverOf(floor, { per: 'block', id: block.id })
        .filter(({ span }) => holds(span, moment))
        .map((cover) => coverOnWire(cover, unnamed)),
    ),
    rules: floor.rules.map(({ id, version }) => ({ ruleId: id, version, name: names.rule(id) })),
  };
}

/** Each in the group in which they had a place then; those with none, in that with which they came. */
function withGroupsOf({ blocks, athletes }: Floor, attended: Recorded['attended']): Recorded['attended'] {
  const blockOf = new Map(blocks.map((block) => [block.id, block]));
  const groupOf = new Map(
    athletes.flatMap(({ person, enrolled }) =>
      enrolled.flatMap(({ block }) => {
        const at = blockOf.get(block);
        return at ? [[`${person} ${at.session}`, at.group] as const] : [];
      }),
    ),
  );
  return attended.map((one) => ({ ...one, groupId: groupOf.get(`${one.athleteId} ${one.sessionId}`) ?? one.groupId }));
}

/** Each with what attendance says of them then; "expected" where nothing was marked. */
function withState(placed: readonly { person: string }[], attended: Recorded['attended'], moment: number) {
  const stateOf = new Map(attended.map((one) => [one.athleteId, stateAt(one, moment)]));
  const everybody = [...new Set([...placed.map(({ person }) => person), ...stateOf.keys()])].sort();
  return everybody.map((personId) => ({ personId, state: stateOf.get(personId) ?? 'expected' }));
}
