import { z } from 'zod';
import { ok, type Route, reply, route } from '../../platform/http/route.ts';
import { exportPlans } from './export-plans.ts';
import { FORMATS, ImportReport, MEDIA } from './file-schema.ts';
import { importPlans } from './import-plans.ts';
import { PlanExportQuery, PlanImport } from './plan-file-schema.ts';

const tag = 'lesson plans';

/** Lesson plans as files. */
export const planFileRoutes: Route[] = [
  ...FORMATS.map((format) =>
    route({
      method: 'get',
      path: `/lesson-plan-export.${format}`,
      name: format === 'csv' ? 'exportPlansAsCsv' : 'exportPlansAsLines',
      tag,
      summary:
        format === 'csv' ? 'The lesson plans as CSV (RFC 4180), one line a step' : 'The lesson plans as JSON lines',
      description:
        'At most 10 at a time, by week; the header `Link` says where the next part is. Of each plan its draft, for those who write plans, or else its newest published version. In CSV a line says from left to right what it is in: plan, focus, block, station, and there one piece of the set-up beside one step; where the cells of one of these are empty, it is what a line above began. Cells that a spreadsheet would run as a formula begin with an apostrophe, which the import takes away again.',
      permission: 'curriculum.read',
      query: PlanExportQuery,
      returns: { 200: z.string().max(50_000_000) },
      answers: MEDIA[format],
    }).handle(async (ctx, { query }) => {
      const { text, next } = await exportPlans(ctx, format, query);
      const disposition = { 'Content-Disposition': `attachment; filename="lesson-plans.${format}"` };
      if (next === null) return reply(200, text, disposition);
      const { programmeId } = query;
      const where = new URLSearchParams({ ...(programmeId && { programmeId }), cursor: next });
      return reply(200, text, { ...disposition, Link: `</v1/lesson-plan-export.${format}?${where}>; rel="next"` });
    }),
  ),

  route({
    method: 'post',
    path: '/lesson-plan-imports',
    name: 'importPlans',
    tag,
    summary: 'Take lesson plans in from a file as drafts, with a report row by row',
    description:
      'Good rows go in, the others are reported by row, line and column. Whatever a row names (programmes, apparatus, skills, drills, levels) has to be there, and goes by its name. The text travels in the body, which takes 1 MiB.',
    permission: 'curriculum.write',
    body: PlanImport,
    returns: { 200: ImportReport },
    dryRun: true,
  }).handle(async (ctx, { body }) => ok(await importPlans(ctx, body))),
];
