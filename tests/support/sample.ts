import { documentText } from '../../src/platform/http/openapi.ts';
import { routes } from '../../src/routes.ts';

type Schema = {
  $ref?: string;
  type?: string;
  const?: unknown;
  enum?: unknown[];
  example?: unknown;
  format?: string;
  pattern?: string;
  minimum?: number;
  minItems?: number;
  maxItems?: number;
  items?: Schema;
  prefixItems?: Schema[];
  properties?: Record<string, Schema>;
  required?: string[];
  anyOf?: Schema[];
  oneOf?: Schema[];
  allOf?: Schema[];
};

const document: {
  paths: Record<string, Record<string, { requestBody?: { content: Record<string, { schema: Schema }> } }>>;
  components: { schemas: Record<string, Schema> };
} = JSON.parse(documentText(routes));

/**
 * A body that the operation takes, as far as its schema says: what is required and no more, with the ids given for the
 * fields of those names. Undefined where it takes none.
 */
export function sampleBody(method: string, path: string, ids: Record<string, string>): unknown {
  const schema = document.paths[`/v1${path}`]?.[method]?.requestBody?.content['application/json']?.schema;
  return schema ? sampleOf(schema, '', ids) : undefined;
}

function sampleOf(schema: Schema, name: string, ids: Record<string, string>): unknown {
  if (schema.$ref) {
    const named = schema.$ref.split('/').at(-1) ?? '';
    if (named === 'Id') return ids[name] ?? ids[name.replace(/s$/, '')] ?? crypto.randomUUID();
    const ends = name === 'until' || name === 'endsAt';
    if (named === 'Instant') return `2026-09-14T${ends ? 17 : 16}:00:00Z`;
    if (named === 'Day') return `2026-09-${ends ? 28 : 14}`;
    return sampleOf(document.components.schemas[named] ?? {}, name, ids);
  }
  if ('const' in schema) return schema.const;
  if (schema.example === null) return null;
  if (schema.enum) return schema.enum[0];
  const choice = schema.oneOf?.[0] ?? schema.anyOf?.[0];
  if (choice) return sampleOf(choice, name, ids);
  if (schema.type === 'object') {
    const required = schema.required?.length ? schema.required : Object.keys(schema.properties ?? {}).slice(0, 1);
    return Object.fromEntries(required.map((field) => [field, sampleOf(schema.properties?.[field] ?? {}, field, ids)]));
  }
  if (schema.type === 'array') {
    if (schema.prefixItems) return schema.prefixItems.map((item) => sampleOf(item, name, ids));
    return schema.items && schema.maxItems !== 0 ? [sampleOf(schema.items, name, ids)] : [];
  }
  if (schema.example !== undefined) return schema.example;
  if (schema.type === 'integer' || schema.type === 'number') return Math.max(schema.minimum ?? 1, 1);
  if (schema.type === 'boolean') return true;
  if (schema.format === 'email') return 'somebody@example.org';
  return 'something';
}
