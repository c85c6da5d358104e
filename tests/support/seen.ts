import { appendFile, mkdir, mkdtemp, readdir, readFile, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { TestProject } from 'vitest/node';

declare module 'vitest' {
  interface ProvidedContext {
    /** Where each test file writes which answers it saw. */
    seen: string;
  }
}

/** What any operation may answer when much is going on or something breaks: no test makes each of them do so. */
const ANY_TIME = ['429', '500', '503'];

/** After a run of all tests: fails where the document declares an answer that no test has seen. */
export default async function setUp(project: TestProject): Promise<() => Promise<void>> {
  const under = fileURLToPath(new URL('../../.data', import.meta.url));
  await mkdir(under, { recursive: true });
  const folder = await mkdtemp(join(under, 'seen-'));
  project.provide('seen', folder);
  const whole = !isFiltered(project);

  return async () => {
    const files = await readdir(folder);
    const lines = await Promise.all(files.map((file) => readFile(join(folder, file), 'utf8')));
    await rm(folder, { recursive: true });
    if (!whole) return;
    const seen = new Set(lines.flatMap((text) => text.split('\n')));
    const unseen = (await declared()).filter((answer) => !seen.has(answer));
    if (unseen.length === 0) return;
    console.error(`No test has seen these answers, which the document declares:\n${unseen.join('\n')}`);
    process.exitCode = 1;
  };
}

/** Only some files, or some tests of them, were asked for. */
function isFiltered({ vitest, config }: TestProject): boolean {
  const files = 'filenamePattern' in vitest ? vitest.filenamePattern : undefined;
  return [files, config.testNamePattern, vitest.config.shard, vitest.config.changed].some(Boolean);
}

async function declared(): Promise<string[]> {
  const { openApiOf } = await import('../../src/platform/http/openapi.ts');
  const { routes } = await import('../../src/routes.ts');
  const { paths = {} } = openApiOf(routes);
  return routes.flatMap(({ path, method, name }) =>
    Object.keys(paths[`/v1${path}`]?.[method]?.responses ?? {})
      .filter((status) => !ANY_TIME.includes(status))
      .map((status) => `${name} ${status}`),
  );
}

/** Keeps what one test file saw. */
export const keepSeen = (folder: string, seen: ReadonlySet<string>): Promise<void> =>
  appendFile(join(folder, `${process.pid}.txt`), [...seen].map((answer) => `${answer}\n`).join(''));
