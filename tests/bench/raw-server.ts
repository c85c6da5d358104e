/**
 * The yardstick: node:http and pg, and nothing else. For each request it sends the statements that the service was seen
 * to send, in their order, in their transaction, prepared; then it encodes the answer that the service was seen to
 * give. It reads no token, checks nothing and judges nothing.
 */
import { createHash, randomUUID } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { createServer } from 'node:http';
import pg from 'pg';
import type { Script, Template } from './recording.ts';

export interface Played {
  script: Script;
  /** The groups of the athletes whom it is called for. */
  groups: Record<string, string>;
  answer: unknown;
}

interface Variables {
  athlete: string;
  session: string;
  group: string;
  fresh: string[];
}
type Value = (variables: Variables) => unknown;

function compiled(template: Template): Value {
  if ('constant' in template) return () => template.constant;
  if ('list' in template) {
    const values = template.list.map(compiled);
    return (variables) => values.map((value) => value(variables));
  }
  const parts = template.parts.map((part): ((variables: Variables) => string) => {
    if (typeof part === 'string') return () => part;
    if ('athlete' in part) return ({ athlete }) => athlete;
    if ('session' in part) return ({ session }) => session;
    if ('group' in part) return ({ group }) => group;
    return ({ fresh }) => fresh[part.fresh] ?? '';
  });
  return (variables) => parts.map((part) => part(variables)).join('');
}

const nameOf = (text: string) => `raw_${createHash('sha256').update(text).digest('base64url').slice(0, 20)}`;

const { DATABASE_URL = '', POOL_MAX = '10', SCRIPT = '' } = process.env;
const { script, groups, answer }: Played = JSON.parse(await readFile(SCRIPT, 'utf8'));
const pool = new pg.Pool({ connectionString: DATABASE_URL, max: Number(POOL_MAX) });

const steps = script.statements.map(({ text, values, rowMode }) => ({
  statement: { text, ...(values === null ? {} : { name: nameOf(text) }), ...(rowMode === null ? {} : { rowMode }) },
  values: values?.map(compiled) ?? [],
}));

async function play(athlete: string, session: string): Promise<string> {
  const group = groups[athlete] ?? '';
  const variables = { athlete, session, group, fresh: Array.from({ length: script.fresh }, () => randomUUID()) };
  const client = await pool.connect();
  try {
    for (const { statement, values } of steps) {
      await client.query({ ...statement, values: values.map((value) => value(variables)) });
    }
  } finally {
    client.release();
  }
  return JSON.stringify(answer);
}

const server = createServer((request, response) => {
  let body = '';
  request.setEncoding('utf8');
  request.on('data', (chunk: string) => {
    body += chunk;
  });
  request.on('end', () => {
    const [arrival] = body === '' ? [] : JSON.parse(body).arrivals;
    play(arrival?.athleteId ?? '', arrival?.sessionId ?? '').then(
      (text) => response.writeHead(200, { 'Content-Type': 'application/json' }).end(text),
      (error: unknown) => response.writeHead(500).end(String(error)),
    );
  });
});
server.listen(0, '127.0.0.1', () => {
  const address = server.address();
  if (typeof address === 'object' && address !== null) console.log(`listening at http://127.0.0.1:${address.port}`);
});
