import { and, eq, gt, isNull, lte, or, sql } from 'drizzle-orm';
import { z } from 'zod';
import { type Floor, fragility, localDay, type Staff, uncoveredBlocks } from '../../cover/index.ts';
import { loadFloor } from '../../enforcement/load-floor.ts';
import { loadNames } from '../../enforcement/names.ts';
import { FindingOnWire, findingOnWire, UnitOnWire } from '../../enforcement/wire.ts';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { type Paging, pageOf, readIdCursor } from '../../platform/http/paging.ts';
import { Day, Id, Instant, instantOf, PageQuery, page, wholeOr } from '../../platform/http/wire.ts';
import { DAY_MS } from '../../platform/time.ts';
import { assignments, employments, qualificationKinds, qualifications } from '../../tables/index.ts';
import { zoneOf } from '../gyms/repo.ts';
import { asIfConfirmed } from './cover.ts';

const personName = z.string().max(300);

export const DayFragility = z
  .strictObject({
    day: Day,
    people: z
      .array(
        z.strictObject({
          personId: Id,
          name: personName,
          uncovers: z
            .array(z.strictObject({ unit: UnitOnWire, name: z.string().max(400) }))
            .max(1000)
            .meta({ description: 'Covered now, and not without them' }),
        }),
      )
      .max(1000)
      .meta({ description: 'Those on whom most hangs first; whoever can be missed is left out' }),
  })
  .meta({
    id: 'DayFragility',
    example: {
      day: '2026-09-14',
      people: [
        {
          personId: '01930d5e-8a4c-7c3a-9f65-3b1f0c6d2a11',
          name: 'Ana Byrne',
          uncovers: [
            { unit: { per: 'block', id: '01930d5e-8a4c-7c3a-9f65-3b1f0c6d2a12' }, name: 'Beam (Tumblers, Group 1)' },
          ],
        },
      ],
    },
  });

/** Whose absence on a gym's day would uncover which blocks, sessions or the premises that are covered now. */
export async function readFragility(ctx: Context, gymId: string, day: string) {
  const here = await loadFloor(ctx, { gymId, day });
  const names = await loadNames(ctx, here);
  const people = fragility(here.floor).map(({ person, uncovers }) => ({
    personId: person,
    name: names.person(person),
    uncovers: uncovers.map((unit) => ({ unit, name: names.unit(unit) })),
  }));
  return { day, people };
}

const MOST_DAYS = 60;
export const EndsQuery = z.strictObject({
  ...PageQuery,
  days: wholeOr(MOST_DAYS, 1, MOST_DAYS).meta({ description: 'How far to look ahead' }),
});

export const QualificationEnd = z
  .strictObject({
    qualificationId: Id,
    personId: Id,
    name: personName,
    kindId: Id,
    kind: z.string().max(300),
    grade: z.int().min(1).max(20),
    endsOn: Day.meta({ description: 'The first day on which it is no longer held' }),
    uncovers: z
      .array(
        z.strictObject({
          blockId: Id,
          name: z.string().max(400),
          startsAt: Instant,
          isConfirmed: z.boolean(),
          findings: z.array(FindingOnWire).max(50),
        }),
      )
      .max(500)
      .meta({ description: 'Blocks from that day on that are not covered, and would be if it went on' }),
  })
  .meta({ id: 'QualificationEnd' });
export const QualificationEndPage = page(QualificationEnd, 'QualificationEndPage');

/**
 * Qualifications of a gym's staff that end in the days ahead, or whose kind does, each with the laid-out blocks after it that they leave
 * uncovered, within the same days: not covered as things are, and covered if the qualification went on.
 */
export async function listQualificationEnds(
  ctx: Context,
  gymId: string,
  { days, limit, cursor }: Paging & { days: number },
) {
  const today = localDay(await zoneOf(ctx, gymId), ctx.now.getTime());
  const last = new Date(Date.parse(`${today}T00:00:00Z`) + days * DAY_MS).toISOString().slice(0, 10);
  const ends = sql<string>`least(qualifications.until_day, qualifications.revoked_from_day,
    qualification_kinds.until_day)`;
  const after = readIdCursor(cursor);
  const rows = await ctx.tx
    .select({
      id: qualifications.id,
      personId: qualifications.personId,
      kindId: qualifications.kindId,
      grade: qualifications.grade,
      endsOn: sql<string>`${ends}::text`,
    })
    .from(qualifications)
    .innerJoin(qualificationKinds, and(ours(ctx, qualificationKinds), eq(qualificationKinds.id, qualifications.kindId)))
    .innerJoin(
      employments,
      and(
        ours(ctx, employments),
        eq(employments.personId, qualifications.personId),
        eq(employments.gymId, gymId),
        lte(employments.from, last),
        or(isNull(employments.until), gt(employments.until, today)),
      ),
    )
    .where(
      and(
        ours(ctx, qualifications),
        sql`${ends} > ${today}::date AND ${ends} <= ${last}::date AND ${ends} > qualifications.from_day`,
        after ? gt(qualifications.id, after) : undefined,
      ),
    )
    .groupBy(qualifications.franchiseId, qualifications.id, qualificationKinds.franchiseId, qualificationKinds.id)
    .orderBy(qualifications.id)
    .limit(limit + 1);

  const found: z.output<typeof QualificationEnd>[] = [];
  for (const row of rows.slice(0, limit)) found.push(await endOf(ctx, gymId, row, last));
  const shown = ({ id }: (typeof rows)[number]) => {
    const one = found.find(({ qualificationId }) => qualificationId === id);
    if (!one) throw new RangeError('a qualification on the page has its answer');
    return one;
  };
  return pageOf(rows, limit, shown, ({ id }) => [id]);
}

type Ending = { id: string; personId: string; kindId: string; grade: number; endsOn: string };

async function endOf(ctx: Context, gymId: string, { id, personId, kindId, grade, endsOn }: Ending, last: string) {
  const uncovers: z.output<typeof QualificationEnd>['uncovers'] = [];
  for (const day of await daysPlaced(ctx, gymId, personId, endsOn, last)) {
    const here = await loadFloor(ctx, { gymId, day }, [personId]);
    const names = await loadNames(ctx, here);
    const floor = asIfConfirmed(here.floor, ...blocksOf(here.floor, personId));
    const held = uncoveredBlocks(renewed(floor, personId, { kind: kindId, grade, to: endsOn }));
    const still = new Set(held.map(({ block }) => block));
    for (const { block: blockId, findings } of uncoveredBlocks(floor)) {
      if (still.has(blockId)) continue;
      const block = here.floor.blocks.find((one) => one.id === blockId);
      if (!block) continue;
      uncovers.push({
        blockId,
        name: names.unit({ per: 'block', id: blockId }),
        startsAt: instantOf(new Date(block.span.from)),
        isConfirmed: block.confirmed,
        findings: findings.slice(0, 50).map((finding) => findingOnWire(finding, names)),
      });
    }
  }
  const here = await loadFloor(ctx, { gymId, day: endsOn }, [personId]);
  const names = await loadNames(ctx, here);
  return {
    qualificationId: id,
    personId,
    name: names.person(personId),
    kindId,
    kind: names.kind(kindId, grade),
    grade,
    endsOn,
    uncovers: uncovers.slice(0, 500),
  };
}

const blocksOf = (floor: Floor, personId: string): string[] =>
  (floor.staff.find(({ person }) => person === personId)?.at ?? []).flatMap(({ unit }) => {
    if (unit.per === 'premises') return [];
    return floor.blocks
      .filter(({ id, session }) => (unit.per === 'block' ? id : session) === unit.id)
      .map(({ id }) => id);
  });

/** The floor if a qualification that ends went on. */
const renewed = (
  floor: Floor,
  personId: string,
  { kind, grade, to }: { kind: string; grade: number; to: string },
): Floor => ({
  ...floor,
  staff: floor.staff.map((one): Staff => {
    if (one.person !== personId) return one;
    return { ...one, holds: [...one.holds, { kind, grade, from: to, to: null }] };
  }),
});

/** The days from one to another, both in, on which somebody has a place at a gym. */
async function daysPlaced(ctx: Context, gymId: string, personId: string, from: string, last: string) {
  const rows = await ctx.tx
    .selectDistinct({ day: assignments.day })
    .from(assignments)
    .where(
      and(
        ours(ctx, assignments),
        eq(assignments.gymId, gymId),
        eq(assignments.personId, personId),
        isNull(assignments.releasedAt),
        sql`assignments.day BETWEEN ${from}::date AND ${last}::date`,
      ),
    )
    .orderBy(assignments.day);
  return rows.map(({ day }) => day);
}
