import { sql } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { StartOver } from '../../platform/db/constraint.ts';
import { faultsOf } from '../../platform/http/answer.ts';
import { newId } from '../../platform/ids.ts';
import { invalid } from '../../platform/problem.ts';
import { rowsOfCsv } from './drill-csv.ts';
import { type DrillImport, type DrillImportReport, DrillRow } from './drill-file-schema.ts';
import { completed, resolved } from './drill-rows.ts';
import { drillsById, insertDrills, replaceDrills } from './drills-repo.ts';
import { faultList, readRows, reportOf, type SayFault } from './file-report.ts';
import type { FileRow } from './file-row.ts';
import { MOST_ROWS } from './file-schema.ts';
import { allProgressions, deleteStepsTo, insertProgressions, lockProgressions } from './progressions-repo.ts';
import type { Progression } from './schema.ts';
import { type Candidate, type Known, sortRows } from './sort-rows.ts';
import { asksLess, needOf } from './spotting.ts';
import { vocabularyOf } from './vocabulary.ts';

/**
 * Takes a file's drills in, with what leads to them. Each row that has a fault stays out, and is reported by row and
 * column; with `allOrNothing`, one such row keeps all of them out. Refuses a file that cannot be read as a whole.
 */
export async function importDrills(ctx: Context, asked: DrillImport): Promise<DrillImportReport> {
  const rows = readRows(asked, rowsOfCsv, { most: MOST_ROWS, what: 'drills' });
  await lockProgressions(ctx);
  const { faults, fault } = faultList(rows);
  const { skipped, candidates } = await meaningOf(ctx, asked, rows, fault);
  const library = { drills: await knownDrills(ctx), steps: await allProgressions(ctx) };
  const keys = await keysFor(ctx, candidates, library.drills);
  const { accepted, steps, refused } = sortRows(candidates, library, keys);
  for (const one of refused) fault(one.row, one.pointer, one.detail);

  const out = new Set(faults.map(({ row }) => row)).size;
  const going = asked.allOrNothing && out > 0 ? [] : accepted;
  if (going.length > 0) await write(ctx, going, steps);
  const added = going.filter(({ replaces }) => replaces === null).length;
  const { faults: lessSpotting, fault: less } = faultList(rows);
  for (const { row, content, replaces } of going) {
    if (replaces && asksLess(needOf(replaces.drill), needOf(content))) less(row, '/spotting', LESS);
  }
  return {
    ...reportOf(rows, faults, { added, changed: going.length - added, skipped }),
    restored: going.filter(({ replaces }) => replaces?.drill.retired).length,
    lessSpotting,
  };
}

const LESS =
  'It asks less of a spotter than the drill did, or another qualification: look at it before coaches teach it.';

/** Each is looked at against all others, lest it close a circle. */
const MOST_STEPS = 3000;

/** The rows that mean something by themselves, and how many are left as they are because they are there already. */
async function meaningOf(ctx: Context, { existing }: DrillImport, rows: readonly FileRow[], fault: SayFault) {
  const words = await vocabularyOf(ctx);
  if (existing === 'replace') await lockDrills(ctx);
  const there = await knownDrills(ctx);
  const meant = rows.flatMap(({ row, value, says }) => {
    const read = DrillRow.safeParse(value);
    if (!read.success) {
      for (const { pointer, detail } of faultsOf(read.error, 'body')) fault(row, pointer ?? '', detail);
      return [];
    }
    const one = resolved(read.data, words);
    if (!('faults' in one)) return [{ ...one, row, says: says ?? fieldsOf(value) }];
    for (const { pointer, detail } of one.faults) fault(row, pointer, detail);
    return [];
  });
  const steps = meant.reduce((sum, { leadsFrom }) => sum + leadsFrom.length, 0);
  if (steps > MOST_STEPS)
    throw invalid('/text', `It has ${steps} steps from drill to drill: send at most ${MOST_STEPS} at a time.`);
  const keyOf = await keysFor(ctx, meant, there);
  const known = new Map(there.map((drill) => [keyOf(drill.apparatusId, drill.name), drill]));
  const keyed = meant.map((one) => ({ ...one, key: keyOf(one.content.apparatusId, one.content.name) }));
  const found = existing === 'replace' ? keyed.flatMap(({ key }) => known.get(key)?.id ?? []) : [];
  const whole = await drillsById(ctx, found);
  const seen = new Map<string, number>();
  let skipped = 0;
  const candidates: Candidate[] = [];
  for (const { row, key, content, leadsFrom, says } of keyed) {
    const before = known.get(key);
    const first = seen.get(key);
    seen.set(key, first ?? row);
    if (first !== undefined) {
      fault(row, '/name', `Row ${first} has a drill of that name on that apparatus: leave one of them out.`);
    } else if (before && existing === 'refuse') {
      const retired = before.retired ? ' It is retired.' : '';
      fault(
        row,
        '/name',
        `There is such a drill already.${retired} Name it otherwise, or skip or replace what is there.`,
      );
    } else if (before && existing === 'skip') skipped += 1;
    else {
      const drill = before ? (whole.get(before.id) ?? null) : null;
      const made = completed(content, drill, says);
      if ('detail' in made) fault(row, made.pointer, made.detail);
      else {
        const told = drill === null || says.has('leadsFrom');
        const replaces = before && drill ? { ...before, drill } : null;
        candidates.push({
          row,
          id: before?.id ?? newId(),
          content: made,
          leadsFrom: told ? leadsFrom : null,
          replaces,
        });
      }
    }
  }
  return { skipped, candidates };
}

const fieldsOf = (value: unknown) => new Set(typeof value === 'object' && value !== null ? Object.keys(value) : []);

/** Nobody else changes a drill until this transaction ends. */
const lockDrills = (ctx: Context) =>
  ctx.tx.execute(sql`SELECT FROM drills WHERE franchise_id = ${ctx.franchiseId} ORDER BY id FOR NO KEY UPDATE`);

async function knownDrills(ctx: Context): Promise<Known[]> {
  const { rows } = await ctx.tx.execute<Known & Record<string, unknown>>(sql`
    SELECT id, apparatus_id AS "apparatusId", name, height, retired_at IS NOT NULL AS retired, revision
    FROM drills WHERE franchise_id = ${ctx.franchiseId}`);
  return rows;
}

/** Folds names as the database does when it keeps them apart. */
async function keysFor(
  ctx: Context,
  rows: readonly { content: { name: string }; leadsFrom: readonly { drill: string }[] | null }[],
  drills: readonly Known[],
) {
  const said = rows.flatMap(({ content, leadsFrom }) => [content.name, ...(leadsFrom ?? []).map(({ drill }) => drill)]);
  const names = [...new Set([...said, ...drills.map(({ name }) => name)])];
  const { rows: lowered } = await ctx.tx.execute<{ name: string; folded: string }>(sql`
    SELECT name, lower(name) AS folded FROM jsonb_array_elements_text(${JSON.stringify(names)}::jsonb) AS n (name)`);
  const folded = new Map(lowered.map((one) => [one.name, one.folded]));
  return (apparatusId: string, name: string) => `${apparatusId} ${folded.get(name) ?? name}`;
}

async function write(ctx: Context, going: readonly Candidate[], steps: readonly Progression[]): Promise<void> {
  const taken = await insertDrills(
    ctx,
    going.filter(({ replaces }) => replaces === null),
  );
  // Somebody added one of that name since this looked.
  if (taken.length > 0) throw new StartOver();
  const changed = going.filter(({ replaces }) => replaces !== null);
  const revisions = await replaceDrills(ctx, changed);
  for (const { id, replaces } of going) {
    const happened = replaces === null ? 'added' : replaces.drill.retired ? 'restored' : 'changed';
    const revision = revisions.get(id) ?? 1;
    await ctx.record(`curriculum.drill-${happened}`, { subjectId: id, revision }, { drillId: id });
  }
  await deleteStepsTo(
    ctx,
    going.flatMap(({ id, leadsFrom }) => (leadsFrom === null ? [] : [id])),
  );
  await insertProgressions(ctx, steps);
  await ctx.record(
    'curriculum.drills-imported',
    { subjectId: ctx.franchiseId },
    { added: going.length - changed.length, changed: changed.length },
  );
}
