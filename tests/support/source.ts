import { readdir, readFile } from 'node:fs/promises';
import { dirname, join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';

const SRC = fileURLToPath(new URL('../../src', import.meta.url));

export interface SourceFile {
  /** Below src, with slashes: `features/gyms/repo.ts`. */
  path: string;
  text: string;
  /** What it imports from src, as paths below src; `typeOnly` vanishes when it runs. */
  imports: { path: string; typeOnly: boolean }[];
  /** Names of the packages it imports. */
  packages: string[];
}

const IMPORT = /^\s*(?:import|export)\s+(type\s+)?(?:[^'"]*?\sfrom\s+)?['"]([^'"]+)['"]|import\(\s*['"]([^'"]+)['"]/gm;

/** Every TypeScript file of the service, its tests apart. */
export async function sourceFiles(): Promise<SourceFile[]> {
  const entries = await readdir(SRC, { recursive: true, withFileTypes: true });
  const paths = entries
    .filter((entry) => entry.isFile() && entry.name.endsWith('.ts') && !entry.name.endsWith('.test.ts'))
    .map((entry) => join(entry.parentPath, entry.name))
    .sort();
  return Promise.all(
    paths.map(async (path) => {
      const text = await readFile(path, 'utf8');
      const found = [...text.matchAll(IMPORT)].map(([, type, from, lazily]) => ({
        from: from ?? lazily ?? '',
        typeOnly: type !== undefined,
      }));
      return {
        path: below(path),
        text,
        imports: found
          .filter(({ from }) => from.startsWith('.'))
          .map(({ from, typeOnly }) => ({ path: below(join(dirname(path), from)), typeOnly })),
        packages: found.map(({ from }) => from).filter((from) => !from.startsWith('.')),
      };
    }),
  );
}

const below = (path: string) => relative(SRC, path).replaceAll('\\', '/');
