import { sql } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { invalid } from '../../platform/problem.ts';
import type { StoredCompletion } from '../../tables/incidents.ts';
import type { IncidentRow } from './access.ts';
import { BODY_PARTS, DIAGNOSES, DISPOSITIONS, isCode, PRODUCTS } from './neiss.ts';
import { peopleOf } from './read-note.ts';

const TABLES = { bodyPart: BODY_PARTS, diagnosis: DIAGNOSES, disposition: DISPOSITIONS, product: PRODUCTS };
const FIELDS = ['bodyPart', 'diagnosis', 'disposition', 'product'] as const;

/** Refuses codes that the tables do not have, injuries of others than the note's people, stations of another plan. */
export async function refuseCompletion(
  ctx: Context,
  note: IncidentRow,
  { injuries, stationId, skillId }: StoredCompletion,
  below = '',
): Promise<void> {
  const people = new Set((await peopleOf(ctx, note.id)).map(({ personId }) => personId));
  for (const [index, injury] of injuries.entries()) {
    const at = `${below}/injuries/${index}`;
    if (!people.has(injury.personId)) throw invalid(`${at}/personId`, 'This is none of the note’s people.');
    for (const field of FIELDS) {
      const code = injury[field];
      if (code !== null && !isCode(TABLES[field], code)) {
        throw invalid(`${at}/${field}`, `There is no code ${code} in that table; see GET /v1/injury-codes.`);
      }
    }
  }
  const { rows } = await ctx.tx.execute<{ station: boolean; skill: boolean }>(sql`
    SELECT EXISTS (SELECT FROM plan_stations s
        JOIN blocks b ON b.franchise_id = ${ctx.franchiseId} AND b.plan_block_id = s.plan_block_id
        WHERE s.franchise_id = ${ctx.franchiseId} AND s.id = ${stationId}::uuid AND b.id = ${note.blockId}::uuid) AS station,
      EXISTS (SELECT FROM skills k WHERE k.franchise_id = ${ctx.franchiseId} AND k.id = ${skillId}::uuid) AS skill`);
  if (stationId !== null && !rows[0]?.station) {
    throw invalid(`${below}/stationId`, 'This is no station of the plan that the note’s block was taught from.');
  }
  if (skillId !== null && !rows[0]?.skill) throw invalid(`${below}/skillId`, 'There is no such skill.');
}
