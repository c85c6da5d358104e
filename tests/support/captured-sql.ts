import type pg from 'pg';

/** Tables under row security by franchise, from the catalogue; the few global ones that only mention one are not. */
export async function tenantTables(owner: pg.Pool): Promise<string[]> {
  const { rows } = await owner.query<{ name: string }>(
    `SELECT c.relname AS name FROM pg_class c JOIN pg_attribute a ON a.attrelid = c.oid
     WHERE c.relkind IN ('r', 'p') AND c.relnamespace = 'public'::regnamespace
       AND c.relrowsecurity AND a.attname = 'franchise_id' AND NOT a.attisdropped
     ORDER BY 1`,
  );
  return rows.map((row) => row.name);
}

const FRANCHISE = '"?franchise_id"?';
/** A condition on the franchise with a value: a join's `a.franchise_id = b.franchise_id` alone routes nothing. */
const CONDITION = new RegExp(String.raw`${FRANCHISE}\s*(=\s*(any\s*\()?\s*(\$\d|'[0-9a-f-]{36}')|in\s*\(\s*\$\d)`, 'i');
const COLUMN_OF_INSERT = new RegExp(String.raw`^\s*insert\s+into\s+[\w".]+\s*\([^)]*${FRANCHISE}`, 'i');

/**
 * The statements (each once) that touch a tenant table and don't name the franchise: as a condition with a value, or,
 * for an INSERT … VALUES, among the columns. A column that is only selected names nothing.
 */
export function withoutFranchise(statements: readonly string[], tables: readonly string[]): string[] {
  const touches = new RegExp(
    String.raw`\b(from|join|into|update|only)\s+(public\.|"public"\.)?"?(${tables.join('|')})"?(?![\w"])`,
    'i',
  );
  return [...new Set(statements)].filter((text) => {
    if (tables.length === 0 || !touches.test(text)) return false;
    return !CONDITION.test(text) && !COLUMN_OF_INSERT.test(text);
  });
}
