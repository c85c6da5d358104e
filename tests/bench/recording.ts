import type pg from 'pg';

/** A statement as it was sent. */
export interface Sent {
  text: string;
  values: unknown[] | null;
  rowMode: 'array' | null;
}

/** Keeps what every connection of a pool sends from now on, until asked for it. */
export function recordStatements(pool: pg.Pool): { take(): Sent[] } {
  let sent: Sent[] = [];
  pool.on('connect', (client) => {
    client.query = new Proxy(client.query, {
      apply(query, self, [first, ...rest]: unknown[]) {
        const statement = asSent(first, rest[0]);
        if (statement !== null) sent.push(statement);
        return Reflect.apply(query, self, [first, ...rest]);
      },
    });
  });
  return {
    take() {
      const taken = sent;
      sent = [];
      return taken;
    },
  };
}

function asSent(first: unknown, values: unknown): Sent | null {
  if (typeof first === 'string') return { text: first, values: valuesOf(values), rowMode: null };
  if (typeof first !== 'object' || first === null || !('text' in first) || typeof first.text !== 'string') return null;
  const given = 'values' in first ? first.values : values;
  const rowMode = 'rowMode' in first && first.rowMode === 'array' ? 'array' : null;
  return { text: first.text, values: valuesOf(given), rowMode };
}

const valuesOf = (values: unknown): unknown[] | null => (Array.isArray(values) && values.length > 0 ? values : null);

/** What a value is made of when the statement is sent again: itself, or a text with places that change. */
type Part = string | { athlete: true } | { session: true } | { group: true } | { fresh: number };
export type Template = { constant: unknown } | { parts: Part[] } | { list: Template[] };

/** Statements to send again for another athlete, of another group, at another session. */
export interface Script {
  statements: { text: string; values: Template[] | null; rowMode: 'array' | null }[];
  /** How many new ids one run makes. */
  fresh: number;
}

const UUIDS = /[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}/g;

interface Run {
  sent: Sent[];
  athleteId: string;
  sessionId: string;
  groupId: string;
}

/**
 * What two check-ins sent, as a script: ids that are in the first and not in the second, its athlete, session and group
 * apart, were made for it, and are made anew at every run.
 *
 * @throws Error when they did not send the same statements in the same order.
 */
export function scriptOf(one: Run, other: Run): Script {
  const texts = (run: Run) => run.sent.map(({ text }) => text).join('\n;\n');
  if (texts(one) !== texts(other)) throw new Error('two check-ins did not send the same statements');
  const known = new Set(JSON.stringify(other.sent).match(UUIDS));
  const fresh = [...new Set(JSON.stringify(one.sent.map(({ values }) => values)).match(UUIDS))].filter(
    (id) => !known.has(id) && ![one.athleteId, one.sessionId, one.groupId].includes(id),
  );
  const partOf = (id: string): Part => {
    if (id === one.athleteId) return { athlete: true };
    if (id === one.sessionId) return { session: true };
    if (id === one.groupId) return { group: true };
    const place = fresh.indexOf(id);
    return place < 0 ? id : { fresh: place };
  };
  const template = (value: unknown): Template => {
    if (Array.isArray(value)) return { list: value.map(template) };
    if (typeof value !== 'string') return { constant: value };
    const ids = value.match(UUIDS) ?? [];
    const parts = value.split(UUIDS).flatMap((text, index): Part[] => {
      const id = ids[index];
      return id === undefined ? [text] : [text, partOf(id)];
    });
    return parts.every((part) => typeof part === 'string') ? { constant: value } : { parts };
  };
  const statements = one.sent.map((sent) => ({ ...sent, values: sent.values?.map(template) ?? null }));
  return { statements, fresh: fresh.length };
}
