import { expect, test } from 'vitest';
import { withoutFranchise } from './support/captured-sql.ts';

const offends = (text: string) => withoutFranchise([text], ['gyms', 'blocks']).length === 1;

test.each([
  'select "id", "franchise_id" from "gyms"',
  'select "id" from "gyms" where "id" = $1',
  'select 1 from "accounts" join "gyms" on "gyms"."franchise_id" = "accounts"."home" where "gyms"."id" = $1',
  'select 1 from gyms g join blocks b on b.franchise_id = g.franchise_id where g.id = $1',
  'update "gyms" set "name" = $1 where "id" = $2',
  'delete from public.gyms',
  'insert into "gyms" ("id", "name") values ($1, $2)',
])('is caught: %s', (text) => {
  expect(offends(text)).toBe(true);
});

test.each([
  'select "id", "franchise_id" from "gyms" where "gyms"."franchise_id" = $1',
  'select 1 from gyms g join blocks b on b.franchise_id = g.franchise_id where g.franchise_id = $1',
  'update "gyms" set "name" = $1 where ("gyms"."franchise_id" = $2 and "gyms"."id" = $3)',
  'insert into "gyms" ("franchise_id", "name") values ($1, $2)',
  'select 1 from "accounts" where "email" = $1',
  'select 1 from "gyms_of_old"',
  "SET LOCAL app.franchise_id = '00000000-0000-7000-8000-000000000000'",
])('passes: %s', (text) => {
  expect(offends(text)).toBe(false);
});

test('a statement sent twice is reported once', () => {
  expect(withoutFranchise(['delete from gyms', 'delete from gyms'], ['gyms'])).toEqual(['delete from gyms']);
});
