import { afterAll, beforeAll, expect, test } from 'vitest';
import { newId } from '../src/platform/ids.ts';
import { type OlderDatabase, olderThan } from './support/older-database.ts';

let older: OlderDatabase;
beforeAll(async () => {
  older = await olderThan('0013_standing-adaptations');
});
afterAll(() => older.close());

test('of adaptations for the same thing the newest stands; another drill knows what it is done for', async () => {
  const { root } = older;
  const franchise = newId();
  const [gym, of, session, block, station, drill] = Array.from({ length: 6 }, newId);
  // What those rows hang from that are read does not matter here.
  await root.query("SET session_replication_role = 'replica'");
  const insert = async (table: string, row: Record<string, unknown>) => {
    const id = row.id ?? newId();
    const all = { franchise_id: franchise, ...row, id };
    const places = Object.keys(all).map((_, at) => `$${at + 1}`);
    await root.query(
      `INSERT INTO ${table} (${Object.keys(all).join(', ')}) VALUES (${places.join(', ')})`,
      Object.values(all),
    );
    return id;
  };
  await insert('gyms', { id: gym, name: 'Harbour', zone: 'Europe/Dublin' });
  const turn = { say_first: '', spotting_mode: 'none', seconds_a_turn: 20, places: 1 };
  await insert('drills', { id: drill, name: 'Long hang', apparatus_id: newId(), ...turn });
  const set = { name: 'Low bar', set_up: '', apparatus_id: newId(), items: 1 };
  await insert('plan_stations', { id: station, plan_block_id: newId(), position: 1, ...set });
  const span = { starts_at: '2026-09-14T16:00:00Z', ends_at: '2026-09-14T17:00:00Z' };
  const at = { gym_id: gym, day: '2026-09-14', ...span };
  await insert('sessions', { id: session, class_id: of, original_start: '2026-09-14T17:00', ...at });
  const taught = { session_id: session, group_id: newId(), plan_version_id: newId(), plan_block_id: newId() };
  await insert('blocks', { id: block, ...taught, ...at });
  const [first, second, third] = ['2026-09-01', '2026-09-02', '2026-09-03'].map((day) => `${day}T08:00:00.000Z`);
  const adapted = { gym_id: gym, per: 'class', unit_id: of, station_id: station, reason: 'They are tired.' };
  const another = { ...adapted, kind: 'drill', drill_id: drill };
  const without = { ...adapted, kind: 'drop-step' };
  const adaptations = [
    await insert('adaptations', { ...another, created_at: first }),
    await insert('adaptations', { ...another, created_at: second }),
    await insert('adaptations', { ...without, step: 1, created_at: second }),
    await insert('adaptations', { ...without, step: 1, created_at: third }),
    await insert('adaptations', { ...without, step: 2, created_at: third }),
  ];
  const done = { gym_id: gym, block_id: block, station_id: station, drill_id: drill, reason: 'They are tired.' };
  const spotting = { mode: 'none' };
  await insert('block_step_downs', { ...done, spotting, created_at: first, undone_at: second });
  await insert('block_step_downs', { ...done, spotting, created_at: second });

  await older.migrate();
  const rows = async (statement: string) => (await root.query(statement)).rows;
  const known = await rows('SELECT id, undone_at, spotting FROM adaptations');
  const stands = known.map((row) => [adaptations.indexOf(row.id), row.undone_at?.toISOString() ?? null, row.spotting]);
  expect(stands.sort()).toEqual([
    [0, second, spotting],
    [1, null, spotting],
    [2, third, null],
    [3, null, null],
    [4, null, null],
  ]);
  expect(await rows('SELECT adaptation_id FROM block_step_downs ORDER BY created_at')).toEqual(
    adaptations.slice(0, 2).map((id) => ({ adaptation_id: id })),
  );
  expect(await rows('SELECT relname FROM pg_class WHERE relrowsecurity AND NOT relforcerowsecurity')).toEqual([]);
});
