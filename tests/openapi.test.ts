import { execFile } from 'node:child_process';
import { readFile } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { Ajv2020 } from 'ajv/dist/2020.js';
import formats from 'ajv-formats';
import { describe, expect, test } from 'vitest';
import { documentText, openApiOf, problemsOf } from '../src/platform/http/openapi.ts';
import { PROBLEMS } from '../src/platform/problem.ts';
import { routes } from '../src/routes.ts';

const run = promisify(execFile);
const repo = fileURLToPath(new URL('..', import.meta.url));
const COMMITTED = 'openapi/openapi.json';
const document = openApiOf(routes);
const operations = Object.entries(document.paths ?? {}).flatMap(([path, item]) =>
  (['get', 'post', 'put', 'patch', 'delete'] as const).flatMap((method) => {
    const operation = item?.[method];
    return operation ? [{ called: `${method} ${path}`, operation }] : [];
  }),
);

test('the committed document is the one that the routes make', async () => {
  expect(await readFile(`${repo}${COMMITTED}`, 'utf8')).toBe(documentText(routes));
});

test('the same routes make the same bytes', () => {
  expect(documentText([...routes])).toBe(documentText(routes));
});

test('an independent linter, API-security rules included, finds no error', async () => {
  const spectral = fileURLToPath(import.meta.resolve('@stoplight/spectral-cli/dist/index.js'));
  const lint = run(process.execPath, [spectral, 'lint', COMMITTED, '--ruleset', '.spectral.yaml', '--format', 'json'], {
    cwd: repo,
    maxBuffer: 64 * 1024 * 1024,
  });
  const { stdout } = await lint.catch((failed: { stdout: string }) => failed);
  const found: { code: string; path: string[]; message: string; severity: number }[] = JSON.parse(
    stdout.slice(stdout.indexOf('['), stdout.lastIndexOf(']') + 1),
  );
  const errors = found.filter(({ severity }) => severity === 0);
  expect(errors.map(({ code, path, message }) => `${code} at ${path.join('.')}: ${message}`)).toEqual([]);
});

test('every operation is there, under a name of its own', () => {
  expect(operations.length).toBe(routes.length);
  const names = operations.map(({ operation }) => operation.operationId);
  expect(new Set(names).size).toBe(names.length);
  expect(names.filter((name) => !/^[a-z][a-zA-Z]+$/.test(name ?? ''))).toEqual([]);
});

test('every operation says what it does, and who may call it', () => {
  const silent = operations.filter(
    ({ operation: { summary, description, tags } }) => !summary || !description || !tags?.length,
  );
  expect(silent.map(({ called }) => called)).toEqual([]);
});

test('a refusal that a route names is in the document, with what it carries', () => {
  for (const route of routes) {
    const responses = document.paths?.[`/v1${route.path}`]?.[route.method]?.responses ?? {};
    const statuses = problemsOf(route).map((name) => `${PROBLEMS[name].status}`);
    expect(Object.keys(responses)).toEqual(expect.arrayContaining(statuses));
  }
});

type Node = Record<string, unknown>;
const isNode = (value: unknown): value is Node => typeof value === 'object' && value !== null;

/** Every schema of the document, with where it is; references are not followed, so each comes once. */
function* schemasIn(node: unknown, at: string): Generator<{ at: string; schema: Node }> {
  if (!isNode(node)) return;
  if (typeof node.type === 'string' || node.anyOf || node.oneOf) yield { at, schema: node };
  for (const [name, child] of Object.entries(node)) {
    if (name !== 'example' && name !== 'examples' && name !== 'default') yield* schemasIn(child, `${at}/${name}`);
  }
}
const schemas = [...schemasIn(JSON.parse(documentText(routes)), '#')];

const DOCUMENT = 'https://document.example/openapi.json';
const ajv = new Ajv2020({ strict: false, allErrors: true });
formats.default(ajv);
ajv.addSchema(document, DOCUMENT);

test('every example is one that its own schema takes', () => {
  const wrong = schemas
    .filter(({ schema }) => schema.example !== undefined)
    .flatMap(({ at, schema }) => {
      const { example, ...rest } = absolute(schema);
      return ajv.validate(rest, example) ? [] : [`${at}: ${ajv.errorsText()}`];
    });
  expect(wrong).toEqual([]);
});

/** With its references made whole, so that it can stand apart from the document. */
const absolute = (schema: Node): Node =>
  JSON.parse(JSON.stringify(schema).replaceAll('"$ref":"#', `"$ref":"${DOCUMENT}#`));

test('every string, list and number that may be sent is bounded', () => {
  const endless = schemas.filter(({ schema }) => {
    if (schema.type === 'string') return !schema.enum && !('const' in schema) && schema.maxLength === undefined;
    if (schema.type === 'array') return schema.maxItems === undefined;
    if (schema.type === 'integer' || schema.type === 'number')
      return !('const' in schema) && (schema.minimum === undefined || schema.maximum === undefined);
    return false;
  });
  expect(endless.map(({ at }) => at)).toEqual([]);
});

test('no body takes a field that it does not know', () => {
  const open = new Set<string>();
  const seen = new Set<string>();
  const visit = (node: unknown, at: string): void => {
    if (!isNode(node)) return;
    if (typeof node.$ref === 'string') {
      if (seen.has(node.$ref)) return;
      seen.add(node.$ref);
      const name = node.$ref.split('/').at(-1) ?? '';
      visit(document.components?.schemas?.[name], name);
      return;
    }
    if (node.type === 'object' && !node.oneOf && node.additionalProperties !== false && !node.propertyNames)
      open.add(at);
    for (const [name, child] of Object.entries(node)) visit(child, `${at}/${name}`);
  };
  for (const { called, operation } of operations) visit(operation.requestBody, called);
  expect([...open]).toEqual([]);
});

describe('examples', () => {
  const ajv = new Ajv2020({ strict: false, allErrors: true });
  formats.default(ajv);
  ajv.addSchema(document, 'https://document.example/openapi.json');
  const good = operations.flatMap(({ called, operation: { operationId, tags, responses } }) =>
    Object.entries(responses ?? {}).flatMap(([status, response]) => {
      const json = 'content' in response ? response.content?.['application/json'] : undefined;
      return status.startsWith('2') && json ? [{ called, operationId, tags, status, example: json.example }] : [];
    }),
  );

  test('are answers of the shape that is promised', () => {
    const shown = good.filter(({ example }) => example !== undefined);
    expect(shown.length).toBeGreaterThan(20);
    for (const { called, status, example } of shown) {
      const [method = '', path = ''] = called.split(' ');
      const at = ['paths', path, method, 'responses', status, 'content', 'application/json', 'schema'];
      const pointer = at.map((part) => encodeURIComponent(part.replaceAll('~', '~0').replaceAll('/', '~1'))).join('/');
      const isValid = ajv.getSchema(`https://document.example/openapi.json#/${pointer}`);
      expect(isValid?.(example), `${called}: ${ajv.errorsText(isValid?.errors)}`).toBe(true);
    }
  });

  test('are there for every question about cover', () => {
    const asked = good.filter(({ tags, called }) => tags?.includes('cover') && called.startsWith('get'));
    expect(asked.length).toBeGreaterThan(8);
    expect(asked.filter(({ example }) => example === undefined).map(({ called }) => called)).toEqual([]);
  });

  test('are of operations that there are', async () => {
    const named = Object.keys(JSON.parse(await readFile(`${repo}openapi/examples.json`, 'utf8')));
    expect(named.filter((name) => !good.some(({ operationId }) => operationId === name))).toEqual([]);
  });
});
