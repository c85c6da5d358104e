import { and, inArray } from 'drizzle-orm';
import type { PgColumn, PgTable } from 'drizzle-orm/pg-core';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { drills, levels } from '../../tables/curriculum.ts';
import { apparatus } from '../../tables/gyms.ts';
import { qualificationKinds, skills } from '../../tables/people.ts';
import type { Compared } from './plan-parts.ts';
import type { Names } from './plan-words.ts';

/** What everything is called that these contents name: five statements. */
export async function namesIn(ctx: Context, ...contents: readonly Compared[]): Promise<Names> {
  const focuses = contents.flatMap(({ focus }) => focus);
  const blocks = contents.flatMap((content) => content.blocks);
  const stations = blocks.flatMap((block) => block.stations);
  const steps = stations.flatMap((station) => station.steps);
  const needs = stations.flatMap(({ spotting }) => (spotting && spotting.mode !== 'none' ? [spotting] : []));
  const pieces = stations.flatMap(({ setUp }) => setUp.pieces.flatMap((piece) => [piece, ...piece.orInstead]));
  return {
    apparatus: await namesOf(ctx, apparatus, [
      ...[...focuses, ...stations, ...pieces].map(({ apparatusId }) => apparatusId),
      ...blocks.flatMap(({ apparatusIds }) => apparatusIds),
    ]),
    skill: await namesOf(
      ctx,
      skills,
      [...focuses, ...needs].flatMap((one) => one.skills.map(({ skillId }) => skillId)),
    ),
    kind: await namesOf(
      ctx,
      qualificationKinds,
      needs.map(({ kindId }) => kindId),
    ),
    drill: await namesOf(
      ctx,
      drills,
      steps.flatMap(({ drillIds }) => drillIds),
    ),
    level: await namesOf(
      ctx,
      levels,
      steps.flatMap(({ fromLevelId }) => fromLevelId ?? []),
    ),
  };
}

async function namesOf(
  ctx: Context,
  table: PgTable & { franchiseId: PgColumn; id: PgColumn; name: PgColumn },
  ids: readonly string[],
): Promise<(id: string) => string> {
  const wanted = [...new Set(ids)];
  const rows =
    wanted.length === 0
      ? []
      : await ctx.tx
          .select({ id: table.id, name: table.name })
          .from(table)
          .where(and(ours(ctx, table), inArray(table.id, wanted)));
  const names = new Map(rows.map(({ id, name }) => [String(id), String(name)]));
  return (id) => names.get(id) ?? id;
}
