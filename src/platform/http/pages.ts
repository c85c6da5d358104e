import { createRequire } from 'node:module';
import { fileURLToPath } from 'node:url';
import { type Response, Router, static as serveFiles } from 'express';
import { z } from 'zod';
import { PROBLEMS, type ProblemName } from '../problem.ts';
import { type Html, html, pageOf, prose } from './html.ts';
import { documentText, problemsOf } from './openapi.ts';
import type { Route } from './route.ts';

const POLICY = [
  "default-src 'none'",
  "style-src 'self'",
  "img-src 'self' data:",
  "base-uri 'none'",
  "form-action 'none'",
  "frame-ancestors 'none'",
];
/** The reference runs a script, and calls the service. */
const REFERENCE_POLICY = [...POLICY, "script-src 'self'", "font-src 'self'", "connect-src 'self'"];

const assets = fileURLToPath(new URL('assets', import.meta.url));
const { resolve } = createRequire(import.meta.url);

function send(response: Response, page: string, policy: readonly string[] = POLICY): void {
  response
    .set({ 'Content-Security-Policy': policy.join('; '), 'Cache-Control': 'no-cache' })
    .type('html')
    .send(page);
}

/** What people see in a browser: what this is, the API reference, and a page for each problem. */
export function pages(routes: readonly Route[]): Router {
  const router = Router({ strict: true });
  let document: string | null = null;

  router.get('/', (_request, response) => send(response, home(routes)));
  router.get('/openapi.json', (_request, response) => {
    document ??= documentText(routes);
    response.set('Cache-Control', 'no-cache').type('application/json').send(document);
  });
  router.get('/reference', (_request, response) => send(response, reference, REFERENCE_POLICY));
  router.get('/problems', (_request, response) => send(response, problems));
  router.get('/problems/:name', (request, response, next) => {
    const name = problemNames.find((known) => known === request.params.name);
    if (!name) return next();
    send(response, problemPage(name, routes));
  });
  for (const file of ['swagger-ui.css', 'swagger-ui-bundle.js']) {
    const path = resolve(`swagger-ui-dist/${file}`);
    router.get(`/assets/${file}`, (_request, response) => response.sendFile(path, { maxAge: '1h' }));
  }
  router.use('/assets', serveFiles(assets, { index: false, redirect: false, maxAge: '1h' }));
  return router;
}

const problemNames = Object.keys(PROBLEMS).sort() as ProblemName[];

const home = (routes: readonly Route[]) =>
  pageOf(
    'Matside',
    html`<p class="lead">Plans a week’s gymnastics teaching once for several gyms, and sees that every gym teaches it
safely: enough coaches for the athletes in the hall, and somebody qualified wherever a drill is spotted by hand.</p>
<p>This is its API. A block is confirmed only when it has the coaches it needs, and stays so: when the answer is no, it
says why, in numbers, and what would make it a yes.</p>
<ul>
<li><a href="/reference">API reference</a>: ${routes.length} operations, with who may call them and how they refuse</li>
<li><a href="/openapi.json">OpenAPI document</a>, for generating clients</li>
<li><a href="/problems">Problems</a>: every way in which it says no, and how to mend it</li>
<li><a href="/health/ready">Readiness</a></li>
</ul>
<h2>A first call</h2>
<pre>curl -X POST http://127.0.0.1:3000/v1/sign-in -H 'Content-Type: application/json' \\
  -d '{"email": "…", "password": "…"}'</pre>
<p>Send the token that comes back with every other call: <code>Authorization: Bearer …</code>.</p>`,
  );

const reference = html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>API reference · Matside</title>
<link rel="icon" href="/assets/icon.svg" type="image/svg+xml">
<link rel="stylesheet" href="/assets/swagger-ui.css">
<script src="/assets/swagger-ui-bundle.js" defer></script>
<script src="/assets/reference.js" defer></script>
</head>
<body>
<noscript><p>This page needs JavaScript. The same in plain text: <a href="/openapi.json">the OpenAPI document</a>.</p></noscript>
<main id="reference"></main>
</body>
</html>
`.markup;

const problems = pageOf(
  'Problems',
  html`<p>Every refusal is a problem document (RFC 9457), sent as <code>application/problem+json</code>. Its
<code>type</code> is one of these pages; <code>detail</code> tells about this time, and <code>instance</code> names the
request.</p>
<div class="scrolls"><table>
<thead><tr><th scope="col">Status</th><th scope="col">Problem</th><th scope="col">What it means</th></tr></thead>
<tbody>
${problemNames
  .toSorted((a, b) => PROBLEMS[a].status - PROBLEMS[b].status)
  .map(
    (name) => html`<tr><td>${PROBLEMS[name].status}</td><td><a href="/problems/${name}">${name}</a></td>
<td>${PROBLEMS[name].title}</td></tr>
`,
  )}</tbody>
</table></div>`,
);

function problemPage(name: ProblemName, routes: readonly Route[]): string {
  const { status, title, mend, extras } = PROBLEMS[name];
  const fields: [string, z.ZodType][] = Object.entries(extras.shape);
  const example = {
    type: `/problems/${name}`,
    title,
    status,
    detail: 'What it was about this time, with names and numbers.',
    instance: 'urn:uuid:01930d5e-8a4c-7c3a-9f65-3b1f0c6d2a11',
    ...Object.fromEntries(fields.map(([field, schema]) => [field, schema instanceof z.ZodArray ? ['…'] : '…'])),
  };
  return pageOf(
    title,
    html`<p>The problem <code>${name}</code>, sent with status ${status}.</p>
<h2>How to mend it</h2>
<p>${prose(mend)}</p>
<h2>What it carries</h2>
${carried(fields)}
<pre>${JSON.stringify(example, null, 2)}</pre>
<h2>Where it comes from</h2>
${callers(name, routes)}`,
  );
}

const carried = (fields: readonly [string, z.ZodType][]): Html =>
  fields.length === 0
    ? html`<p>Nothing beside the members that every problem has.</p>`
    : html`<p>Beside the members that every problem has:</p>
<ul>${fields.map(([field, schema]) => html`<li><code>${field}</code>${meaningOf(schema)}</li>`)}</ul>`;

function meaningOf(schema: z.ZodType): Html {
  const { description } = z.globalRegistry.get(schema) ?? {};
  return description ? html`: ${description}` : html``;
}

function callers(name: ProblemName, routes: readonly Route[]): Html {
  const answering = routes.filter((route) => problemsOf(route).includes(name));
  if (answering.length === 0) return html`<p>No operation in particular: it is about the address or the method.</p>`;
  if (answering.length === routes.length) return html`<p>Any operation may answer it.</p>`;
  return html`<ul>${answering.map(
    (route) => html`<li><a href="/reference#/${route.tag}/${route.name}">${route.summary}</a>
<code>${route.method.toUpperCase()} /v1${route.path}</code></li>`,
  )}</ul>`;
}
