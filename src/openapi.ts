import { mkdir, readFile, writeFile } from 'node:fs/promises';
import { dirname } from 'node:path';
import { fileURLToPath } from 'node:url';
import { CannotStart } from './platform/cannot-start.ts';
import { documentText } from './platform/http/openapi.ts';
import { runProgram } from './platform/process.ts';
import { routes } from './routes.ts';

const file = fileURLToPath(new URL('../openapi/openapi.json', import.meta.url));

// Writes the OpenAPI document; with --check, says whether the committed one is what the routes make.
await runProgram(async () => {
  const text = documentText(routes);
  if (process.argv.includes('--check')) {
    const committed = await readFile(file, 'utf8').catch(() => null);
    if (committed === text) return;
    throw new CannotStart(
      'openapi/openapi.json is not what the routes make; run `npm run openapi`, and look at what changed for clients.',
    );
  }
  await mkdir(dirname(file), { recursive: true });
  await writeFile(file, text);
});
