import { existsSync } from 'node:fs';
import { readFile } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';
import { PERMISSIONS, ROLES, type Role, type Scope } from '../src/platform/auth/permissions.ts';

const repo = fileURLToPath(new URL('..', import.meta.url));
const read = (file: string) => readFile(`${repo}${file}`, 'utf8');
const [readme, developers] = await Promise.all([read('README.md'), read('DEVELOPERS.md')]);

/** The table of who may, as DEVELOPERS.md shows it between its markers. */
function permissionTable(): string {
  const rows = Object.entries<Partial<Record<Role, Scope>>>(PERMISSIONS).map(([permission, scopes]) => [
    `\`${permission}\``,
    ...ROLES.map((role) => scopes[role] ?? '–'),
  ]);
  const heads = ['permission', ...ROLES.map((role) => role.replace('_', ' '))];
  return [heads, heads.map(() => '---'), ...rows].map((cells) => `| ${cells.join(' | ')} |`).join('\n');
}

test('DEVELOPERS.md has the permission table as it is: if not, put the one expected here between the markers', () => {
  const shown = /<!-- permissions:.*-->\n([\s\S]*?)<!-- end of permissions -->/.exec(developers)?.[1]?.trim();
  expect(shown).toBe(permissionTable());
});

test.each([
  ['README.md', readme],
  ['DEVELOPERS.md', developers],
])('what %s links to and tells to run is there', async (_name, text) => {
  const links = [...text.matchAll(/\]\(([^)#:]+)(?:#[^)]*)?\)/g)].map(([, path]) => path ?? '');
  expect(links.filter((path) => !existsSync(`${repo}${path}`))).toEqual([]);
  const { scripts } = JSON.parse(await read('package.json'));
  const told = [...text.matchAll(/npm run ([a-z:-]+)/g)].map(([, script]) => script ?? '');
  expect(told.filter((script) => !(script in scripts))).toEqual([]);
});

test('every setting is in the README', async () => {
  const settings = [...(await read('src/config.ts')).matchAll(/^ {2}([A-Z_]+): /gm)].map(([, name]) => name ?? '');
  expect(settings.length).toBeGreaterThan(10);
  expect(settings.filter((name) => !readme.includes(`\`${name}\``))).toEqual([]);
});

test('the image starts the service with what `npm start` gives Node', async () => {
  const { scripts } = JSON.parse(await read('package.json'));
  const [, command = '[]'] = /^CMD (\[.*\])$/m.exec(await read('.docker/Dockerfile')) ?? [];
  expect(JSON.parse(command).join(' ')).toBe(scripts.start);
});
