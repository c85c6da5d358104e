import { and, inArray } from 'drizzle-orm';
import { coverOf, type Unit } from '../../cover/index.ts';
import { loadFloor } from '../../enforcement/load-floor.ts';
import { loadNames } from '../../enforcement/names.ts';
import { some } from '../../enforcement/rows.ts';
import { coverOnWire } from '../../enforcement/wire.ts';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { LANGUAGE_OF_RECORD } from '../../platform/language.ts';
import { attendance } from '../../tables/attendance.ts';
import { qualificationKinds } from '../../tables/people.ts';
import type { StoredFacts } from './schema.ts';

/**
 * The facts of a moment at a gym: who was on the block (or, with no block, on any that ran) with which qualifications
 * valid that day, the athletes placed there with their attendance, the cover and the rules in force. People by id only:
 * names are looked up when it is read, so that they can be erased. Its sentences are in the language of record, whoever
 * writes the note.
 */
export async function takeFacts(
  ctx: Context,
  { gymId, day, at, blockId }: { gymId: string; day: string; at: Date; blockId: string | null },
): Promise<StoredFacts> {
  const here = await loadFloor(ctx, { gymId, day });
  const moment = at.getTime();
  const isThen = ({ span }: { span: { from: number; to: number } }) => span.from <= moment && moment < span.to;
  const blocks = here.floor.blocks.filter((block) => (blockId === null ? isThen(block) : block.id === blockId));
  const sessions = new Set(blocks.map(({ session }) => session));
  const isAround = ({ per, id }: Unit) =>
    per === 'premises' || (per === 'block' ? blocks.some((block) => block.id === id) : sessions.has(id));

  const kinds = await ctx.tx
    .select({ id: qualificationKinds.id, name: qualificationKinds.name })
    .from(qualificationKinds)
    .where(ours(ctx, qualificationKinds));
  const kindName = new Map(kinds.map(({ id, name }) => [id, name]));
  const athletes = here.floor.athletes.filter((one) => one.at.some(({ unit }) => isAround(unit)));
  const names = await loadNames({ ...ctx, language: LANGUAGE_OF_RECORD }, here);
  const unnamed = { ...names, person: () => 'somebody' };
  return {
    blockId,
    staff: here.floor.staff.flatMap((one) =>
      one.at
        .filter((place) => isAround(place.unit) && isThen(place))
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
    athletes: await withState(
      ctx,
      [...sessions],
      athletes.map(({ person }) => person),
    ),
    cover: blocks.flatMap((block) =>
      coverOf(here.floor, { per: 'block', id: block.id })
        .filter(isThen)
        .map((cover) => coverOnWire(cover, unnamed)),
    ),
    rules: here.floor.rules.map(({ id, version }) => ({ ruleId: id, version, name: names.rule(id) })),
  };
}

/** Each with what attendance says of them; "expected" where nothing was marked. */
async function withState(ctx: Context, sessionIds: string[], placed: string[]) {
  const marked = await ctx.tx
    .select({ personId: attendance.athleteId, state: attendance.state })
    .from(attendance)
    .where(and(ours(ctx, attendance), inArray(attendance.sessionId, some(sessionIds))));
  const stateOf = new Map(marked.map(({ personId, state }) => [personId, state]));
  const everybody = [...new Set([...placed, ...stateOf.keys()])].sort();
  return everybody.map((personId) => ({ personId, state: stateOf.get(personId) ?? 'expected' }));
}
