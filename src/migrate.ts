import { readConfig } from './config.ts';
import { openDatabase } from './platform/db/open.ts';
import { createLog } from './platform/log.ts';
import { runProgram } from './platform/process.ts';

/** `npm run db:migrate`: brings the schema up to date and sees that the service can sign in, without serving. */
await runProgram(async () => {
  const config = readConfig('database');
  const database = await openDatabase(config, createLog(config.logLevel));
  await database.close();
  console.log('The database is up to date.');
});
