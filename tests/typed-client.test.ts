import { execFile } from 'node:child_process';
import { mkdir, writeFile } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import openApiTypes, { astToString } from 'openapi-typescript';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { createPasswords } from '../src/platform/auth/passwords.ts';
import { aFranchise } from './support/a-franchise.ts';
import { type Api, openApi } from './support/api.ts';

const run = promisify(execFile);
const repo = fileURLToPath(new URL('..', import.meta.url));
const PASSWORD = 'a mat beside the beam';

let api: Api;
beforeAll(async () => {
  api = await openApi();
});
afterAll(() => api.close());

/** Runs a program of Node's in the repo; gives what it printed, whatever it ended with. */
async function runNode(args: string[]): Promise<{ printed: string; failed: boolean }> {
  try {
    const { stdout } = await run(process.execPath, args, { cwd: repo });
    return { printed: stdout, failed: false };
  } catch (error) {
    const { stdout, stderr } = error as { stdout: string; stderr: string };
    return { printed: `${stdout}${stderr}`, failed: true };
  }
}

test('a client generated from the committed document compiles, refuses misuse, and plays the main job', async () => {
  const types = await openApiTypes(new URL('../openapi/openapi.json', import.meta.url), { defaultNonNullable: false });
  const folder = `${repo}.data/typed-client`;
  await mkdir(folder, { recursive: true });
  await writeFile(`${folder}/schema.d.ts`, astToString(types));

  const compiler = fileURLToPath(import.meta.resolve('typescript/lib/tsc.js'));
  expect(await runNode([compiler, '--noEmit', '--project', 'tests/typed-client'])).toEqual({
    printed: '',
    failed: false,
  });

  const f = await aFranchise(api);
  const hash = await createPasswords(4).hash(PASSWORD);
  const people = { owner: f.owner, lead: f.lead, manager: f.managerOf(f.gym) };
  for (const { accountId } of Object.values(people)) {
    await api.database.ownerPool.query('UPDATE accounts SET password_hash = $1 WHERE id = $2', [hash, accountId]);
  }
  const given = {
    url: api.url,
    gymId: f.gym.id,
    password: PASSWORD,
    emails: { owner: people.owner.email, lead: people.lead.email, manager: people.manager.email },
  };
  const played = await runNode(['--import', 'tsx', 'tests/typed-client/main-job.ts', JSON.stringify(given)]);
  const [block] = /[0-9a-f-]{36}/.exec(played.printed) ?? [];
  expect(played).toEqual({
    failed: false,
    printed: [
      'rule in force: One coach to eight',
      'plan: published',
      'session: 9 athletes, 1 block',
      'refused: not-qualified',
      'covered by one: false',
      'not confirmed: short by 1/8',
      'covered by two: true',
      `confirmed: ${block}`,
      'not released: with remedies',
      'absence: 1 released, 1 unconfirmed',
      'the block that lost its confirmation is the one: true',
      `confirmed again: ${block}`,
      'session: confirmed',
      '',
    ].join('\n'),
  });
});
