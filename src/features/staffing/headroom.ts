import { Temporal } from 'temporal-polyfill';
import { type Athlete, HEADROOM_BOUND, headroom, headroomIn, type Names, ONE } from '../../cover/index.ts';
import { type GymFloor, loadFloor } from '../../enforcement/load-floor.ts';
import { loadNames } from '../../enforcement/names.ts';
import { findingOnWire } from '../../enforcement/wire.ts';
import type { Context } from '../../platform/context.ts';
import { refuse } from '../../platform/problem.ts';
import { isUnborn, UNBORN } from '../people/days.ts';
import { enrolledOn } from '../schedule/enrolments-repo.ts';
import { groupsOf } from '../schedule/places-repo.ts';
import { getClass } from '../schedule/repo.ts';
import * as repo from './repo.ts';
import type { HeadroomQuery } from './room-schema.ts';

/** Somebody who is nowhere yet: what the rules may ask about. */
export const somebody = (person: string, about: Partial<Athlete> = {}): Athlete => ({
  person,
  born: null,
  family: null,
  traits: [],
  countsAs: ONE,
  support: null,
  at: [],
  enrolled: [],
  ...about,
});

/** The day on which somebody was born who has just completed so many months. */
export const bornBefore = (day: string, ageMonths: number): string =>
  Temporal.PlainDate.from(day).subtract({ months: ageMonths }).toString();

/** The blocks of a session that somebody who joins now would be at: what has ended is over, unless all has. */
export function blocksToJoin({ floor }: GymFloor, sessionId: string, groupId: string, now: Date) {
  const theirs = floor.blocks.filter(({ session, group }) => session === sessionId && group === groupId);
  const ahead = theirs.filter(({ span }) => span.to > now.getTime());
  return ahead.length > 0 ? ahead : theirs;
}

/** How full a class is on a day, by its own limit. */
export async function capacityOn(ctx: Context, gymId: string, classId: string, day: string) {
  const { capacity } = await getClass(ctx, gymId, classId);
  const enrolled = (await enrolledOn(ctx, classId, day)).length;
  return { capacity, enrolled, left: Math.max(0, capacity - enrolled) };
}

/**
 * How many more athletes of a kind fit into each group of a session: into each of its blocks, into all of them together,
 * and into the class. Without a kind, one like the youngest who is there.
 */
export async function readSessionHeadroom(ctx: Context, gymId: string, sessionId: string, query: HeadroomQuery) {
  if (query.born !== undefined && isUnborn(ctx, query.born)) {
    throw refuse('invalid-request', UNBORN, { errors: [{ parameter: 'born', detail: UNBORN }] });
  }
  const { session, at } = await repo.getSessionUnit(ctx, gymId, sessionId);
  const here = await loadFloor(ctx, at);
  const names = await loadNames(ctx, here);
  const capacity = await capacityOn(ctx, gymId, session.classId, session.day);
  const groups = await groupsOf(ctx, [sessionId]);
  return {
    sessionId,
    day: session.day,
    capacity,
    groups: groups.map(({ id, name, athletes }) => {
      const blocks = blocksToJoin(here, sessionId, id, ctx.now);
      const category = query.category ?? null;
      const like = {
        ...likeOf(here, session.day, query),
        enrolled: blocks.map((block) => ({ block: block.id, category })),
      };
      const ids = blocks.map((block) => block.id);
      const { more, stopped } = headroomIn(here.floor, ids, like, Math.min(HEADROOM_BOUND, capacity.left + 1));
      const isFull = more > capacity.left;
      return {
        groupId: id,
        name,
        athletes,
        more: Math.min(more, capacity.left),
        stop: isFull ? CLASS_IS_FULL : stopOf(stopped, names),
        blocks: ids.map((block) => {
          const found = headroom(here.floor, block, like);
          return {
            blockId: block,
            name: names.unit({ per: 'block', id: block }),
            more: found.more,
            bindingRuleId: found.binding,
          };
        }),
      };
    }),
  };
}

function likeOf({ floor }: GymFloor, day: string, { born, ageMonths, trait }: HeadroomQuery): Athlete {
  const traits = trait === undefined ? [] : [{ trait, spans: null }];
  if (born !== undefined) return somebody('one more', { born, traits });
  if (ageMonths !== undefined) return somebody('one more', { born: bornBefore(day, ageMonths), traits });
  const known = floor.athletes.flatMap((one) => one.born ?? []).sort();
  return somebody('one more', { born: known.at(-1) ?? null, traits });
}

const CLASS_IS_FULL = { what: 'capacity' as const, ruleId: null, rule: null, findings: [] };
const PLACE_CODES = ['spotting', 'support', 'plan-withdrawn'] as const;

function stopOf(stopped: ReturnType<typeof headroomIn>['stopped'], names: Names) {
  const [first] = stopped?.findings ?? [];
  if (stopped === null || first === undefined)
    return { what: 'nothing' as const, ruleId: null, rule: null, findings: [] };
  return {
    what: PLACE_CODES.find((code) => code === first.code) ?? ('rule' as const),
    ruleId: first.rule,
    rule: first.rule === null ? null : names.rule(first.rule),
    findings: stopped.findings.slice(0, 50).map((finding) => findingOnWire(finding, names)),
  };
}
