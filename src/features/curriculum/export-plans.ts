import type { z } from 'zod';
import type { Context } from '../../platform/context.ts';
import { listBriefly } from './drills-repo.ts';
import type { FORMATS } from './file-schema.ts';
import { linesOf } from './json-lines.ts';
import { contentOf } from './plan-content-repo.ts';
import { planCsvOf } from './plan-csv.ts';
import type { PlanExportQuery, PlanRow } from './plan-file-schema.ts';
import { type PlanVocabulary, planRowOf } from './plan-rows.ts';
import { sightOf } from './plan-sight.ts';
import { listPlans } from './plans-repo.ts';
import { vocabularyOf } from './vocabulary.ts';

/** So that an ordinary part fits into a request when it is imported again. */
const MOST = 10;

/**
 * The lesson plans by week, as the text of a file: of each the draft, for those who write plans, or else the newest
 * published version; a plan that has neither is left out. Ten at the most, then `next` says where to go on.
 */
export async function exportPlans(
  ctx: Context,
  format: (typeof FORMATS)[number],
  { cursor, programmeId }: z.output<typeof PlanExportQuery>,
): Promise<{ text: string; next: string | null }> {
  const { items, next } = await listPlans(ctx, { limit: MOST, cursor }, { programmeId }, sightOf(ctx));
  const words = await planVocabularyOf(ctx);
  const rows: PlanRow[] = [];
  for (const plan of items) {
    const version = plan.draft ?? plan.published;
    if (version) rows.push(planRowOf(plan, await contentOf(ctx, version.id), words));
  }
  return { text: format === 'csv' ? planCsvOf(rows) : linesOf(rows), next };
}

/** The franchise's own words and its drills, retired ones too: plans may have named them. */
export async function planVocabularyOf(ctx: Context): Promise<PlanVocabulary> {
  return { ...(await vocabularyOf(ctx)), drills: await listBriefly(ctx, 'retired-too'), indexes: new Map() };
}
