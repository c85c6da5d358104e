import { chmod, readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { z } from 'zod';
import type { DemoFacts } from './banner.ts';

const Kept = z.object({
  signIns: z.array(z.object({ role: z.string(), email: z.string(), password: z.string(), who: z.string() })),
  refusal: z.object({ title: z.string(), curl: z.array(z.string()) }),
});

const fileIn = (dataDir: string) => join(dataDir, 'demo.json');

/** Keeps what the seed said, so that later starts on the same data can show it too. */
export async function keepDemoFacts(dataDir: string, facts: DemoFacts): Promise<void> {
  await writeFile(fileIn(dataDir), `${JSON.stringify(facts, null, 2)}\n`);
  await chmod(fileIn(dataDir), 0o600);
}

/** Null where no demo was loaded, or what was kept can't be read any more. */
export async function keptDemoFacts(dataDir: string): Promise<DemoFacts | null> {
  try {
    return Kept.parse(JSON.parse(await readFile(fileIn(dataDir), 'utf8')));
  } catch {
    return null;
  }
}
