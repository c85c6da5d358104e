import { sql } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { StartOver } from '../../platform/db/constraint.ts';
import { faultsOf } from '../../platform/http/answer.ts';
import { planVocabularyOf } from './export-plans.ts';
import { faultList, readRows, reportOf, type SayFault } from './file-report.ts';
import type { FileRow } from './file-row.ts';
import type { ImportReport } from './file-schema.ts';
import type { DraftContent } from './plan-content-schema.ts';
import { deleteContent, insertContent } from './plan-content-write.ts';
import { planRowsOfCsv } from './plan-csv.ts';
import { MOST_PLANS, type PlanImport, PlanRow } from './plan-file-schema.ts';
import { resolvedPlan } from './plan-rows.ts';
import type { NewLessonPlan, PlanVersion } from './plan-schema.ts';
import * as plans from './plans-repo.ts';

/** A row that can go in; the plan that is there already, where it replaces one. */
interface Candidate {
  row: number;
  plan: NewLessonPlan;
  content: DraftContent;
  planId: string | null;
}

/**
 * Takes a file's lesson plans in, each as a draft: what is wrong in it for publishing the check says later. One that is
 * there already, by its week and title, is refused, skipped, or gets the content as its draft. Each row that has a fault
 * stays out, and is reported by row, line and column; with `allOrNothing`, one such row keeps all of them out. Refuses a
 * file that cannot be read as a whole.
 */
export async function importPlans(ctx: Context, asked: PlanImport): Promise<ImportReport> {
  const rows = readRows(asked, planRowsOfCsv, { most: MOST_PLANS, what: 'plans' });
  const { faults, fault } = faultList(rows);
  const { skipped, candidates } = await meaningOf(ctx, asked, rows, fault);
  const going = asked.allOrNothing && faults.length > 0 ? [] : candidates;
  for (const one of going) await write(ctx, one);
  const added = going.filter(({ planId }) => planId === null).length;
  const changed = going.length - added;
  if (going.length > 0)
    await ctx.record('curriculum.plans-imported', { subjectId: ctx.franchiseId }, { added, changed });
  return reportOf(rows, faults, { added, changed, skipped });
}

/** The rows that mean something, and how many are left as they are because they are there already. */
async function meaningOf(ctx: Context, { existing }: PlanImport, rows: readonly FileRow[], fault: SayFault) {
  const words = await planVocabularyOf(ctx);
  const meant = rows.flatMap(({ row, value }) => {
    const read = PlanRow.safeParse(value);
    if (!read.success) {
      for (const { pointer, detail } of faultsOf(read.error, 'body')) fault(row, pointer ?? '', detail);
      return [];
    }
    const one = resolvedPlan(read.data, words);
    if (!('faults' in one)) return [{ ...one, row }];
    for (const { pointer, detail } of one.faults) fault(row, pointer, detail);
    return [];
  });
  const there = await alreadyThere(
    ctx,
    meant.map(({ plan }) => plan),
  );
  const seen = new Map<string, number>();
  const candidates: Candidate[] = [];
  let skipped = 0;
  for (const [at, { row, plan, content }] of meant.entries()) {
    const { key, found } = there[at] ?? { key: '', found: [] };
    const first = seen.get(key);
    seen.set(key, first ?? row);
    const say = (detail: string, pointer = '/title') => fault(row, pointer, detail);
    const [known, another] = found;
    if (first !== undefined) say(`Row ${first} has a plan of that title in that week: leave one of them out.`);
    else if (!known) candidates.push({ row, plan, content, planId: null });
    else if (existing === 'refuse') {
      say('That week has a plan of that title already. Name it otherwise, or skip or replace what is there.');
    } else if (existing === 'skip') skipped += 1;
    else if (another) say(`That week has ${found.length} plans of that title: name them apart first.`);
    else if (!sameMembers(known.programmeIds, plan.programmeIds)) {
      say('The plan that is there teaches other programmes: change them there first.', '/programmes');
    } else candidates.push({ row, plan, content, planId: known.id });
  }
  return { skipped, candidates };
}

const sameMembers = (a: readonly string[], b: readonly string[]) =>
  a.length === b.length && a.every((one) => b.includes(one));

interface There {
  /** The same for two that mean the same plan. */
  key: string;
  found: { id: string; programmeIds: string[] }[];
}

/** For each of these the plans of its week and title; titles are folded as the database folds them. */
async function alreadyThere(ctx: Context, asked: readonly NewLessonPlan[]): Promise<There[]> {
  const said = asked.map(({ title, weekOf }, at) => ({ at, title, week: weekOf }));
  const { rows } = await ctx.tx.execute<There & Record<string, unknown>>(sql`
    SELECT n.week || ' ' || lower(n.title) AS key, coalesce((
      SELECT json_agg(json_build_object('id', p.id, 'programmeIds', (
          SELECT json_agg(g.programme_id) FROM lesson_plan_programmes g
          WHERE g.franchise_id = ${ctx.franchiseId} AND g.plan_id = p.id)) ORDER BY p.id)
      FROM lesson_plans p WHERE p.franchise_id = ${ctx.franchiseId} AND p.week_of = n.week::date
        AND lower(p.title) = lower(n.title)), '[]') AS found
    FROM jsonb_to_recordset(${JSON.stringify(said)}::jsonb) AS n (at int, title text, week text) ORDER BY n.at`);
  return rows;
}

async function write(ctx: Context, { plan, content, planId }: Candidate): Promise<void> {
  const id = planId ?? (await plans.insertPlan(ctx, plan));
  const { version, name } = planId === null ? await firstDraft(ctx, id) : await draftOf(ctx, id);
  await insertContent(ctx, version.id, content);
  await ctx.record(name, { subjectId: version.id, revision: version.revision }, { planId: id, number: version.number });
}

type Draft = { version: PlanVersion; name: 'curriculum.plan-drafted' | 'curriculum.plan-changed' };

const firstDraft = async (ctx: Context, planId: string): Promise<Draft> => ({
  version: await plans.insertVersion(ctx, planId, 1),
  name: 'curriculum.plan-drafted',
});

/** The plan's draft, held and emptied; begun where it has none. */
async function draftOf(ctx: Context, planId: string): Promise<Draft> {
  await plans.holdAndSeeIfPublished(ctx, planId);
  const draft = await plans.findDraft(ctx, planId);
  if (!draft) {
    const { number } = await plans.newestVersion(ctx, planId);
    return { version: await plans.insertVersion(ctx, planId, number + 1), name: 'curriculum.plan-drafted' };
  }
  const version = await plans.takeDraft(ctx, planId, draft.revision);
  // Somebody wrote between the two statements.
  if (!version) throw new StartOver();
  await deleteContent(ctx, version.id);
  return { version, name: 'curriculum.plan-changed' };
}
