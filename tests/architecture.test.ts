import { expect, test } from 'vitest';
import { type SourceFile, sourceFiles } from './support/source.ts';

const files = await sourceFiles();
const byPath = new Map(files.map((file) => [file.path, file]));

/** Each imports only those before it. */
const FEATURES = [
  'identity',
  'audit',
  'gyms',
  'people',
  'curriculum',
  'ratios',
  'schedule',
  'staffing',
  'teaching',
  'attendance',
  'incidents',
  'live',
];

/** What each part may import beside itself; parts that are not here stand at the top, and may import anything. */
const MAY_IMPORT: Record<string, string[]> = {
  cover: [],
  solver: ['cover'],
  platform: [],
  tables: ['platform', 'cover'],
  enforcement: ['cover', 'tables', 'platform'],
  features: ['enforcement', 'solver', 'cover', 'tables', 'platform'],
  'routes.ts': ['features', 'platform'],
  'app.ts': ['routes.ts', 'features', 'platform'],
  'config.ts': ['platform'],
};

const partOf = (path: string) => path.split('/')[0] ?? '';
const featureOf = (path: string) => (partOf(path) === 'features' ? (path.split('/')[1] ?? '') : null);

const arrows = files.flatMap((file) =>
  file.imports.map(({ path, typeOnly }) => ({ from: file.path, to: path, typeOnly })),
);
const shown = (found: { from: string; to: string }[]) => found.map(({ from, to }) => `${from} → ${to}`);

test('what is imported is there', () => {
  const missing = arrows.filter(({ to }) => to.endsWith('.ts') && !byPath.has(to));
  expect(shown(missing)).toEqual([]);
});

test('imports run one way: app, routes, features, enforcement, tables, platform; cover imports nobody', () => {
  const wrong = arrows.filter(({ from, to, typeOnly }) => {
    if (typeOnly && to === 'config.ts') return false;
    const allowed = MAY_IMPORT[partOf(from)];
    return allowed !== undefined && partOf(from) !== partOf(to) && !allowed.includes(partOf(to));
  });
  expect(shown(wrong)).toEqual([]);
});

test('every feature has its place in the order', () => {
  const features = new Set(files.map(({ path }) => featureOf(path)).filter((feature) => feature !== null));
  expect([...features].filter((feature) => !FEATURES.includes(feature))).toEqual([]);
});

test('a feature imports only earlier ones, and of those no routes', () => {
  const between = arrows.flatMap(({ from, to }) => {
    const [feature, other] = [featureOf(from), featureOf(to)];
    return feature !== null && other !== null && feature !== other ? [{ from, to, feature, other }] : [];
  });
  const later = between.filter(({ feature, other }) => FEATURES.indexOf(other) > FEATURES.indexOf(feature));
  expect(shown(later)).toEqual([]);
  expect(shown(between.filter(({ to }) => to.endsWith('routes.ts')))).toEqual([]);
});

test('no file needs itself in order to load', () => {
  const circles: string[] = [];
  const done = new Set<string>();
  const visit = (file: SourceFile, way: string[]) => {
    if (way.includes(file.path)) circles.push([...way.slice(way.indexOf(file.path)), file.path].join(' → '));
    if (done.has(file.path) || way.includes(file.path)) return;
    for (const { path, typeOnly } of file.imports) {
      const next = byPath.get(path);
      if (next && !typeOnly) visit(next, [...way, file.path]);
    }
    done.add(file.path);
  };
  for (const file of files) visit(file, []);
  expect(circles).toEqual([]);
});

test('cover and solver are pure: no package, clock, chance, environment or console', () => {
  const pure = files.filter(({ path }) => ['cover', 'solver'].includes(partOf(path)));
  expect(pure.length).toBeGreaterThan(0);
  const impure = pure.filter(
    ({ text, packages }) =>
      packages.length > 0 || /\bDate\.now\b|\bnew Date\(\)|\bMath\.random\b|\bprocess\.|\bconsole\./.test(text),
  );
  expect(impure.map(({ path }) => path)).toEqual([]);
});

test('only sign-in and what is the service’s own runs without a tenant', () => {
  const naming = files.filter(({ text }) => /\basSystem\b/.test(text)).map(({ path }) => path);
  expect(naming).toEqual([...MAY_RUN_WITHOUT_TENANT, 'platform/db/tenant.ts'].sort());
});
const MAY_RUN_WITHOUT_TENANT = [
  'features/identity/look-up.ts',
  'features/staffing/sweep.ts',
  'upkeep.ts',
  'verify-incidents.ts',
];

const importers = (name: string) => files.filter(({ packages }) => packages.includes(name));

test('Express is spoken to in the platform and in app.ts alone', () => {
  const speaking = importers('express').map(({ path }) => path);
  expect(speaking).toContain('app.ts');
  expect(speaking.filter((path) => !path.startsWith('platform/http/') && path !== 'app.ts')).toEqual([]);
});

test('PostgreSQL’s driver is loaded in the platform alone; elsewhere its types are named, and nothing of it runs', () => {
  const loading = importers('pg')
    .filter(({ text }) => /^\s*(?:import|export)\s(?!type\s)[^'"]*['"]pg['"]|import\(\s*['"]pg['"]/m.test(text))
    .map(({ path }) => path);
  expect(loading).toContain('platform/db/pool.ts');
  expect(loading.filter((path) => partOf(path) !== 'platform')).toEqual([]);
  const others = files.flatMap(({ path, packages }) => packages.filter((name) => /^pg[/-]/.test(name)).map(() => path));
  expect(others).toEqual([]);
});

test('the environment is read in config.ts alone', () => {
  const readers = files.filter(({ text }) => /\bprocess\.env\b/.test(text)).map(({ path }) => path);
  expect(readers).toEqual(['config.ts']);
});

test('a file has at most 300 lines', () => {
  const long = files.filter(({ text }) => text.trimEnd().split('\n').length > 300).map(({ path }) => path);
  expect(long).toEqual([]);
});

test('types are not talked out of it', () => {
  const talked = files.filter(({ text }) =>
    /(?::|\bas|<|\|)\s*any\b|\bany\[\]|\bas unknown as\b|@ts-(ignore|expect-error|nocheck)/.test(
      text.replaceAll(/\/\*[\s\S]*?\*\/|\/\/.*$/gm, ''),
    ),
  );
  expect(talked.map(({ path }) => path)).toEqual([]);
  expect(files.filter(({ text }) => /@ts-(ignore|expect-error|nocheck)/.test(text)).map(({ path }) => path)).toEqual(
    [],
  );
});
