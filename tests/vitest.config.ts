import { fileURLToPath } from 'node:url';
import { defineConfig } from 'vitest/config';

export default defineConfig({
  root: fileURLToPath(new URL('..', import.meta.url)),
  test: {
    include: ['src/**/*.test.ts', 'tests/**/*.test.ts'],
    globalSetup: ['tests/support/global-setup.ts', 'tests/support/seen.ts'],
    pool: 'forks',
    maxWorkers: '100%',
    // Files share what they import: reading it anew for each took longer than many of them run. No module may keep a test's state.
    isolate: false,
    // Only to end what hangs; no test depends on how fast anything is.
    testTimeout: 180_000,
    hookTimeout: 180_000,
    allowOnly: false,
  },
});
