import { sql } from 'drizzle-orm';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { writing } from '../support/a-draft.ts';
import { aFranchise } from '../support/a-franchise.ts';
import { type Api, openApi } from '../support/api.ts';

let api: Api;
beforeAll(async () => {
  api = await openApi();
});
afterAll(() => api.close());

test('a library holds five thousand drills, retired ones included, and no more by hand or from a file', async () => {
  const f = await aFranchise(api);
  const lead = api.as(f.lead);
  const { aDrill } = writing(f, lead);
  await f.arrange((tx) =>
    tx.execute(sql`
      INSERT INTO drills (franchise_id, id, name, apparatus_id, say_first, spotting_mode, seconds_a_turn, places, retired_at)
      SELECT ${f.id}::uuid, gen_random_uuid(), 'Drill ' || n, ${f.apparatus.floor}::uuid, '', 'none', 20, 1,
        CASE WHEN n = 1 THEN now() END
      FROM generate_series(1, 4999) n`),
  );
  const { id: _, revision: __, retired: ___, ...last } = await aDrill();
  const refused = await lead.post('/drills', { ...last, name: 'One more' });
  expect([refused.status, refused.body.errors[0]?.detail]).toEqual([
    422,
    'The library holds 5000 drills at the most, retired ones included; it has 5000. Change one that nobody uses any more into the new one.',
  ]);
  const text = 'name,apparatus,spotting,say first\nOne more,floor,none,Go';
  const file = await lead.post('/drill-imports', { format: 'csv', existing: 'refuse', text });
  expect([file.status, file.text]).toEqual([422, expect.stringContaining('5000 drills at the most')]);
});
