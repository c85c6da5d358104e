import { Ajv2020, type ValidateFunction } from 'ajv/dist/2020.js';
import formats from 'ajv-formats';
import { openApiOf } from '../../src/platform/http/openapi.ts';
import type { AnyReply, Route } from '../../src/platform/http/route.ts';

/** What the published document promises, held against what is answered. */
export interface Contract {
  /** The mount's own check: the status is declared, the body is one that its schema takes. Gives the fault, or null. */
  faultInReply(route: Route, reply: AnyReply): string | null;
  /** The outside check, on what came over the wire, by a validator that shares nothing with the service. */
  faultInAnswer(answered: { method: string; path: string; status: number; type: string; body: unknown }): string | null;
  /** Operations and the statuses that they were seen to answer: "assignCoach 201". */
  seen: Set<string>;
}

const DOCUMENT = 'https://document.example/openapi.json';

export function contractOf(routes: readonly Route[]): Contract {
  const document = openApiOf(routes);
  const ajv = new Ajv2020({ strict: false, allErrors: true });
  formats.default(ajv);
  ajv.addSchema(document, DOCUMENT);
  const operations = routes.map((route) => ({
    route,
    pattern: new RegExp(`^/v1${route.path.replaceAll(/\{\w+\}/g, '[^/]+')}$`),
  }));
  const seen = new Set<string>();

  function validatorAt(pointer: string[]): ValidateFunction | undefined {
    const escaped = pointer.map((part) => encodeURIComponent(part.replaceAll('~', '~0').replaceAll('/', '~1')));
    return ajv.getSchema(`${DOCUMENT}#/${escaped.join('/')}`);
  }

  return {
    seen,
    faultInReply(route, { status, body }) {
      const schema = route.returns[status];
      if (schema === undefined) return `${route.name} answered ${status}, which it does not declare`;
      if (schema === null) return body === null ? null : `${route.name} answered ${status} with a body, declared empty`;
      const { error } = schema.safeParse(JSON.parse(JSON.stringify(body)));
      return error ? `${route.name} answered ${status} with a body of another shape: ${error.message}` : null;
    },
    faultInAnswer({ method, path, status, type, body }) {
      const called = operations.find(({ route, pattern }) => route.method === method && pattern.test(path))?.route;
      if (!called) return null;
      seen.add(`${called.name} ${status}`);
      const responses = document.paths?.[`/v1${called.path}`]?.[called.method]?.responses;
      let declared = responses?.[`${status}` as '200'];
      let pointer = ['paths', `/v1${called.path}`, called.method, 'responses', `${status}`];
      if (declared && '$ref' in declared) {
        pointer = declared.$ref.split('/').slice(1);
        declared = document.components?.responses?.[pointer.at(-1) ?? ''];
      }
      if (!declared) return `the document does not say that ${called.name} answers ${status}: ${JSON.stringify(body)}`;
      if (!('content' in declared) || !declared.content) return body === null ? null : `${called.name}: a body came`;
      pointer = [...pointer, 'content', type.split(';')[0] ?? ''];
      const isValid = validatorAt([...pointer, 'schema']);
      if (!isValid) return `the document does not say that ${called.name} answers ${status} as "${type}"`;
      if (isValid(body)) return null;
      const faults = ajv.errorsText(isValid.errors, { dataVar: 'body' });
      return `${called.name} answered ${status} with what the document does not allow: ${faults}\n${JSON.stringify(body)}`;
    },
  };
}
