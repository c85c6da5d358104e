import { defineConfig } from 'drizzle-kit';

/** For `npx drizzle-kit generate`; what it can't write is added by `npx drizzle-kit generate --custom`. */
export default defineConfig({
  dialect: 'postgresql',
  schema: './src/tables/index.ts',
  out: './migrations',
});
