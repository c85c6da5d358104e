import { execFile } from 'node:child_process';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { expect, test } from 'vitest';
import { sourceFiles } from './support/source.ts';

/** Those that a person starts: to import one is to start it. */
const PROGRAMS = [
  'main.ts',
  'migrate.ts',
  'seed.ts',
  'openapi.ts',
  'franchise.ts',
  'password-link.ts',
  'verify-incidents.ts',
  'tour/main.ts',
];

const SRC = new URL('../src/', import.meta.url);

test('importing a file does nothing: it says nothing, keeps nothing open, and ends by itself', async () => {
  const paths = (await sourceFiles()).map(({ path }) => path);
  expect(paths).toEqual(expect.arrayContaining(PROGRAMS));
  const imports = paths
    .filter((path) => !PROGRAMS.includes(path))
    .map((path) => `await import(${JSON.stringify(new URL(path, SRC).href)});`);
  const program = [...imports, 'console.log("imported");'].join('\n');
  const ended = await new Promise((resolve) => {
    execFile(
      process.execPath,
      ['--import', pathToFileURL(fileURLToPath(import.meta.resolve('tsx'))).href, '--input-type=module', '-e', program],
      // No variable of the service's: a file that read one would fall over its absence.
      { env: { PATH: process.env.PATH ?? '' } },
      (error, stdout, stderr) => resolve({ code: error ? (error.code ?? error.signal) : 0, stdout, stderr }),
    );
  });
  expect(ended).toEqual({ code: 0, stdout: 'imported\n', stderr: '' });
}, 60_000);
