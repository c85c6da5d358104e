import { z } from 'zod';
import { ok, type Route, reply, route } from '../../platform/http/route.ts';
import { DrillImport, DrillImportReport } from './drill-file-schema.ts';
import { ExportQuery, exportDrills } from './export-drills.ts';
import { FORMATS, MEDIA } from './file-schema.ts';
import { importDrills } from './import-drills.ts';

const tag = 'curriculum';

/** The drill library as files. */
export const drillFileRoutes: Route[] = [
  ...FORMATS.map((format) =>
    route({
      method: 'get',
      path: `/drill-export.${format}`,
      name: format === 'csv' ? 'exportDrillsAsCsv' : 'exportDrillsAsLines',
      tag,
      summary: format === 'csv' ? 'The drills in use as CSV (RFC 4180)' : 'The drills in use as JSON lines',
      description:
        'At most 400 at a time, by apparatus and name; the header `Link` says where the next part is. Cells that a spreadsheet would run as a formula begin with an apostrophe, which the import takes away again. Commas part the cells: tell a spreadsheet that parts them otherwise, for it would take what stands after a semicolon within a cell for one more.',
      permission: 'curriculum.read',
      query: ExportQuery,
      returns: { 200: z.string().max(50_000_000) },
      answers: MEDIA[format],
    }).handle(async (ctx, { query }) => {
      const { text, next } = await exportDrills(ctx, format, query);
      const disposition = { 'Content-Disposition': `attachment; filename="drills.${format}"` };
      if (next === null) return reply(200, text, disposition);
      const { apparatusId } = query;
      const where = new URLSearchParams({ ...(apparatusId && { apparatusId }), cursor: next });
      return reply(200, text, { ...disposition, Link: `</v1/drill-export.${format}?${where}>; rel="next"` });
    }),
  ),

  route({
    method: 'post',
    path: '/drill-imports',
    name: 'importDrills',
    tag,
    summary: 'Take drills in from a file, with a report row by row',
    description:
      'Good rows go in, the others are reported by row and column. Whatever a row names (apparatus, skills, programmes, qualifications) has to be there, and goes by its name. The text travels in the body, which takes 1 MiB.',
    permission: 'curriculum.write',
    body: DrillImport,
    returns: { 200: DrillImportReport },
    dryRun: true,
  }).handle(async (ctx, { body }) => ok(await importDrills(ctx, body))),
];
