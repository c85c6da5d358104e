import { createHash } from 'node:crypto';
import type pg from 'pg';

// The chain of incident notes a second time, from raw rows and without any of the service's code: only what is published
// about it (SHA-256 of canonical JSON, RFC 8785; each link over number, what, subject, incident, moment, content's hash and
// the link before).

type Row = Record<string, unknown>;

/** RFC 8785, by sorting on the way into JSON.stringify. */
const canonical = (value: unknown): string =>
  JSON.stringify(value, (_, one) =>
    one !== null && typeof one === 'object' && !Array.isArray(one)
      ? Object.fromEntries(
          Object.keys(one)
            .sort()
            .map((name) => [name, one[name]]),
        )
      : one,
  );
const sha256 = (text: string | Buffer) => createHash('sha256').update(text).digest('hex');

const camel = (row: Row): Row =>
  Object.fromEntries(
    Object.entries(row).map(([name, value]) => [
      name.replaceAll(/_(\w)/g, (_, letter: string) => letter.toUpperCase()),
      value,
    ]),
  );
const without = (row: Row, ...names: string[]) =>
  Object.fromEntries(Object.entries(camel(row)).filter(([name]) => name !== 'franchiseId' && !names.includes(name)));

/** The head that one of a gym's chains must have, from what is stored of its notes now. */
export async function headOf(
  owner: pg.Pool,
  gymId: string,
  chain: 'notes' | 'concerns' = 'notes',
): Promise<{ number: number; hash: string }> {
  // Days as texts, as the service has them.
  const all = async (text: string, ...values: string[]) =>
    (
      await owner.query<Row>({
        text,
        values,
        types: { getTypeParser: ((oid: number) => parserOf(oid)) as never },
      })
    ).rows;
  const contentOf = async (what: string, id: string): Promise<unknown> => {
    const [row] = await all(`SELECT * FROM ${TABLES[what] ?? `incident_${what}s`} WHERE id = $1`, id);
    if (!row) return undefined;
    if (what === 'follow-up') return without(row, 'doneAt', 'doneBy', 'outcome', 'revision');
    if (what === 'outcome') {
      const { doneAt, doneBy, outcome } = camel(row);
      return { id, doneAt, doneBy, outcome };
    }
    if (what === 'attachment') {
      const [stored] = await owner
        .query<{ content: Buffer }>('SELECT content FROM incident_contents WHERE attachment_id = $1', [id])
        .then(({ rows }) => rows);
      return { ...without(row), stored: stored ? sha256(stored.content) : null };
    }
    if (what !== 'note') return without(row);
    const people = await all('SELECT person_id, part FROM incident_people WHERE incident_id = $1 ORDER BY 1', id);
    const readers = await all(
      'SELECT account_id FROM incident_readers WHERE incident_id = $1 AND amendment_id IS NULL ORDER BY 1',
      id,
    );
    const snapshot = await all('SELECT taken_at, facts FROM incident_snapshots WHERE incident_id = $1', id);
    return {
      ...without(row, 'revision', 'keepUntil'),
      people: people.map((one) => camel(one)),
      readers: readers.map(({ account_id }) => account_id),
      snapshot: snapshot.map((one) => camel(one)),
    };
  };
  let [number, previous] = [0, '0'.repeat(64)];
  const links = 'SELECT * FROM incident_links WHERE gym_id = $1 AND chain = $2 ORDER BY number';
  for (const link of await all(links, gymId, chain)) {
    number += 1;
    const { what, subjectId, incidentId, at } = camel(link);
    const contentHash = sha256(canonical(await contentOf(String(what), String(subjectId))));
    previous = sha256(canonical({ number, what, subjectId, incidentId, at, contentHash, previous }));
  }
  return { number, hash: previous };
}

const TABLES: Record<string, string> = {
  note: 'incidents',
  'follow-up': 'incident_follow_ups',
  outcome: 'incident_follow_ups',
};

/** bool, int4, json and jsonb, timestamptz, arrays of texts and ids; anything else stays the text that came. */
function parserOf(oid: number): (text: string) => unknown {
  if (oid === 16) return (text) => text === 't';
  if (oid === 23) return Number;
  if (oid === 114 || oid === 3802) return (text) => JSON.parse(text);
  if (oid === 1184) return (text) => new Date(text).toISOString();
  if (oid === 1009 || oid === 2951) return (text) => text.slice(1, -1).split(',').filter(Boolean);
  return (text) => text;
}
