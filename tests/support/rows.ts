import { sql } from 'drizzle-orm';
import type pg from 'pg';
import { asTenant, type Tx } from '../../src/platform/db/tenant.ts';

/** A row by its columns' names. */
export type Row = Record<string, unknown>;

interface Column {
  name: string;
  type: string;
  place: number;
}

/**
 * One row of that franchise in every table, made from the catalogue: columns that may not be empty get a plain value
 * of their type, references the row of the table that they refer to.
 */
export async function aRowOfEveryTable(
  owner: pg.Pool,
  tables: readonly string[],
  franchiseId: string,
): Promise<Map<string, Row>> {
  return asTenant(owner, franchiseId, {}, async (tx) => {
    const rows = new Map<string, Row>();
    let left = [...tables];
    while (left.length > 0) {
      const before = left.length;
      for (const table of left) {
        const references = await referencesOf(tx, table);
        if (references.some(({ to }) => !rows.has(to))) continue;
        const row: Row = { franchise_id: franchiseId };
        for (const column of await columnsOf(tx, table)) row[column.name] ??= plainValue(column);
        for (const { to, pairs } of references) {
          for (const [from, target] of pairs) row[from] = rows.get(to)?.[target];
        }
        rows.set(table, await insert(tx, table, row));
      }
      left = left.filter((table) => !rows.has(table));
      if (left.length === before) throw new Error(`these refer to one another in a circle: ${left.join(', ')}`);
    }
    return rows;
  });
}

async function insert(tx: Tx, table: string, row: Row): Promise<Row> {
  const columns = sql.join(
    Object.keys(row).map((name) => sql.identifier(name)),
    sql`, `,
  );
  const name = sql.identifier(table);
  const { rows } = await tx.execute<{ row: Row }>(sql`
    INSERT INTO ${name} (${columns}) SELECT ${columns} FROM json_populate_record(NULL::${name}, ${JSON.stringify(row)}::json)
    RETURNING to_json(${name}) AS row`);
  const [inserted] = rows;
  if (!inserted) throw new Error(`no row in ${table}`);
  return inserted.row;
}

/** Those that have to be filled: without a default, and not allowed to be null. */
async function columnsOf(tx: Tx, table: string): Promise<Column[]> {
  const { rows } = await tx.execute<{ name: string; type: string; place: number }>(sql`
    SELECT column_name AS name, udt_name AS type, ordinal_position AS place FROM information_schema.columns
    WHERE table_schema = 'public' AND table_name = ${table} AND is_nullable = 'NO' AND column_default IS NULL
    ORDER BY ordinal_position`);
  return rows;
}

async function referencesOf(tx: Tx, table: string): Promise<{ to: string; pairs: [string, string][] }[]> {
  const { rows } = await tx.execute<{ to: string; pairs: [string, string][] }>(sql`
    SELECT confrelid::regclass::text AS to,
      (SELECT json_agg(json_build_array(a.attname, b.attname)) FROM unnest(conkey, confkey) k (here, there)
       JOIN pg_attribute a ON a.attrelid = conrelid AND a.attnum = k.here
       JOIN pg_attribute b ON b.attrelid = confrelid AND b.attnum = k.there) AS pairs
    FROM pg_constraint WHERE contype = 'f' AND conrelid = ${table}::regclass
      AND NOT EXISTS (SELECT FROM unnest(conkey) n (num) JOIN pg_attribute a ON a.attrelid = conrelid AND a.attnum = n.num
                      WHERE NOT a.attnotnull)`);
  return rows;
}

/** Later columns get later moments and days, so that a span does not end before it starts. */
function plainValue({ name, type, place }: Column): unknown {
  const two = String(place % 28).padStart(2, '0');
  const values: Record<string, unknown> = {
    uuid: crypto.randomUUID(),
    text: 'none',
    int4: 1,
    bool: true,
    date: `2026-01-${two}`,
    timestamptz: `2026-01-${two}T12:00:00Z`,
    jsonb: {},
    bytea: '\\x00',
    _text: [],
  };
  if (!(type in values)) throw new Error(`how is ${name} filled, of the type ${type}?`);
  return values[type];
}
